"""One finding as a strip: mark, sentence, bar, evidence, mending, and its numbers on demand."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QStyle,
    QStyleOption,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.readiness import Strip
from guyline.widgets.gauge_bar import GaugeBar
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme
from guyline.widgets.verdict_icon import VerdictMark


class FindingStrip(QFrame):
    """Enter, space or a click opens the numbers.

    `mended` asks to do the remedy of the finding of that key,
    `entry_wanted` to go to its Entry, where it is answered. Ctrl+Enter does what its button does.
    """

    mended = Signal(object)
    entry_wanted = Signal(object)

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("strip")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._theme = theme
        self._strip: Strip | None = None
        self._is_open = False
        self._mark = VerdictMark(theme, 16)
        self._title, self._figure = QLabel(), QLabel()
        self._title.setObjectName("heading")
        self._title.setWordWrap(True)
        self._figure.setObjectName("muted")
        self._sentence = _wrapped()
        self._gauge = GaugeBar(theme)
        self._evidence = _wrapped("evidence")
        self._remedy = _wrapped()
        self._mend = QPushButton()
        self._numbers = _wrapped("small")
        self._numbers.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._toggle = QToolButton()
        self._toggle.setObjectName("disclosure")
        self._toggle.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._toggle.clicked.connect(self.toggle)
        self._mend.clicked.connect(self._ask_to_mend)
        self._lay_out()

    @property
    def is_open(self) -> bool:
        return self._is_open

    def show_strip(self, strip: Strip) -> None:
        if strip == self._strip:
            return
        self._strip = strip
        self._mark.show_verdict(strip.verdict)
        self._title.setText(strip.title)
        self._sentence.setText(strip.sentence)
        if strip.gauge is not None:
            self._gauge.show_gauge(strip.gauge, strip.verdict)
        self._figure.setText(strip.gauge.caption if strip.gauge is not None else "")
        self._evidence.setText(f"Evidence: {strip.evidence}" if strip.evidence else "")
        self._mend.setText(_mend_word(strip))
        self._mend.setAccessibleName(strip.remedy)
        self._mend.setToolTip(
            "Change the plan so; undo takes it back (Ctrl+Enter)"
            if strip.can_be_done_here
            else "Go to where it is answered (Ctrl+Enter)"
        )
        self._remedy.setText(strip.remedy)
        self._numbers.setText(numbers_html(strip))
        self.setAccessibleName(f"{strip.verdict.value}: {strip.title}. {strip.sentence}")
        self._arrange()

    def toggle(self) -> None:
        """Open or close the numbers."""
        self._is_open = not self._is_open
        self._arrange()

    def _arrange(self) -> None:
        """Show what this strip has to say; what is as it should be stays short until asked."""
        strip = self._strip
        if strip is None:
            return
        is_full = self._is_open or strip.verdict is not Verdict.GO
        self._sentence.setVisible(is_full)
        self._gauge.setVisible(is_full and strip.gauge is not None)
        self._figure.setVisible(not is_full and strip.gauge is not None)
        self._evidence.setVisible(is_full and bool(strip.evidence))
        self._mend.setVisible(strip.can_be_done_here or strip.entry is not None)
        self._remedy.setVisible(bool(strip.remedy))
        self._numbers.setVisible(self._is_open)
        self._toggle.setArrowType(
            Qt.ArrowType.DownArrow if self._is_open else Qt.ArrowType.RightArrow
        )
        self._toggle.setAccessibleName("Hide numbers" if self._is_open else "Show numbers")
        self._toggle.setToolTip("Formula, inputs and sources (Enter)")

    def _ask_to_mend(self) -> None:
        if self._strip is None:
            return
        if self._strip.can_be_done_here:
            self.mended.emit(self._strip.key)
        elif self._strip.entry is not None:
            self.entry_wanted.emit(self._strip.entry)

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        tight(top, GRID_PX)
        top.addWidget(self._title, 1)
        top.addWidget(self._figure)
        top.addWidget(self._toggle)
        mending = QHBoxLayout()
        tight(mending, GRID_PX)
        mending.addWidget(self._remedy, 1)
        mending.addWidget(self._mend, 0, Qt.AlignmentFlag.AlignTop)
        body = QVBoxLayout()
        tight(body, GRID_PX // 2)
        body.addLayout(top)
        for widget in (self._sentence, self._gauge, self._evidence):
            body.addWidget(widget)
        body.addLayout(mending)
        body.addWidget(self._numbers)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX, GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(body, 1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self._ask_to_mend()
            else:
                self.toggle()
        elif event.key() == Qt.Key.Key_Down:
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Up:
            self.focusPreviousChild()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # the release is ours too

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.toggle()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        option = QStyleOption()
        option.initFrom(self)
        self.style().drawPrimitive(QStyle.PrimitiveElement.PE_Widget, option, painter, self)
        theme = self._theme.value
        painter.setPen(QPen(theme.hairline))
        painter.drawLine(self.rect().bottomLeft(), self.rect().bottomRight())
        if self.hasFocus():
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()


def numbers_html(strip: Strip) -> str:
    """Return formula, inputs with their sources, source and confidence."""
    parts = []
    if strip.formula:
        parts.append(f"<p><b>{escape(strip.formula)}</b></p>")
    if strip.inputs:
        rows = "".join(
            f"<tr><td>{escape(name)}&nbsp;&nbsp;</td>"
            f"<td align='right' style='white-space:nowrap'>{escape(value)}&nbsp;&nbsp;</td>"
            f"<td>{escape(source)}</td></tr>"
            for name, value, source in strip.inputs
        )
        parts.append(f"<table cellspacing='0' cellpadding='2'>{rows}</table>")
    for word, text in (("Source", strip.source), ("Confidence", strip.confidence)):
        if text:
            parts.append(f"<p>{word}: {escape(text)}</p>")
    return "".join(parts) or "<p>No computation: this is what was entered.</p>"


def _mend_word(strip: Strip) -> str:
    if strip.can_be_done_here:
        return "Do it"
    return "Enter" if strip.entry is None or strip.entry.path else "Show"


def _wrapped(name: str = "") -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setObjectName(name)
    return label
