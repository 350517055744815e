"""A list within the plan as a small editable table."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)

from guyline.core.plan import Units
from guyline.errors import GuylineError, InputError
from guyline.viewmodels.fields import Field, edited, in_units, shown, value_at, with_value
from guyline.viewmodels.record_lists import LINKS, NEEDS, RecordList

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
_NO_INDEX = QModelIndex()


class RecordTableModel(QAbstractTableModel):
    """One list of `holder()`; every edit goes out through `edit`, in one undoable step."""

    refused = Signal(GuylineError)

    def __init__(
        self,
        kind: RecordList,
        holder: Callable[[], object | None],
        edit: Callable[[object, str], None],
        parent: QObject | None = None,
        units: Callable[[], Units] = lambda: Units.METRIC,
    ) -> None:
        super().__init__(parent)
        self.kind = kind
        self._units, self._shown_units = units, units()
        self._holder = holder
        self._edit = edit
        self._records: tuple[object, ...] = self._read()

    def refresh(self) -> None:
        """Read the list again; a changed value is announced, a changed length resets."""
        records = self._read()
        if self._shown_units is not self._units():
            self._show_in(self._units())
        if len(records) != len(self._records):
            self.beginResetModel()
            self._records = records
            self.endResetModel()
        elif records != self._records:
            self._records = records
            last = self.index(len(records) - 1, len(self.kind.fields) - 1)
            self.dataChanged.emit(self.index(0, 0), last)

    def field(self, column: int) -> Field:
        """The field of a column as it is shown now."""
        return in_units(self.kind.fields[column], self._units())

    def _show_in(self, units: Units) -> None:
        self.beginResetModel()
        self._shown_units = units
        self.endResetModel()

    def add(self, record: object) -> None:
        self._replace((*self._read(), record), self.kind.adds.rstrip("…"))

    def remove(self, rows: Iterable[int]) -> None:
        gone = frozenset(rows)
        kept = tuple(r for i, r in enumerate(self._read()) if i not in gone)
        self._replace(kept, f"Remove from {self.kind.title.lower()}")

    def _read(self) -> tuple[object, ...]:
        holder = self._holder()
        if holder is not None and self.kind.complete is not None:
            return self.kind.complete(holder)
        found = None if holder is None else value_at(holder, self.kind.path)
        return () if found is None else tuple(found)

    def _replace(self, records: tuple[object, ...], text: str) -> None:
        holder = self._holder()
        if holder is not None:
            kept = tuple(record for record in records if self.kind.is_kept(record))
            self._edit(with_value(holder, self.kind.path, kept), text)

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(self._records)

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(self.kind.fields)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal or section >= len(self.kind.fields):
            return None
        if role == Role.DisplayRole:
            return self.field(section).heading
        if role == Role.ToolTipRole:
            return self.kind.fields[section].tip or None
        if role == Role.TextAlignmentRole:
            return _alignment(self.kind.fields[section])
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        if not index.isValid() or self.kind.fields[index.column()].is_fixed:
            return flags
        return flags | Qt.ItemFlag.ItemIsEditable

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        field, record = self.field(index.column()), self._records[index.row()]
        if role in (Role.DisplayRole, Role.EditRole):
            return shown(field, record)
        if role == Role.ToolTipRole:
            return self.kind.row_tip(record) or None
        if role == Role.AccessibleTextRole:
            return f"{field.title}: {shown(field, record) or 'not entered'}"
        if role == Role.TextAlignmentRole:
            return _alignment(field)
        return None

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        if role != Role.EditRole or not index.isValid():
            return False
        field, records = self.field(index.column()), list(self._records)
        try:
            records[index.row()] = edited(field, records[index.row()], str(value))
            self._check(records)
        except InputError as error:
            self.refused.emit(error)
            return False
        self._replace(tuple(records), f"Change {field.title.lower()}")
        return True

    def _check(self, records: list[object]) -> None:
        if self.kind not in (LINKS, NEEDS):
            return
        pairs = [frozenset((value_at(r, "from_id"), value_at(r, "to_id"))) for r in records]
        if any(len(pair) == 1 for pair in pairs):
            raise InputError(
                "A site cannot be paired with itself.", advice="Choose two different sites."
            )
        if self.kind is LINKS and len(set(pairs)) < len(pairs):
            raise InputError("That link is there already.", advice="Choose another pair.")


def _alignment(field: Field) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if field.is_numeric else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
