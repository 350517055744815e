"""What the columns of a table mean: a choice above each, with the first rows below."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from guyline.services.interchange import SEPARATORS, Column, CsvTable
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

NO_MEANING = "left out"
_SHORT = {
    Column.LATITUDE: "latitude",
    Column.LONGITUDE: "longitude",
    Column.UNCERTAINTY: "uncertainty (m)",
    Column.HEIGHT: "ground height (m)",
    Column.ANTENNA: "antenna height (m)",
}
_MEANINGS: tuple[Column | None, ...] = (None, *Column)
_SEPARATOR_WORDS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright line"}
_SAMPLE_ROWS = 3
_COLUMN_PX = 21 * GRID_PX


class ColumnMapping(QWidget):
    """Tells what people change: `meant` (column, meaning), `separated` and `decimal_comma`."""

    meant = Signal(int, object)
    separated = Signal(str)
    decimal_comma = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.separator = ChoiceBox([_SEPARATOR_WORDS[sign] for sign in SEPARATORS])
        self.separator.setAccessibleName("Separator of the cells")
        self.separator.activated.connect(lambda i: self.separated.emit(SEPARATORS[i]))
        self.comma = QCheckBox("Decimal comma (12,5)")
        self.comma.clicked.connect(self.decimal_comma)
        self.table = QTableWidget()
        self.table.setAccessibleName("Meaning of each column")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.table.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the choices within take the keyboard
        self.table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.table.verticalHeader().hide()
        self.choices: list[ChoiceBox] = []
        self._lay_out()

    def show_table(self, table: CsvTable, columns: tuple[Column | None, ...]) -> None:
        """Show a table and what its columns are taken for."""
        self.separator.choose(_SEPARATOR_WORDS.get(table.separator, table.separator))
        self.comma.setChecked(table.decimal_comma)
        if self.table.columnCount() != table.width or len(self.choices) != table.width:
            self._make_choices(table.width)
        heads = [table.header[i] if i < len(table.header) else "" for i in range(table.width)]
        self.table.setHorizontalHeaderLabels(
            [head or f"column {i + 1}" for i, head in enumerate(heads)]
        )
        for box, column, head in zip(self.choices, columns, heads, strict=False):
            box.setCurrentIndex(_MEANINGS.index(column))
            box.setAccessibleName(f"Meaning of {head or 'the column'}")
        for y, row in enumerate(table.rows[:_SAMPLE_ROWS], 1):
            for x in range(table.width):
                self.table.setItem(y, x, QTableWidgetItem(row[x] if x < len(row) else ""))

    def _make_choices(self, width: int) -> None:
        self.table.clear()
        self.table.setColumnCount(width)
        self.table.setRowCount(1 + _SAMPLE_ROWS)
        self.choices = []
        for i in range(width):
            words = [NO_MEANING, *(_SHORT.get(column, column.value) for column in Column)]
            box = ChoiceBox(words)
            box.activated.connect(lambda chosen, i=i: self.meant.emit(i, _MEANINGS[chosen]))
            self.table.setCellWidget(0, i, box)
            self.table.setColumnWidth(i, _COLUMN_PX)
            self.choices.append(box)
        rows = self.table.verticalHeader()
        rows.setDefaultSectionSize(self.fontMetrics().height() + GRID_PX)
        rows.resizeSection(0, self.fontMetrics().height() + 2 * GRID_PX)
        heights = sum(rows.sectionSize(i) for i in range(self.table.rowCount()))
        head = self.table.horizontalHeader().sizeHint().height()
        self.table.setFixedHeight(heights + head + 2 * GRID_PX)
        self.table.horizontalHeader().setStretchLastSection(True)

    def _lay_out(self) -> None:
        bar = QHBoxLayout()
        tight(bar, GRID_PX)
        label = QLabel("Cells are separated by")
        label.setBuddy(self.separator)
        for widget in (label, self.separator, self.comma):
            bar.addWidget(widget)
        bar.addStretch(1)
        layout = QVBoxLayout(self)
        tight(layout, GRID_PX)
        layout.addLayout(bar)
        layout.addWidget(self.table)
