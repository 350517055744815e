"""What makes a site GO: the smallest set of mendings, asked for by a button."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.entries import Entry
from guyline.viewmodels.why_not import MendingRow, WhyNot
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme
from guyline.widgets.verdict_icon import VerdictMark

OUTDATED = "The plan has changed since; ask again, and it is worked out anew."


class WhyNotCard(QWidget):
    """The button, the progress while it works, and then the list; `entry_wanted` as in strips."""

    entry_wanted = Signal(object)

    def __init__(
        self, why_not: WhyNot, theme: CurrentTheme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._why_not, self._theme = why_not, theme
        self._shown: tuple[object, ...] = ()
        self.ask = QPushButton("What makes it GO?")
        self.ask.setToolTip("The fewest mendings, each proven by judging the plan again (Alt+G)")
        self.ask.setShortcut("Alt+G")
        self._progress = QProgressBar()
        self._progress.setAccessibleName("Progress of the search")
        self.stop = QPushButton("Stop")
        self.close_button = QPushButton("Close")
        self.do_all = QPushButton()
        self.do_all.setToolTip("Change the plan so, in one step; undo takes it back")
        self._headline, self._outdated = QLabel(), QLabel(OUTDATED)
        self._headline.setObjectName("heading")
        self._outdated.setObjectName("muted")
        for label in (self._headline, self._outdated):
            label.setWordWrap(True)
        self.ask.clicked.connect(why_not.ask)
        self.stop.clicked.connect(why_not.cancel)
        self.close_button.clicked.connect(why_not.forget)
        self.do_all.clicked.connect(why_not.apply)
        self._lay_out()
        why_not.changed.connect(self.refresh)
        why_not.progressed.connect(self._move)
        self.refresh()

    def refresh(self) -> None:
        """Read the view model again."""
        why_not = self._why_not
        has_answer, is_working = why_not.mending is not None, why_not.is_working
        self.setVisible(why_not.can_be_asked or has_answer)
        self.ask.setVisible(not is_working and (not has_answer or why_not.is_outdated))
        self.ask.setText("Ask again" if has_answer else "What makes it GO?")
        self.ask.setShortcut("Alt+G")
        self._working.setVisible(is_working)
        if not is_working:
            self._progress.setRange(0, 0)
        for widget in (self._headline, self._list, self.close_button):
            widget.setVisible(has_answer and not is_working)
        self._outdated.setVisible(has_answer and why_not.is_outdated and not is_working)
        self._headline.setText(why_not.headline)
        edits = len(why_not.edits)
        self.do_all.setVisible(edits > 0 and not is_working)
        self.do_all.setText("Do it" if edits == 1 else f"Do these {edits}")
        self._show(why_not)

    def _show(self, why_not: WhyNot) -> None:
        parts = (
            ("Enter first, as the rest hangs on it", why_not.unknown),
            ("Then" if why_not.unknown else "", why_not.steps),
            ("Only people on site or other sites settle", why_not.left),
        )
        if parts == self._shown:
            return
        self._shown = parts
        while (item := self._rows.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        number = 0
        for title, rows in parts:
            if title and rows:
                self._rows.addWidget(_heading(title))
            for row in rows:
                number += 1
                self._rows.addWidget(self._line(row, f"{number}."))

    def _line(self, row: MendingRow, number: str) -> QWidget:
        line = QFrame()
        line.setObjectName("mending")
        done = "done: " if row.is_done else ""
        line.setAccessibleName(f"{done}{row.verdict.value}: {row.text} {row.why} {row.who}")
        mark = VerdictMark(self._theme, 14)
        mark.show_verdict(Verdict.GO if row.is_done else row.verdict)
        text = QLabel(f"{number} {'Done: ' if row.is_done else ''}{row.text}".strip())
        text.setWordWrap(True)
        body = QVBoxLayout()
        tight(body, 1)
        body.addWidget(text)
        if row.who and not row.is_done:
            who = QLabel(row.who)
            who.setObjectName("evidence")
            who.setWordWrap(True)
            body.addWidget(who)
        line.setToolTip(row.why)
        layout = QHBoxLayout(line)
        tight(layout, GRID_PX)
        layout.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(body, 1)
        if row.entry is not None and not row.can_be_done_here and not row.is_done:
            layout.addWidget(self._go(row.entry, row.text), 0, Qt.AlignmentFlag.AlignTop)
        return line

    def _go(self, entry: Entry, text: str) -> QPushButton:
        go = QPushButton("Enter" if entry.path else "Show")
        go.setAccessibleName(f"{go.text()}: {text}")
        go.setToolTip("Go to where it is entered" if entry.path else f"Show {entry.site_id}")
        go.clicked.connect(lambda: self.entry_wanted.emit(entry))
        return go

    def _move(self, done: float, text: str) -> None:
        self._progress.setRange(0, 0 if done < 0 else 100)
        self._progress.setValue(round(done * 100))
        self._progress.setFormat(text)

    def _lay_out(self) -> None:
        self._working = QWidget()
        working = QHBoxLayout(self._working)
        tight(working, GRID_PX // 2)
        working.addWidget(self._progress, 1)
        working.addWidget(self.stop)
        self._list = QWidget()
        self._list.setAccessibleName("Mendings that make the site GO")
        self._rows = QVBoxLayout(self._list)
        tight(self._rows, GRID_PX // 2)
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        for button in (self.ask, self.do_all, self.close_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, 0, GRID_PX, GRID_PX)
        layout.setSpacing(GRID_PX // 2)
        layout.addWidget(self._headline)
        layout.addWidget(self._outdated)
        layout.addWidget(self._list)
        layout.addWidget(self._working)
        layout.addLayout(buttons)


def _heading(title: str) -> QLabel:
    heading = QLabel(title)
    heading.setObjectName("heading")
    heading.setContentsMargins(0, GRID_PX // 2, 0, 0)
    return heading
