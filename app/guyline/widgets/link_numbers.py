"""The budget of one direction in numbers: each step, and under it where its number is from."""

from __future__ import annotations

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from guyline.viewmodels.link_view import DirectionView, NumberLine
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_COLUMNS = ("Step and source", "Change", "Level after")
_LOW = Qt.AlignmentFlag.AlignBottom
_HIGH = Qt.AlignmentFlag.AlignTop
_RIGHT = Qt.AlignmentFlag.AlignRight | _LOW
_SOURCE_POINT_SIZE = 8.0
_PADDING_PX = 8  # of an item, with what the style leaves beside its text


class LinkNumbers(QTableWidget):
    """Two rows a step, the second with the source over the whole width: nothing lies aside."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(0, len(_COLUMNS), parent)
        self._theme = theme
        self.setHorizontalHeaderLabels(_COLUMNS)
        self.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWordWrap(True)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setMinimumSectionSize(5 * GRID_PX)
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        theme.changed.connect(lambda theme: self._dye())

    def show_direction(self, view: DirectionView) -> None:
        self.setAccessibleName(f"Numbers from {view.talker} to {view.listener}")
        self.clearSpans()
        self.setRowCount(2 * len(view.numbers))
        for i, line in enumerate(view.numbers):
            self._show(2 * i, line)
        self._dye()
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _show(self, row: int, line: NumberLine) -> None:
        for column, words in enumerate((line.name, line.change, line.level)):
            item = QTableWidgetItem(words)
            item.setTextAlignment(_RIGHT if column else Qt.AlignmentFlag.AlignLeft | _LOW)
            self.setItem(row, column, item)
        source = QTableWidgetItem(line.source)
        source.setFont(font(_SOURCE_POINT_SIZE))
        source.setTextAlignment(Qt.AlignmentFlag.AlignLeft | _HIGH)
        source.setData(Qt.ItemDataRole.AccessibleTextRole, f"Source of {line.name}: {line.source}")
        self.setItem(row + 1, 0, source)
        self.setSpan(row + 1, 0, 1, len(_COLUMNS))

    def _dye(self) -> None:
        """Sources in the second-rank colour of the theme."""
        for row in range(1, self.rowCount(), 2):
            source = self.item(row, 0)
            if source is not None:
                source.setForeground(QColor(self._theme.value.muted))

    def _fit(self) -> None:
        """As high as all rows: the panel scrolls, not the table in it."""
        metrics = QFontMetrics(font(_SOURCE_POINT_SIZE))
        room = QRect(0, 0, self.viewport().width() - 2 * _PADDING_PX, 100 * GRID_PX)
        for row in range(0, self.rowCount(), 2):
            source = self.item(row + 1, 0)
            words = "" if source is None else source.text()
            text = metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, words)
            self.setRowHeight(row, 3 * GRID_PX)
            self.setRowHeight(row + 1, text.height() + GRID_PX)
        rows = sum(self.rowHeight(row) for row in range(self.rowCount()))
        height = self.horizontalHeader().sizeHint().height() + rows + 2 * self.frameWidth() + 2
        if height != self.height():
            self.setFixedHeight(height)
