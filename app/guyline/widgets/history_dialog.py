"""What changed since the last save, review or print: site by site, value by value."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QModelIndex
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTreeView,
    QVBoxLayout,
    QWidget,
)

from guyline.errors import GuylineError
from guyline.services.plan_files import SUFFIX
from guyline.viewmodels.plan_history import PlanHistory
from guyline.viewmodels.selection import Selection
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

_WIDTHS = (52, 26, 26)  # in steps of the grid
_MOST_OPEN = 300  # our choice: more rows than that are opened one site at a time


class HistoryDialog(QDialog):
    """Shows; the plan is changed by nothing in it."""

    def __init__(
        self, history: PlanHistory, selection: Selection, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._history, self._selection = history, selection
        self.setWindowTitle("What changed")
        self.setAccessibleName(self.windowTitle())
        self._choices = history.choices
        self.since = ChoiceBox([_capital(since.words) for since in self._choices])
        self.since.setAccessibleName("Changed since")
        self.other = QPushButton("Another &file…")
        self.told = QLabel(history.told)
        self.told.setObjectName("heading")
        self.told.setWordWrap(True)
        self.notices = NoticeBar()
        self.tree = _tree(history)
        self.reviewed = QPushButton("Mark as &reviewed")
        self.reviewed.setToolTip("Changes are counted from the plan as it is now")
        self.copy_button, self.close_button = QPushButton("&Copy"), QPushButton("Close")
        self.close_button.setDefault(True)
        self._lay_out()
        self._connect()
        self.compare()

    def compare(self) -> None:
        """Compare with the state that is chosen."""
        self.notices.hide()
        self._history.compare(self._choices[self.since.currentIndex()])

    def _ask_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Compare with", "", f"Plans (*{SUFFIX});;All files (*)"
        )
        if name:
            self._history.compare_with(Path(name))

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self._history.text)

    def _show_site(self, index: QModelIndex) -> None:
        top = index if not index.parent().isValid() else index.parent()
        site_id = self._history.site_at(top.row())
        if site_id is not None:
            self._selection.select_site(site_id)

    def _refresh(self) -> None:
        history = self._history
        self.told.setText(history.told)
        self.copy_button.setEnabled(not history.is_busy)
        for column, width in enumerate(_WIDTHS):
            self.tree.setColumnWidth(column, width * GRID_PX)
        if not history.is_busy and history.text.count("\n") < _MOST_OPEN:
            self.tree.expandAll()

    def _show_marked(self, told: str) -> None:
        self.notices.tell(told)

    def _refuse(self, error: GuylineError) -> None:
        self.notices.tell_error(error)

    def _connect(self) -> None:
        history = self._history
        history.changed.connect(self._refresh)
        history.refused.connect(self._refuse)
        history.marked.connect(self._show_marked)
        self.since.activated.connect(lambda row: self.compare())
        self.other.clicked.connect(self._ask_file)
        self.reviewed.clicked.connect(history.mark_reviewed)
        self.copy_button.clicked.connect(self._copy)
        self.close_button.clicked.connect(self.accept)
        self.tree.activated.connect(self._show_site)

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX + 4)
        since, label = QHBoxLayout(), QLabel("Changed &since")
        tight(since, GRID_PX)
        label.setBuddy(self.since)
        since.addWidget(label)
        since.addWidget(self.since, 1)
        since.addWidget(self.other)
        layout.addLayout(since)
        layout.addWidget(self.notices)
        layout.addWidget(self.told)
        layout.addWidget(self.tree, 1)
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        for button in (self.reviewed, self.copy_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        buttons.addWidget(self.close_button)
        layout.addLayout(buttons)
        self.resize(112 * GRID_PX, 72 * GRID_PX)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _tree(history: PlanHistory) -> QTreeView:
    tree = QTreeView()
    tree.setModel(history.rows)
    tree.setAccessibleName("Changes")
    tree.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    tree.setUniformRowHeights(True)
    tree.setStyleSheet(f"QTreeView::item {{ padding: {GRID_PX // 2}px 0; }}")
    tree.setAlternatingRowColors(True)
    tree.setToolTip("Enter shows the site in the window")
    return tree
