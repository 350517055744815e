"""The preview of an import: each place a row to tick, and nothing done before it is taken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)

from guyline.errors import GuylineError
from guyline.services.elevation import Terrain
from guyline.services.geodesy import degrees_minutes
from guyline.services.interchange import Column
from guyline.services.place_import import (
    Choice,
    Deed,
    Reading,
    SentFile,
    Understood,
    as_meant,
    summary,
    told_deed,
    understood,
    with_choices,
)
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.selection import Selection

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
_NO_INDEX = QModelIndex()
CLIPBOARD = "clipboard"


@dataclass(frozen=True, slots=True)
class _Heading:
    title: str
    text: Callable[[Choice], str]


def _doubts(choice: Choice) -> str:
    told = [doubt.message for doubt in choice.proposal.doubts]
    return " ".join(told)


def _position(choice: Choice) -> str:
    return degrees_minutes(choice.proposal.place.lat_deg, choice.proposal.place.lon_deg)


DEED_COLUMN, DOUBT_COLUMN = 3, 4
_HEADINGS = (
    _Heading("Take", lambda choice: str(choice.site_id)),
    _Heading("Name", lambda choice: choice.proposal.place.name),
    _Heading("Position", _position),
    _Heading("What happens", lambda choice: told_deed(choice)),
    _Heading("Doubts", _doubts),
)


class PlaceImport(QAbstractTableModel):
    """Reads one file off the GUI thread, again whenever it is to be read in another way.

    `read` says that rows are there, `refused` why there are none, `changed` that ticks did.
    """

    read = Signal()
    refused = Signal(GuylineError)
    crashed = Signal(Exception)
    changed = Signal()
    progressed = Signal(str)

    def __init__(
        self,
        sent: SentFile,
        document: PlanDocument,
        selection: Selection,
        terrain: Terrain | None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._sent, self._document, self._selection = sent, document, selection
        self._terrain = terrain
        self._runner: JobRunner | None = None
        self.reading = Reading()
        self.found = Understood(name=sent.name)

    @property
    def name(self) -> str:
        return self._sent.name

    @property
    def is_busy(self) -> bool:
        return self._runner is not None

    @property
    def taken(self) -> tuple[Choice, ...]:
        return self.found.taken

    @property
    def summary(self) -> str:
        """What was understood and what taking it does, in one or two sentences."""
        found = self.found
        told = f"{counted(len(found.choices), 'place')} in {found.name}"
        doubted = sum(bool(choice.proposal.doubts) for choice in found.choices)
        if doubted:
            told += f", {doubted} of them doubtful"
        return f"{told}. Ticked: {summary(found.taken)}."

    @property
    def done(self) -> str:
        """What was taken into the plan, as "2 new sites and 1 site updated"."""
        return summary(self.taken)

    def start(self) -> None:
        self.read_as(self.reading)

    def read_as(self, reading: Reading) -> None:
        """Read the file in this way; an earlier reading that is still at work is given up."""
        self.stop()
        self.reading = reading
        plan, sent, terrain = self._document.plan, self._sent, self._terrain
        runner = JobRunner(lambda job: understood(sent, plan, terrain, reading, job), self)
        runner.progressed.connect(lambda done, text: self.progressed.emit(text))
        runner.succeeded.connect(lambda found: self._show(runner, found))
        runner.refused.connect(self._refuse)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(lambda: self._finish(runner))
        self._runner = runner
        runner.start()

    def with_column(self, number: int, meaning: Column | None) -> Reading:
        """Return the reading in which a column of the table means something else."""
        columns = [None if c is meaning else c for c in self.found.columns]
        columns[number] = meaning
        table = self.found.table
        separator = None if table is None else table.separator
        return replace(self.reading, columns=tuple(columns), separator=separator)

    def stop(self) -> None:
        """Give up reading."""
        if self._runner is not None:
            self._runner.cancel()
            self._runner = None

    def accept(self) -> None:
        """Take what is ticked into the plan, as one undoable step."""
        after = with_choices(self._document.plan, self.taken)
        self._document.edit(after, f"Import {self.name}")

    def tick_all(self, is_taken: bool) -> None:
        choices = tuple(
            replace(c, is_taken=is_taken and not c.is_known) for c in self.found.choices
        )
        self._replace(choices)

    def point_at(self, row: int | None) -> None:
        """Show a place on the map, None for none."""
        if row is None or not 0 <= row < len(self.found.choices):
            self._selection.point_at(None)
            return
        place = self.found.choices[row].proposal.place
        self._selection.point_at((place.lat_deg, place.lon_deg))

    def has_meant(self, row: int) -> bool:
        """Whether a doubt names the place that may have been meant."""
        is_row = 0 <= row < len(self.found.choices)
        return is_row and any(d.instead for d in self.found.choices[row].proposal.doubts)

    def take_meant(self, row: int) -> None:
        """Put a place where its doubt says that it was meant."""
        choices = list(self.found.choices)
        choices[row] = as_meant(
            choices[row], self._document.plan, self._terrain, self.name, self.reading
        )
        self._replace(tuple(choices))
        self.point_at(row)

    def deeds(self, row: int) -> tuple[str, ...]:
        """Return what can be done with a place, in words."""
        return tuple(
            _deed_words(self.found.choices[row], d) for d in self.found.choices[row].deeds
        )

    def rowCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(self.found.choices)

    def columnCount(self, parent: Index = _NO_INDEX) -> int:
        return 0 if parent.isValid() else len(_HEADINGS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole
    ) -> Any:
        is_heading = orientation == Qt.Orientation.Horizontal and role == Role.DisplayRole
        return _HEADINGS[section].title if is_heading else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        if index.isValid() and index.column() == 0:
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        if index.column() == DEED_COLUMN and len(self.found.choices[index.row()].deeds) > 1:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        choice, heading = self.found.choices[index.row()], _HEADINGS[index.column()]
        if role == Role.DisplayRole:
            return heading.text(choice)
        if role == Role.EditRole:
            return _deed_words(choice, choice.deed)
        if role == Role.ToolTipRole:
            return _tip(choice) if index.column() >= DEED_COLUMN else None
        if role == Role.CheckStateRole and index.column() == 0:
            return Qt.CheckState.Checked if choice.is_taken else Qt.CheckState.Unchecked
        if role == Role.AccessibleTextRole:
            return f"{heading.title}: {heading.text(choice) or 'none'}"
        return None

    def setData(self, index: Index, value: object, role: int = Role.EditRole) -> bool:
        choices = list(self.found.choices)
        choice = choices[index.row()]
        if role == Role.CheckStateRole and index.column() == 0:
            is_taken = Qt.CheckState(value) == Qt.CheckState.Checked
            choices[index.row()] = replace(choice, is_taken=is_taken)
        elif role == Role.EditRole and index.column() == DEED_COLUMN:
            deed = next((d for d in choice.deeds if _deed_words(choice, d) == value), choice.deed)
            choices[index.row()] = replace(choice, deed=deed, is_taken=True)
        else:
            return False
        self._replace(tuple(choices))
        return True

    def _replace(self, choices: tuple[Choice, ...]) -> None:
        self.found = replace(self.found, choices=choices)
        if choices:
            self.dataChanged.emit(
                self.index(0, 0), self.index(len(choices) - 1, len(_HEADINGS) - 1)
            )
        self.changed.emit()

    def _show(self, runner: JobRunner, found: object) -> None:
        if runner is not self._runner:
            return
        assert isinstance(found, Understood)
        self.beginResetModel()
        self.found = found
        self.endResetModel()
        self.read.emit()
        if found.refusal is not None:
            self.refused.emit(found.refusal)

    def _refuse(self, error: GuylineError) -> None:
        self.beginResetModel()
        self.found = Understood(name=self.name)
        self.endResetModel()
        self.refused.emit(error)

    def _finish(self, runner: JobRunner) -> None:
        if runner is self._runner:
            self._runner = None
            self.changed.emit()


def _deed_words(choice: Choice, deed: Deed) -> str:
    if deed is Deed.UPDATE and choice.updated is not None:
        return f"update {choice.updated.site_id}"
    return f"new site {choice.proposal.site.site_id}"


def _tip(choice: Choice) -> str:
    lines = [told_deed(choice), *(doubt.message for doubt in choice.proposal.doubts)]
    return "\n".join(lines)


def sent_text(text: str) -> SentFile:
    return SentFile(name=CLIPBOARD, data=text.encode("utf-8", errors="replace"))
