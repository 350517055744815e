"""Imported places to look at before they become sites."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from guyline.services.geodesy import decimal_degrees
from guyline.services.interchange import Proposal
from guyline.services.wording import counted
from guyline.widgets.theme import GRID_PX

_COLUMNS = (
    ("Site", 15 * GRID_PX),
    ("Name", 20 * GRID_PX),
    ("Position", 22 * GRID_PX),
    ("What speaks against it", 48 * GRID_PX),
)


class ImportDialog(QDialog):
    """Ticked places become sites; one that seems to be there already is not ticked."""

    def __init__(
        self,
        found: Sequence[Proposal],
        problems: Sequence[str] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Import places")
        self._found = tuple(found)
        self.table = self._filled_table()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._add = buttons.addButton("Add sites", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addWidget(QLabel(f"{counted(len(found), 'place')} found. Tick those to add."))
        layout.addWidget(self.table, 1)
        if problems:
            layout.addWidget(_problem_label(problems))
        layout.addWidget(buttons)
        self.resize(112 * GRID_PX, 56 * GRID_PX)
        self.table.itemChanged.connect(lambda item: self._count())
        self._count()

    @property
    def accepted_places(self) -> tuple[Proposal, ...]:
        return tuple(
            proposal
            for row, proposal in enumerate(self._found)
            if (item := self.table.item(row, 0)) is not None
            and item.checkState() == Qt.CheckState.Checked
        )

    def _count(self) -> None:
        count = len(self.accepted_places)
        self._add.setText(f"Add {counted(count, 'site')}")
        self._add.setEnabled(count > 0)

    def _filled_table(self) -> QTableWidget:
        table = QTableWidget(len(self._found), len(_COLUMNS))
        table.setAccessibleName("Places found")
        table.setObjectName("records")
        table.setHorizontalHeaderLabels([title for title, _ in _COLUMNS])
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.verticalHeader().hide()
        table.horizontalHeader().setStretchLastSection(True)
        for column, (_, width) in enumerate(_COLUMNS):
            table.setColumnWidth(column, width)
        for row, proposal in enumerate(self._found):
            for column, item in enumerate(_items(proposal)):
                table.setItem(row, column, item)
        return table


def _items(proposal: Proposal) -> list[QTableWidgetItem]:
    place = proposal.place
    texts = (
        proposal.site.site_id,
        proposal.site.name,
        decimal_degrees(place.lat_deg, place.lon_deg),
        _against(proposal),
    )
    items = [QTableWidgetItem(text) for text in texts]
    for item in items:
        item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        item.setToolTip(item.text())
    items[0].setFlags(items[0].flags() | Qt.ItemFlag.ItemIsUserCheckable)
    is_new = proposal.twin_id is None
    items[0].setCheckState(Qt.CheckState.Checked if is_new else Qt.CheckState.Unchecked)
    return items


def _against(proposal: Proposal) -> str:
    twin = "" if proposal.twin_id is None else f"Seems to be {proposal.twin_id}."
    return " ".join((twin, *(doubt.message for doubt in proposal.doubts))).strip()


def _problem_label(problems: Sequence[str]) -> QLabel:
    more = f" And {len(problems) - 3} more." if len(problems) > 3 else ""
    label = QLabel(f"Left out: {' '.join(problems[:3])}{more}")
    label.setObjectName("muted")
    label.setWordWrap(True)
    return label
