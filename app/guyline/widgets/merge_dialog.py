"""Brings another planner's copy into the plan: what comes in, and each contradiction to choose."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from guyline.errors import GuylineError
from guyline.services.plan_files import SUFFIX
from guyline.viewmodels.plan_merge import SIDE_COLUMN, PlanMerge, Side
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import Panel, tight
from guyline.widgets.theme import GRID_PX

Index = QModelIndex | QPersistentModelIndex
_WIDTHS = (34, 28, 28, 16)  # in steps of the grid
WITHOUT_BASE = (
    "Without the plan both began with, it cannot be known who changed what: every difference "
    "is a contradiction, and nothing is removed."
)


class MergeDialog(QDialog):
    """Nothing is dropped unseen; the whole merge is one undoable step."""

    def __init__(self, merge: PlanMerge, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.merge = merge
        merge.setParent(self)
        self.setWindowTitle(f"Merge {merge.name}")
        self.setAccessibleName(self.windowTitle())
        self.summary = _label("", "heading")
        self.summary.setText(f"Reading {merge.name}…")
        self.notices = NoticeBar()
        self.coming = QPlainTextEdit()
        self.coming.setReadOnly(True)
        self.coming.setTabChangesFocus(True)
        self.coming.setAccessibleName("What comes in")
        self.table = _conflict_table(merge)
        self.base_told = _label(WITHOUT_BASE, "muted")
        self.base = QPushButton("Earlier plan…")
        self.base.setToolTip("The plan from which both copies began")
        self.here, self.there = QPushButton("Keep all here"), QPushButton("Take all others")
        self.take, self.cancel = QPushButton("Merge"), QPushButton("Cancel")
        self.take.setDefault(True)
        self._lay_out()
        self._connect()
        self._refresh()
        merge.start()

    def accept(self) -> None:
        """Take what is chosen."""
        self.merge.accept()
        super().accept()

    def use_base(self, path: Path) -> None:
        """Compare again, with the plan both began with."""
        self.notices.hide()
        self.merge.start(path)

    def _ask_base(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Earlier plan", "", f"Plans (*{SUFFIX}*);;All files (*)"
        )
        if name:
            self.use_base(Path(name))

    def _connect(self) -> None:
        merge = self.merge
        merge.compared.connect(self._show)
        merge.refused.connect(self._refuse)
        merge.changed.connect(self._refresh)
        self.base.clicked.connect(self._ask_base)
        self.here.clicked.connect(lambda: merge.choose_all(Side.HERE))
        self.there.clicked.connect(lambda: merge.choose_all(Side.THERE))
        self.take.clicked.connect(self.accept)
        self.cancel.clicked.connect(self.reject)

    def _show(self) -> None:
        merge = self.merge
        self.summary.setText(merge.summary)
        self.coming.setPlainText("\n".join(merge.coming) or "Nothing that is not here already.")
        self.base_told.setText(
            f"Both began with {merge.base_name}." if merge.base_name else WITHOUT_BASE
        )
        self._conflicts.setVisible(bool(merge.conflicts))
        self.table.resizeRowsToContents()
        if merge.conflicts:
            self.table.setCurrentIndex(merge.index(0, SIDE_COLUMN))
            self.table.setFocus()

    def _refuse(self, error: GuylineError) -> None:
        self.summary.setText(f"{self.merge.name} cannot be merged.")
        self.notices.tell_error(error)

    def _refresh(self) -> None:
        merge = self.merge
        self.take.setEnabled(not merge.is_busy and merge.has_news)
        self.base.setEnabled(not merge.is_busy)

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX + 4)
        layout.addWidget(self.summary)
        layout.addWidget(self.notices)
        layout.addWidget(_label("Comes in", "muted"))
        layout.addWidget(self.coming, 1)
        self._conflicts = QWidget()
        self._conflicts.hide()
        inner = QVBoxLayout(self._conflicts)
        tight(inner, GRID_PX)
        inner.addWidget(
            _label("Both changed it: Space or a double click takes the other", "muted")
        )
        inner.addWidget(Panel("Contradictions", self.table, shows_heading=False), 1)
        sides = QHBoxLayout()
        tight(sides, GRID_PX)
        sides.addWidget(self.here)
        sides.addWidget(self.there)
        sides.addStretch(1)
        inner.addLayout(sides)
        layout.addWidget(self._conflicts, 2)
        base = QHBoxLayout()
        tight(base, GRID_PX)
        base.addWidget(self.base_told, 1)
        base.addWidget(self.base)
        layout.addLayout(base)
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        buttons.addWidget(_label("Undo takes the merge back.", "muted"), 1)
        buttons.addWidget(self.cancel)
        buttons.addWidget(self.take)
        layout.addLayout(buttons)
        self.resize(112 * GRID_PX, 72 * GRID_PX)


def _label(text: str, name: str) -> QLabel:
    label = QLabel(text)
    label.setObjectName(name)
    label.setWordWrap(True)
    return label


def _conflict_table(merge: PlanMerge) -> QTableView:
    table = _SideTable(merge)
    table.setItemDelegateForColumn(SIDE_COLUMN, _SideCells(table))
    table.setAccessibleName("Contradictions")
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.setAlternatingRowColors(True)
    table.setTabKeyNavigation(False)
    table.verticalHeader().hide()
    header = table.horizontalHeader()
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    header.setHighlightSections(False)
    header.setStretchLastSection(True)
    for i, width in enumerate(_WIDTHS):
        table.setColumnWidth(i, width * GRID_PX)
    return table


class _SideTable(QTableView):
    """Space takes the other side, in whichever column the keyboard is."""

    def __init__(self, merge: PlanMerge) -> None:
        super().__init__()
        self._merge = merge
        self.setModel(merge)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        current = self.currentIndex()
        if event.key() != Qt.Key.Key_Space or not current.isValid():
            super().keyPressEvent(event)
            return
        is_here = self._merge.side(current.row()) is Side.HERE
        rows = [index.row() for index in self.selectionModel().selectedRows()]
        self._merge.choose(rows or [current.row()], Side.THERE if is_here else Side.HERE)


class _SideCells(QStyledItemDelegate):
    """A choice of two."""

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        box = ChoiceBox([side.value for side in Side], parent)
        box.setAccessibleName("Whose value is taken")
        box.activated.connect(lambda: self._finish(box))
        return box

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        assert isinstance(editor, ChoiceBox)
        editor.choose(str(index.data(Qt.ItemDataRole.EditRole)))

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        assert isinstance(editor, ChoiceBox)
        model.setData(index, editor.currentText())

    def _finish(self, editor: QWidget) -> None:
        self.commitData.emit(editor)
        self.closeEditor.emit(editor)
