"""Another planner's copy on its way into the plan: what comes in, and where both contradict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)

from guyline.core.plan import Plan
from guyline.errors import GuylineError
from guyline.services.merge import ABSENT, Conflict, Merged, merged, resolved
from guyline.services.plan_changes import changes
from guyline.services.plan_files import load_plan
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
_NO_INDEX = QModelIndex()


class Side(Enum):
    """Whose value is taken."""

    HERE = "here"
    THERE = "other copy"


@dataclass(frozen=True, slots=True)
class _Compared:
    merged: Merged
    coming: tuple[str, ...]


SIDE_COLUMN = 3
_TITLES = ("Both changed", "Here", "In the other copy", "Take")


class PlanMerge(QAbstractTableModel):
    """A row for each contradiction; until one is decided otherwise, what stands here is kept.

    `compared` says that rows are there, `refused` why not, `changed` that a choice is another.
    """

    compared = Signal()
    refused = Signal(GuylineError)
    crashed = Signal(Exception)
    changed = Signal()

    def __init__(self, path: Path, document: PlanDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path, self._document = path, document
        self._base_path: Path | None = None
        self._merged = Merged(document.plan, ())
        self._sides: list[Side] = []
        self._runner: JobRunner | None = None
        self.coming: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return self._path.name

    @property
    def base_name(self) -> str:
        """Name of the earlier plan, empty where none was given."""
        return "" if self._base_path is None else self._base_path.name

    @property
    def is_busy(self) -> bool:
        return self._runner is not None

    @property
    def has_news(self) -> bool:
        """Whether merging changes anything."""
        return self.plan != self._document.plan

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        return self._merged.conflicts

    @property
    def plan(self) -> Plan:
        """The plan of both, each contradiction decided as it is chosen now."""
        chosen = zip(self._merged.conflicts, self._sides, strict=True)
        return decided(self._merged.plan, chosen)

    @property
    def summary(self) -> str:
        told = f"{counted(len(self.coming), 'change')} from {self.name}"
        if not self.conflicts:
            return f"{told}, no contradiction."
        return f"{told}, {counted(len(self.conflicts), 'contradiction')}: choose each."

    def start(self, base_path: Path | None = None) -> None:
        """Read the copy, and the earlier plan where one is given, and compare."""
        self._base_path = base_path
        ours, path = self._document.plan, self._path
        runner = JobRunner(lambda job: _compared(ours, path, base_path), self)
        runner.succeeded.connect(self._show)
        runner.refused.connect(self._refuse)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(self._finish)
        self._runner = runner
        runner.start()

    def accept(self) -> None:
        """Make the plan of both the plan, in one undoable step."""
        self._document.edit(self.plan, f"Merge {self.name}")

    def choose(self, rows: Iterable[int], side: Side) -> None:
        chosen = set(rows)
        for row in chosen:
            self._sides[row] = side
        self._let_sites_decide(chosen)
        if self._sides:
            last = self.index(len(self._sides) - 1, SIDE_COLUMN)
            self.dataChanged.emit(self.index(0, SIDE_COLUMN), last)
        self.changed.emit()

    def _let_sites_decide(self, chosen: set[int]) -> None:
        """Remove what ends at a removed site; who keeps a link of it keeps the site too."""
        for row, conflict in enumerate(self.conflicts):
            if conflict.is_on_site or self._value(row) in (ABSENT, None):
                continue
            for site_row in self._removed_ends(conflict):
                loser = site_row if row in chosen and site_row not in chosen else row
                self._sides[loser] = _other(self._sides[loser])

    def _removed_ends(self, conflict: Conflict) -> list[int]:
        return [
            row
            for row, site in enumerate(self.conflicts)
            if site.is_on_site and self._value(row) is ABSENT and site.ends[0] in conflict.ends
        ]

    def _value(self, row: int) -> Any:
        conflict = self.conflicts[row]
        return conflict.ours if self._sides[row] is Side.HERE else conflict.theirs

    def choose_all(self, side: Side) -> None:
        self.choose(range(len(self._sides)), side)

    def side(self, row: int) -> Side:
        return self._sides[row]

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(self._sides)

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(_TITLES)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        is_heading = orientation == Qt.Orientation.Horizontal and role == Role.DisplayRole
        return _TITLES[section] if is_heading else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        if index.isValid() and index.column() == SIDE_COLUMN:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        conflict, side = self._merged.conflicts[index.row()], self._sides[index.row()]
        if role in (Role.DisplayRole, Role.EditRole):
            texts = (conflict.place, conflict.told_ours, conflict.told_theirs, side.value)
            return texts[index.column()]
        if role == Role.ToolTipRole:
            return conflict.sentence
        if role == Role.AccessibleTextRole:
            return f"{conflict.sentence} Taken: {side.value}."
        return None

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        if role != Role.EditRole or index.column() != SIDE_COLUMN:
            return False
        self.choose([index.row()], Side(str(value)))
        return True

    def _show(self, found: object) -> None:
        assert isinstance(found, _Compared)
        self.beginResetModel()
        self._merged, self.coming = found.merged, found.coming
        self._sides = [_side_of(conflict) for conflict in found.merged.conflicts]
        self.endResetModel()
        self.compared.emit()

    def _refuse(self, error: GuylineError) -> None:
        self.refused.emit(error)

    def _finish(self) -> None:
        self._runner = None
        self.changed.emit()


def decided(plan: Plan, chosen: Iterable[tuple[Conflict, Side]]) -> Plan:
    """Return a merged plan with every contradiction decided; what is removed goes last."""
    values = [(c, c.ours if side is Side.HERE else c.theirs) for c, side in chosen]
    for conflict, value in sorted(values, key=lambda pair: pair[1] is ABSENT):
        if value != conflict.taken:
            plan = resolved(plan, conflict, value)
    return plan


def _other(side: Side) -> Side:
    return Side.THERE if side is Side.HERE else Side.HERE


def _side_of(conflict: Conflict) -> Side:
    """Return whose value was taken: what one planner removed and the other changed is kept."""
    return Side.HERE if conflict.ours == conflict.taken else Side.THERE


def _compared(ours: Plan, path: Path, base_path: Path | None) -> _Compared:
    base = None if base_path is None else load_plan(base_path)
    found = merged(ours, load_plan(path), base)
    return _Compared(found, changes(ours, found.plan))
