"""Looks at imported places before they enter the plan."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QCloseEvent, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QDialog,
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

from guyline.errors import GuylineError
from guyline.services.interchange import Column
from guyline.services.wording import counted
from guyline.viewmodels.place_import import DEED_COLUMN, PlaceImport
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.column_mapping import ColumnMapping
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import Panel, tight
from guyline.widgets.theme import GRID_PX

Index = QModelIndex | QPersistentModelIndex
_PROBLEMS_SHOWN = 3
_MOST_FITTED_ROWS = 200
_WIDTHS = (13, 18, 24, 26, 24)  # in steps of the grid, the last one stretches


class ImportDialog(QDialog):
    """Ticked rows are taken in one undoable step; until then the plan is as it was."""

    def __init__(self, places: PlaceImport, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.places = places
        places.setParent(self)
        self.setWindowTitle(f"Import places from {places.name}")
        self.setAccessibleName(self.windowTitle())
        self.summary = QLabel()
        self.summary.setWordWrap(True)
        self.notices = NoticeBar()
        self.mapping = ColumnMapping()
        self.mapping.hide()
        self.table = _preview_table(places)
        self.problems = QLabel()
        self.problems.setObjectName("muted")
        self.problems.setWordWrap(True)
        self.heights = QCheckBox("Ground heights of the file overrule the terrain data")
        self.heights.setToolTip("Heights of satellite receivers are often tens of metres wrong")
        self.meant = QPushButton("Take the place meant")
        self.meant.setToolTip("Puts the row where its doubt says that it was meant")
        self.all, self.none = QPushButton("Tick all"), QPushButton("Tick none")
        self.take, self.cancel = QPushButton("Import"), QPushButton("Cancel")
        self.take.setDefault(True)
        self._lay_out()
        self._connect()
        self._refresh()
        places.start()

    def accept(self) -> None:
        """Take what is ticked."""
        self.places.accept()
        self._leave()
        super().accept()

    def reject(self) -> None:
        """Leave the plan as it was."""
        self._leave()
        super().reject()

    def closeEvent(self, event: QCloseEvent) -> None:
        self._leave()
        super().closeEvent(event)

    def _leave(self) -> None:
        self.places.stop()
        self.places.point_at(None)

    def _connect(self) -> None:
        places = self.places
        places.read.connect(self._show)
        places.refused.connect(self._refuse)
        places.changed.connect(self._refresh)
        places.progressed.connect(self.summary.setText)
        self.mapping.meant.connect(self._mean)
        self.mapping.separated.connect(
            lambda sign: places.read_as(replace(places.reading, separator=sign, columns=None))
        )
        self.mapping.decimal_comma.connect(
            lambda on: places.read_as(
                replace(places.reading, decimal_comma=on, columns=places.found.columns or None)
            )
        )
        self.heights.clicked.connect(
            lambda on: places.read_as(replace(places.reading, keep_heights=on))
        )
        self.meant.clicked.connect(lambda: places.take_meant(self.table.currentIndex().row()))
        self.all.clicked.connect(lambda: places.tick_all(True))
        self.none.clicked.connect(lambda: places.tick_all(False))
        self.take.clicked.connect(self.accept)
        self.cancel.clicked.connect(self.reject)
        self.table.selectionModel().currentRowChanged.connect(self._point)

    def _mean(self, number: int, meaning: Column | None) -> None:
        self.places.read_as(self.places.with_column(number, meaning))

    def _show(self) -> None:
        found = self.places.found
        self.notices.hide()
        self.mapping.setVisible(found.table is not None)
        if found.table is not None:
            self.mapping.show_table(found.table, found.columns)
        told = found.problems[:_PROBLEMS_SHOWN]
        more = len(found.problems) - len(told)
        self.problems.setText(
            " ".join((*told, *([f"And {counted(more, 'more problem')}."] if more else ())))
        )
        self.problems.setToolTip("\n".join(found.problems[:50]))
        self.problems.setVisible(bool(told))
        if len(found.choices) <= _MOST_FITTED_ROWS:  # measuring thousands takes seconds
            self._fit_rows()
        if found.choices:
            self.table.setCurrentIndex(self.places.index(0, 0))
            self.table.setFocus()
        self._refresh()

    def _fit_rows(self) -> None:
        """Give every row the height of its doubts, and some air."""
        self.table.resizeRowsToContents()
        for row in range(self.places.rowCount()):
            self.table.setRowHeight(row, self.table.rowHeight(row) + GRID_PX)

    def _refuse(self, error: GuylineError) -> None:
        self.notices.tell_error(error)
        self._refresh()

    def _refresh(self) -> None:
        count = len(self.places.taken)
        if not self.places.is_busy:
            self.summary.setText(self.places.summary)
        self.take.setText(f"Import {count}" if count else "Import")
        self.take.setEnabled(bool(count) and not self.places.is_busy)
        has_rows = self.places.rowCount() > 0
        for button in (self.all, self.none):
            button.setEnabled(has_rows)
        self.meant.setEnabled(self.places.has_meant(self.table.currentIndex().row()))

    def _point(self, current: QModelIndex) -> None:
        self.places.point_at(current.row())
        self._refresh()

    def _lay_out(self) -> None:
        self.summary.setObjectName("heading")
        rows = QHBoxLayout()
        tight(rows, GRID_PX)
        for widget in (self.all, self.none, self.meant):
            rows.addWidget(widget)
        rows.addStretch(1)
        rows.addWidget(self.heights)
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        hint = QLabel("The row at hand is shown on the map. Undo takes the import back.")
        hint.setObjectName("muted")
        buttons.addWidget(hint, 1)
        buttons.addWidget(self.cancel)
        buttons.addWidget(self.take)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX + 4)
        layout.addWidget(self.summary)
        layout.addWidget(self.notices)
        layout.addWidget(self.mapping)
        layout.addWidget(Panel("Places", self.table, shows_heading=False), 1)
        layout.addWidget(self.problems)
        layout.addLayout(rows)
        layout.addLayout(buttons)
        self.resize(124 * GRID_PX, 76 * GRID_PX)


def _preview_table(places: PlaceImport) -> QTableView:
    table = _TickTable()
    table.setModel(places)
    table.setItemDelegateForColumn(DEED_COLUMN, _DeedCells(places, table))
    table.setAccessibleName("Places that were understood")
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.setAlternatingRowColors(True)
    table.setWordWrap(True)
    table.setTabKeyNavigation(False)
    table.setEditTriggers(
        QAbstractItemView.EditTrigger.DoubleClicked
        | QAbstractItemView.EditTrigger.EditKeyPressed
        | QAbstractItemView.EditTrigger.SelectedClicked
    )
    table.verticalHeader().hide()
    header = table.horizontalHeader()
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    header.setHighlightSections(False)
    header.setStretchLastSection(True)
    header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
    for i, width in enumerate(_WIDTHS):
        table.setColumnWidth(i, width * GRID_PX)
    return table


class _TickTable(QTableView):
    """Space ticks the selected rows, whichever column the keyboard is in."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        current = self.currentIndex()
        if event.key() != Qt.Key.Key_Space or not current.isValid():
            super().keyPressEvent(event)
            return
        model, role = self.model(), Qt.ItemDataRole.CheckStateRole
        is_ticked = model.index(current.row(), 0).data(role) == Qt.CheckState.Checked
        state = Qt.CheckState.Unchecked if is_ticked else Qt.CheckState.Checked
        for index in self.selectionModel().selectedRows():
            model.setData(index, state, role)


class _DeedCells(QStyledItemDelegate):
    """A choice where an imported place may be an update or a new site."""

    def __init__(self, places: PlaceImport, parent: QWidget) -> None:
        super().__init__(parent)
        self._places = places

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        box = ChoiceBox(self._places.deeds(index.row()), parent)
        box.setAccessibleName("What happens with the place")
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
