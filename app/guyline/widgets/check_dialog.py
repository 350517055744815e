"""What is checked: the catalogue of what goes wrong, each line with how it stands in this plan."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from guyline.core.readiness.assessment import PlanAssessment
from guyline.viewmodels.check_list import HEADINGS, CheckRow, check_rows
from guyline.widgets.theme import GRID_PX, Theme
from guyline.widgets.verdict_icon import mark_icon

HEAD = (
    "What goes wrong at temporary sites, from published logs and handbooks and common practice."
    " What can be computed is computed; the rest a named person answers, under Gates of each site."
)


class CheckDialog(QDialog):
    """Enter or a double click on a line asks for the first site where it is open."""

    site_chosen = Signal(object)

    def __init__(
        self, assessment: PlanAssessment, theme: Theme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("What is checked")
        self._rows = check_rows(assessment)
        head = QLabel(HEAD)
        head.setWordWrap(True)
        self.table = QTableWidget(len(self._rows), len(HEADINGS))
        self._fill(theme)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*(4 * [2 * GRID_PX]))
        layout.setSpacing(GRID_PX)
        for widget in (head, self.table, buttons):
            layout.addWidget(widget)
        self.resize(1040, 640)

    def _fill(self, theme: Theme) -> None:
        table = self.table
        table.setHorizontalHeaderLabels(list(HEADINGS))
        table.setAccessibleName("Check catalogue")
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.verticalHeader().hide()
        table.setShowGrid(False)
        for n, row in enumerate(self._rows):
            mark = QTableWidgetItem(mark_icon(row.verdict, theme), "")
            mark.setData(Qt.ItemDataRole.AccessibleTextRole, row.verdict.value)
            mark.setToolTip(row.verdict.value)
            table.setItem(n, 0, mark)
            for column, text in enumerate((row.complaint, row.how, row.where), 1):
                table.setItem(n, column, QTableWidgetItem(text))
        header = table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column, width in enumerate((32, 240, 500)):
            table.setColumnWidth(column, width)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        header.setStretchLastSection(False)
        table.setColumnWidth(3, 220)
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        table.activated.connect(lambda index: self._choose(self._rows[index.row()]))
        table.setCurrentCell(0, 1)

    def _choose(self, row: CheckRow) -> None:
        if row.site_id is not None:
            self.site_chosen.emit(row.site_id)
            self.accept()
