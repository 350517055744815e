"""The sites as a table: what is said of each, and its values to be edited in place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSortFilterProxyModel,
    Qt,
    Signal,
)

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.errors import GuylineError, InputError
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.fields import edited, shown
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.site_columns import COLUMNS, SITE_ID, Column, SiteRow

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

SORT_ROLE = Role.UserRole + 1
VERDICT_ROLE = Role.UserRole + 2
"""Word of the verdict whose mark stands before the cell's text, or None."""
NOTE_ROLE = Role.UserRole + 3
"""A second, quieter line of the cell."""
SITE_ROLE = Role.UserRole + 4

_NO_INDEX = QModelIndex()
_SEARCHED = [i for i, column in enumerate(COLUMNS) if column.key != "weakest_link"]
"""Not the far ends of links: who looks for a site means that site."""


class SiteTableModel(QAbstractTableModel):
    """Rows in the plan's order; `refused` tells why an entry was not taken."""

    refused = Signal(GuylineError)

    def __init__(
        self, document: PlanDocument, live: LiveAssessment, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._plan = document.plan
        self._assessed: dict[SiteId, SiteAssessment] = {}
        self._show_assessment(live.current)
        document.changed.connect(self._show_plan)
        live.updated.connect(self._show_assessment)

    def site_at(self, row: int) -> SiteId:
        return self._plan.sites[row].site_id

    def row_of(self, site_id: SiteId) -> int | None:
        """Return the row of a site, None where the plan has none of that identifier."""
        for row, site in enumerate(self._plan.sites):
            if site.site_id == site_id:
                return row
        return None

    def edit_many(self, site_ids: Sequence[SiteId], column: int, text: str) -> bool:
        """Enter `text` for several sites at once, in one undoable step."""
        try:
            self._document.edit(*_edit(self._plan, site_ids, COLUMNS[column], text))
        except InputError as error:
            self.refused.emit(error)
            return False
        return True

    def _show_plan(self, plan: Plan) -> None:
        before = self._plan
        if [s.site_id for s in before.sites] != [s.site_id for s in plan.sites]:
            self.beginResetModel()
            self._plan = plan
            self.endResetModel()
            return
        has_other_units = before.incident.units is not plan.incident.units
        self._plan = plan
        for row, (old, new) in enumerate(zip(before.sites, plan.sites, strict=True)):
            if old is not new or has_other_units:
                self._announce(row)

    def _show_assessment(self, assessment: PlanAssessment | None) -> None:
        if assessment is None:
            return
        self._assessed = {site.site_id: site for site in assessment.sites}
        if self._plan.sites:
            last = self.index(len(self._plan.sites) - 1, len(COLUMNS) - 1)
            self.dataChanged.emit(self.index(0, 0), last)

    def _announce(self, row: int) -> None:
        self.dataChanged.emit(self.index(row, 0), self.index(row, len(COLUMNS) - 1))

    def _row(self, row: int) -> SiteRow:
        site = self._plan.sites[row]
        return SiteRow(site, self._plan, self._assessed.get(site.site_id))

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(self._plan.sites)

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(COLUMNS):
            return None
        column = COLUMNS[section]
        if role == Role.DisplayRole:
            return column.title
        if role == Role.ToolTipRole:
            return column.tip or None
        if role == Role.TextAlignmentRole:
            return _alignment(column)
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        if index.isValid() and COLUMNS[index.column()].is_editable:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        column, row = COLUMNS[index.column()], self._row(index.row())
        if role == Role.DisplayRole:
            return column.text(row)
        if role == Role.EditRole:
            field = column.field_in(row.plan)
            return shown(field, row.site) if field else column.text(row)
        if role == SORT_ROLE:
            return column.sort_value(row)
        if role == VERDICT_ROLE:
            return _mark(column, row)
        if role == NOTE_ROLE:
            return row.site.name if column.key == "site_id" else None
        if role == SITE_ROLE:
            return row.site.site_id
        if role == Role.TextAlignmentRole:
            return _alignment(column)
        if role == Role.AccessibleTextRole:
            return _spoken(column, row)
        if role == Role.ToolTipRole:
            return _tip(column, row)
        return None

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        if role != Role.EditRole or not index.isValid() or not COLUMNS[index.column()].is_editable:
            return False
        return self.edit_many([self.site_at(index.row())], index.column(), str(value))


class SiteFilter(QSortFilterProxyModel):
    """Sorts by each column's own order and keeps the rows that contain every word typed."""

    def __init__(self, model: SiteTableModel, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._words: tuple[str, ...] = ()
        self._verdict: Verdict | None = None
        self.setSourceModel(model)
        self.setSortRole(SORT_ROLE)
        self.setDynamicSortFilter(True)
        self.sort(0)

    def look_for(self, text: str) -> None:
        self._words = tuple(text.casefold().split())
        self.invalidate()

    def show_only(self, verdict: Verdict | None) -> None:
        """Keep the sites of one verdict, None for all."""
        self._verdict = verdict
        self.invalidate()

    def filterAcceptsRow(self, row: int, parent: Index) -> bool:
        model = self.sourceModel()
        if self._verdict not in (None, model.index(row, 0).data(VERDICT_ROLE)):
            return False
        if not self._words:
            return True
        cells = (str(model.index(row, i).data() or "") for i in _SEARCHED)
        note = str(model.index(row, 1).data(NOTE_ROLE) or "")
        text = "\n".join((*cells, note)).casefold()
        return all(word in text for word in self._words)

    def lessThan(self, left: Index, right: Index) -> bool:
        a, b = left.data(SORT_ROLE), right.data(SORT_ROLE)
        if a == b:  # equal verdicts stay in the order of their names
            return bool(left.data(SITE_ROLE) < right.data(SITE_ROLE))
        return bool(a < b)


def _edit(plan: Plan, site_ids: Iterable[SiteId], column: Column, text: str) -> tuple[Plan, str]:
    """Return the plan with `text` entered for those sites, and the name of that step."""
    ids, field = tuple(site_ids), column.field_in(plan)
    if field is None:
        raise InputError(f"{column.title} is worked out and cannot be entered.")
    if field is SITE_ID:
        return renamed(plan, ids, text)
    after = plan.with_sites([edited(field, plan.site(site_id), text) for site_id in ids])
    where = ids[0] if len(ids) == 1 else f"{len(ids)} sites"
    return after, f"Change {field.title.lower()} of {where}"


def renamed(plan: Plan, site_ids: Sequence[SiteId], text: str) -> tuple[Plan, str]:
    """Return the plan in which one site has another identifier, and the name of that step."""
    new = SiteId(text.strip())
    if len(site_ids) != 1:
        raise InputError(
            "Several sites cannot have one identifier.", advice="Rename them one by one."
        )
    if new == site_ids[0]:
        return plan, ""
    if not new:
        raise InputError("A site needs an identifier.", advice="Enter a short one, as HILL-2.")
    if plan.has_site(new):
        raise InputError(f"There is a site {new} already.", advice="Choose another identifier.")
    return plan.renaming_site(site_ids[0], new), f"Rename {site_ids[0]} to {new}"


def _mark(column: Column, row: SiteRow) -> Verdict | None:
    if column.key == "verdict":
        return row.verdict
    if column.gate is None:
        return None
    if row.assessed is None:
        return Verdict.NOT_ASSESSED
    return row.assessed.gate_verdict(column.gate)


def _alignment(column: Column) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if column.is_numeric else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter


def _spoken(column: Column, row: SiteRow) -> str:
    """Return the cell as a screen reader says it: what, value, state."""
    text = column.text(row) or "not entered"
    mark = _mark(column, row)
    state = f", {mark.value}" if mark is not None and column.key != "verdict" else ""
    return f"{column.title}: {text}{state}"


def _tip(column: Column, row: SiteRow) -> str:
    if column.key == "site_id" and row.site.name:
        return f"{row.site.site_id}: {row.site.name}"
    mark = _mark(column, row)
    text = column.text(row)
    return f"{text} ({mark.value})" if mark is not None and column.gate else text
