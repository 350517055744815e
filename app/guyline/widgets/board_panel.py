"""The board of the deployment: the first thing to see, every line leads to its site."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.practice import Lesson
from guyline.viewmodels.board import board
from guyline.viewmodels.board_rows import MOST_LINES, BoardRow, BoardSection
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme
from guyline.widgets.verdict_icon import VerdictMark


class BoardPanel(QScrollArea):
    """Sections of lines.

    Choosing one asks for a site, for the Entry where a step is done, or for an action by its key.
    """

    site_chosen = Signal(object)
    entry_wanted = Signal(object)
    action_wanted = Signal(str)

    def __init__(
        self, live: LiveAssessment, theme: CurrentTheme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self._shown: tuple[BoardSection, ...] = ()
        self._lessons: tuple[Lesson, ...] = ()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Board of the deployment")
        live.updated.connect(self.show_assessment)

    def teach(self, lessons: tuple[Lesson, ...]) -> None:
        """Begin with these lessons from the next assessment on; () for none."""
        self._lessons = lessons

    def show_assessment(self, assessment: PlanAssessment) -> None:
        """Lay the board out anew where it has changed."""
        sections = board(assessment, self._lessons)
        if sections == self._shown:
            return
        self._shown = sections
        scrolled = self.verticalScrollBar().value()
        sheet = QWidget()
        sheet.setObjectName("sheet")
        layout = QVBoxLayout(sheet)
        tight(layout)
        for section in sections:
            layout.addWidget(self._heading(section))
            for row in section.rows[:MOST_LINES]:
                layout.addWidget(self._line(row))
            more = section.more + max(0, len(section.rows) - MOST_LINES)
            if more:
                layout.addWidget(_muted(f"And {more} more."))
        layout.addStretch(1)
        self.setWidget(sheet)
        self.verticalScrollBar().setValue(scrolled)

    def _heading(self, section: BoardSection) -> QWidget:
        box = QWidget()
        heading = QLabel(section.title)
        heading.setObjectName("heading")
        column = QVBoxLayout(box)
        column.setContentsMargins(GRID_PX + 4, GRID_PX + 4, GRID_PX, GRID_PX // 2)
        column.setSpacing(GRID_PX // 2)
        column.addWidget(heading)
        if not section.rows:
            column.addWidget(_muted(section.empty, margin_px=0))
        return box

    def _line(self, row: BoardRow) -> BoardLine:
        line = BoardLine(row, self._theme)
        line.chosen.connect(self._lead_on)
        return line

    def _lead_on(self, row: BoardRow) -> None:
        if row.site_id is not None:
            self.site_chosen.emit(row.site_id)
        elif row.entry is not None:
            self.entry_wanted.emit(row.entry)
        elif row.action:
            self.action_wanted.emit(row.action)


def _muted(text: str, margin_px: int = GRID_PX + 4) -> QLabel:
    label = QLabel(text)
    label.setObjectName("muted")
    label.setWordWrap(True)
    label.setContentsMargins(margin_px, 0, GRID_PX, 0)
    return label


class BoardLine(QFrame):
    """A line that is chosen by a click, Enter or space; up and down lead to its neighbours."""

    chosen = Signal(object)

    def __init__(self, row: BoardRow, theme: CurrentTheme) -> None:
        super().__init__()
        self._row, self._theme = row, theme
        self.setObjectName("strip")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        state = f"{row.verdict.value}: " if row.verdict is not None else ""
        self.setAccessibleName(f"{state}{row.head}. {row.text}")
        if row.leads_on:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
        head, text = QLabel(row.head), QLabel(row.text)
        head.setObjectName("heading")
        column = QVBoxLayout()
        tight(column, 2)
        for label in (head, text):
            label.setWordWrap(True)
            column.addWidget(label)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX // 2 + 2, GRID_PX, GRID_PX // 2 + 2)
        layout.setSpacing(GRID_PX)
        if row.verdict is not None:
            mark = VerdictMark(theme, 16)
            mark.show_verdict(row.verdict)
            layout.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(column, 1)

    def choose(self) -> None:
        if self._row.leads_on:
            self.chosen.emit(self._row)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.choose()
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
            self.choose()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        theme = self._theme.value
        painter = QPainter(self)
        painter.setPen(QPen(QColor(theme.hairline)))
        painter.drawLine(self.rect().bottomLeft(), self.rect().bottomRight())
        if self.hasFocus():
            painter.setPen(QPen(QColor(theme.accent), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.end()
