"""Edits a list within the plan: a small table, a button that adds, one that removes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import Plan
from guyline.viewmodels.record_table import RecordTableModel
from guyline.widgets.cell_editors import editor_for, show_text, text_of
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

Index = QModelIndex | QPersistentModelIndex
_MOST_ROWS_SHOWN = 10


class RecordCells(QStyledItemDelegate):
    """Lists where there are choices, lines of text where not."""

    def __init__(self, model: RecordTableModel, plan: Callable[[], Plan], parent: QWidget) -> None:
        super().__init__(parent)
        self._model, self._plan = model, plan

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        editor = editor_for(self._model.field(index.column()), self._plan(), parent)
        if isinstance(editor, QComboBox):
            editor.activated.connect(lambda: self._finish(editor))
        return editor

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        show_text(editor, str(index.data(Qt.ItemDataRole.EditRole)))

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        model.setData(index, text_of(editor))

    def _finish(self, editor: QWidget) -> None:
        self.commitData.emit(editor)
        self.closeEditor.emit(editor)


class RecordEditor(QWidget):
    """The list of one `RecordTableModel`; `more` are further buttons, as (text, what they do)."""

    def __init__(
        self,
        model: RecordTableModel,
        plan: Callable[[], Plan],
        add: Callable[[], object] | None = None,
        more: Sequence[tuple[str, Callable[[], object]]] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._model, self._plan = model, plan
        self.table = QTableView()
        self.table.setModel(model)
        self.table.setItemDelegate(RecordCells(model, plan, self.table))
        self.table.setObjectName("records")
        self.table.setAccessibleName(model.kind.title)
        self._empty = QLabel(model.kind.empty)
        self._empty.setObjectName("muted")
        self._empty.setWordWrap(True)
        self._add = QPushButton(model.kind.adds)
        self._add.clicked.connect(add or self.add)
        self._remove = QPushButton("Remove")
        self._remove.setToolTip("Remove the selected rows (Delete)")
        self._remove.clicked.connect(self.remove)
        self._more = [_button(text, do) for text, do in more]
        self._set_up_table()
        self._lay_out()
        model.modelReset.connect(self._arrange)
        self._arrange()

    @property
    def path(self) -> str:
        return self._model.kind.path

    def go_to_row(self, first_cell: str, path: str) -> None:
        """Put the keyboard on a field of the row that begins so, else where the list begins."""
        rows = (i for i in range(self._model.rowCount()) if self._first(i) == first_cell)
        row = next(rows, 0)
        fields = self._model.kind.fields
        column = next((i for i, field in enumerate(fields) if field.path == path), 0)
        if self._model.rowCount():
            self.table.setCurrentIndex(self._model.index(row, column))
            self.table.setFocus()
        else:
            self._add.setFocus()

    def _first(self, row: int) -> str:
        return str(self._model.index(row, 0).data())

    def add(self) -> None:
        """Add a fresh record and go to it."""
        record = self._model.kind.make(self._plan())
        if record is not None:
            self._model.add(record)
            self.table.setCurrentIndex(self._model.index(self._model.rowCount() - 1, 0))
            self.table.setFocus()

    def remove(self) -> None:
        """Remove the selected records; undo brings them back."""
        rows = {index.row() for index in self.table.selectionModel().selectedIndexes()}
        if rows:
            self._model.remove(rows)

    def _arrange(self) -> None:
        rows = self._model.rowCount()
        self.table.setVisible(rows > 0)
        self._add.setVisible(self._model.kind.complete is None)
        self._remove.setVisible(rows > 0 and self._model.kind.complete is None)
        self._empty.setVisible(rows == 0)
        height = self.table.verticalHeader().defaultSectionSize()
        frame = self.table.horizontalHeader().sizeHint().height() + 14
        self.table.setFixedHeight(frame + height * min(rows, _MOST_ROWS_SHOWN))

    def _set_up_table(self) -> None:
        header = self.table.horizontalHeader()
        header.setStretchLastSection(True)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for i, width in enumerate(self._model.kind.widths):
            self.table.setColumnWidth(i, width)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(28)
        self.table.setShowGrid(False)
        self.table.setWordWrap(False)
        self.table.setAlternatingRowColors(True)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.table.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.SelectedClicked
        )
        delete = QShortcut(QKeySequence(QKeySequence.StandardKey.Delete), self.table)
        delete.setContext(Qt.ShortcutContext.WidgetShortcut)
        delete.activated.connect(self.remove)

    def _lay_out(self) -> None:
        heading = QLabel(self._model.kind.title)
        heading.setObjectName("heading")
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        for button in (self._add, self._remove):
            buttons.addWidget(button)
        buttons.addStretch(1)
        more = QHBoxLayout()
        tight(more, GRID_PX)
        for button in self._more:
            more.addWidget(button)
        more.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        layout.setSpacing(GRID_PX)
        for widget in (heading, self._empty, self.table):
            layout.addWidget(widget)
        layout.addLayout(buttons)
        if self._more:
            layout.addLayout(more)


def _button(text: str, do: Callable[[], object]) -> QPushButton:
    button = QPushButton(text)
    button.clicked.connect(lambda: do())
    return button
