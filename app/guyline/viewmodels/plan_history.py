"""What changed since the plan was saved, reviewed or printed, for people to look through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QStandardItem, QStandardItemModel

from guyline.core.plan import Plan, SiteId
from guyline.errors import GuylineError, PlanFileError
from guyline.services.backups import backups_of
from guyline.services.plan_changes import Change, changes_by_owner
from guyline.services.plan_files import load_plan
from guyline.services.plan_history import Milestone, keep, kept, milestone_at
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.plan_session import PlanSession

Owners = dict[str, tuple[Change, ...]]
_TITLES = ("What", "Before", "Now")
_DEEDS = {Milestone.REVIEWED: "review", Milestone.PRINTED: "print"}


@dataclass(frozen=True, slots=True)
class Since:
    """An earlier state of the plan; `words` go on from "since", `read` brings it."""

    words: str
    read: Callable[[], Plan]


@dataclass(frozen=True, slots=True)
class _Compared:
    since: Since
    owners: Owners


class PlanHistory(QObject):
    """Compares the plan with an earlier state, off the GUI thread; `changed` says it is there.

    Every print marks the state that is on paper; a review is marked by whoever did it.
    """

    changed = Signal()
    marked = Signal(str)
    refused = Signal(GuylineError)
    crashed = Signal(Exception)

    def __init__(
        self, document: PlanDocument, session: PlanSession, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._session = document, session
        self._runner: JobRunner | None = None
        self._compared: _Compared | None = None
        self.rows = QStandardItemModel(self)
        document.printed.connect(self._mark_printed)

    @property
    def is_busy(self) -> bool:
        return self._runner is not None

    @property
    def choices(self) -> tuple[Since, ...]:
        """The earlier states there are, the likeliest question first."""
        saved, path = self._document.saved_plan, self._session.path
        deed = "it was saved last" if path is not None else "it was begun"
        found: list[Since | None] = [Since(deed, lambda: saved)]
        if path is not None:
            found += [_since_milestone(path, milestone) for milestone in Milestone]
            found += [_since_backup(n, copy) for n, copy in enumerate(backups_of(path), 1)]
        return tuple(since for since in found if since is not None)

    @property
    def told(self) -> str:
        """How much changed since when, in a sentence."""
        if self._compared is None:
            return "Comparing…" if self.is_busy else "Not compared."
        owners, words = self._compared.owners, self._compared.since.words
        count = sum(map(len, owners.values()))
        if not count:
            return f"Nothing changed since {words}."
        return f"{counted(count, 'change')} in {counted(len(owners), 'part')} since {words}."

    @property
    def text(self) -> str:
        """All changes as sentences, to copy."""
        if self._compared is None:
            return ""
        told = (change.sentence for found in self._compared.owners.values() for change in found)
        return "\n".join((self.told, *told))

    def compare(self, since: Since) -> None:
        """Find out what changed since an earlier state."""
        plan = self._document.plan
        self._compared = None
        self._run(
            lambda: _Compared(since, changes_by_owner(since.read(), plan)),
            lambda found: self._show(found) if isinstance(found, _Compared) else None,
        )

    def compare_with(self, path: Path) -> None:
        """Find out how the plan differs from another file."""
        self.compare(Since(f"{path.name} was saved", lambda: load_plan(path)))

    def mark_reviewed(self) -> None:
        """Let later changes be counted from the plan as it is now."""
        self._mark(Milestone.REVIEWED, self._document.plan)

    def site_at(self, row: int) -> SiteId | None:
        """Return the site whose changes a row of the first level holds, None for the rest."""
        item = self.rows.item(row)
        site_id = SiteId(item.text()) if item is not None else SiteId("")
        return site_id if self._document.plan.has_site(site_id) else None

    def _mark_printed(self, plan: object) -> None:
        assert isinstance(plan, Plan)
        if self._session.path is not None:  # an unsaved plan has no place in the history
            self._mark(Milestone.PRINTED, plan)

    def _mark(self, milestone: Milestone, plan: Plan) -> None:
        path = self._session.path
        if path is None:
            self.refused.emit(
                PlanFileError("The plan has no file yet.", advice="Save it, then mark it.")
            )
            return
        target = path
        self._run(
            lambda: keep(target, milestone, plan),
            lambda nothing: self._tell_marked(milestone),
        )

    def _tell_marked(self, milestone: Milestone) -> None:
        if milestone is Milestone.REVIEWED:  # of a print the window has something else to tell
            self.marked.emit("Reviewed: changes are counted from the plan as it is now.")

    def _run(self, work: Callable[[], object], show: Callable[[object], object]) -> None:
        runner = JobRunner(lambda job: work(), self)
        runner.succeeded.connect(show)
        runner.refused.connect(self.refused)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(lambda: self._finish(runner))
        self._runner = runner
        self.changed.emit()
        runner.start()

    def _finish(self, runner: JobRunner) -> None:
        if runner is self._runner:
            self._runner = None
            self.changed.emit()

    def _show(self, found: _Compared) -> None:
        self._compared = found
        self.rows.clear()
        self.rows.setHorizontalHeaderLabels(list(_TITLES))
        for owner, changes in found.owners.items():
            whole = [c for c in changes if c.subject == owner]  # come or gone as a whole
            head = [_head(owner), *(_cell(whole[0].now if whole and i else "") for i in (0, 1))]
            for change in changes:
                if change.subject != owner:
                    cells = (change.subject, change.was, change.now)
                    head[0].appendRow([_cell(text) for text in cells])
            self.rows.appendRow(head)


def _head(text: str) -> QStandardItem:
    item = _cell(text)
    font = item.font()
    font.setBold(True)
    item.setFont(font)
    return item


def _cell(text: str) -> QStandardItem:
    item = QStandardItem(text)
    item.setEditable(False)
    item.setToolTip(text)
    return item


def _since_milestone(path: Path, milestone: Milestone) -> Since | None:
    at = milestone_at(path, milestone)
    if at is None:
        return None

    def read() -> Plan:
        found = kept(path, milestone)
        if found is None:
            raise PlanFileError(
                f"What was kept of the last {_DEEDS[milestone]} cannot be read.",
                advice="Compare with a backup copy instead.",
            )
        return found.plan

    return Since(f"the last {_DEEDS[milestone]}, {at:%d %b %H:%M}", read)


def _since_backup(number: int, copy: Path) -> Since:
    return Since(f"backup copy {number}", lambda: load_plan(copy))
