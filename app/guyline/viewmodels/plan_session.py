"""Opens, saves, keeps safe and names the plan on the desk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from guyline.core.plan import Plan
from guyline.errors import GuylineError, PlanFileError
from guyline.services.job import Job
from guyline.services.opening import OpenedPlan, open_plan, opened_over
from guyline.services.plan_exchange import seen_from
from guyline.services.plan_files import SUFFIX
from guyline.services.plan_keeping import ChangedOnDiskError, PlanKeeper
from guyline.services.recovery import Unsaved
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.settings import Settings

UNNAMED = "New plan"
JOURNAL_AFTER_MS = 2_000  # our choice: a crash costs seconds, and typing is not disturbed

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class _Kept:
    """A plan that was read, with its hold on the file."""

    opened: OpenedPlan
    keeper: PlanKeeper
    unsaved: Unsaved | None


class PlanSession(QObject):
    """The document together with the file it came from.

    `opened` carries an OpenedPlan once document and terrain are there,
    `renamed` says that path or modified state changed, `failed` why something was not done.
    """

    opened = Signal(object)
    replaced = Signal()
    """Another plan is on the desk, and nothing of the old one counts any more."""
    renamed = Signal()
    saved = Signal(object)
    failed = Signal(GuylineError)
    conflicted = Signal(object)
    """Path of a file that somebody else saved meanwhile: ask before it is replaced."""
    noticed = Signal(str)
    recoverable = Signal(object)
    """An Unsaved that a crash left of this plan."""
    crashed = Signal(Exception)
    busy = Signal(bool)

    def __init__(
        self, document: PlanDocument, settings: Settings, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._settings = settings
        self._keeper = PlanKeeper(None)
        self._runner: JobRunner | None = None
        self._ground_files = _ground_files(document.plan)
        self._journal_timer = QTimer(self)
        self._journal_timer.setSingleShot(True)
        self._journal_timer.setInterval(JOURNAL_AFTER_MS)
        self._journal_timer.timeout.connect(self._journal)
        document.undo_stack.cleanChanged.connect(lambda clean: self.renamed.emit())
        document.changed.connect(self._on_changed)

    @property
    def path(self) -> Path | None:
        """Where the plan is stored, None if it never was."""
        return self._keeper.path

    @property
    def is_read_only(self) -> bool:
        return self._keeper.is_read_only

    @property
    def name(self) -> str:
        if self.path is None:
            return UNNAMED
        return self.path.name.removesuffix(SUFFIX)

    def open(self, path: Path) -> None:
        """Open a plan off the GUI thread; the plan on the desk stays until the new one is read."""
        before = self._keeper
        is_same = before.path is not None and before.path.resolve() == path.resolve()
        self._run(lambda job: _read(path, before if is_same else None), self._show_opened)

    def reopen_terrain(self) -> None:
        """Read the terrain files again that the plan names now."""
        plan, path = self._document.plan, self.path
        self._run(lambda job: _with_terrain(plan, path), self.opened.emit)

    def new(self, plan: Plan) -> None:
        """Begin a plan that has no file yet."""
        self._replace(plan, PlanKeeper(None))
        self.reopen_terrain()

    def recover(self, unsaved: Unsaved) -> None:
        """Bring back what a crash left, as an undoable step."""
        try:
            self._document.edit(unsaved.plan(), "Bring back unsaved changes")
            self._keeper.journal(self._document.plan)
        except PlanFileError as error:
            self.failed.emit(error)
        else:
            unsaved.discard()

    def save(self, path: Path, *, even_if_changed: bool = False) -> bool:
        """Write the plan, and say whether that was done."""
        is_elsewhere = self.path is None or path.resolve() != self.path.resolve()
        try:
            if is_elsewhere:
                self._move_to(path)
            else:
                self._keeper.save(self._document.plan, even_if_changed=even_if_changed)
        except ChangedOnDiskError:
            self.conflicted.emit(path)
            return False
        except GuylineError as error:
            self.failed.emit(error)
            return False
        self._journal_timer.stop()
        self._document.undo_stack.setClean()
        self._settings.remember_plan(path)
        self.saved.emit(path)
        self.renamed.emit()
        if self._keeper.notice:
            self.noticed.emit(self._keeper.notice)
        return True

    def journal_now(self) -> None:
        """Keep the plan against a crash at once; whatever goes wrong, stay quiet about it."""
        if self._document.is_modified:
            try:
                self._keeper.journal(self._document.plan)
            except PlanFileError:
                return

    def shut_down(self) -> None:
        """Give the plan up: the file is free for others."""
        self._journal_timer.stop()
        self.blockSignals(True)
        self._keeper.close()

    def _move_to(self, path: Path) -> None:
        """Save under another name; elevation files are named from the new place."""
        keeper = PlanKeeper(path)
        moved = seen_from(self._document.plan, self.path, path)
        try:
            keeper.save(moved, even_if_changed=True)  # the file dialog has asked
        except GuylineError:
            keeper.close()
            raise
        self._keeper.close()
        self._keeper = keeper
        self._ground_files = _ground_files(moved)
        self._document.edit(moved, "Name the elevation files from the new place")

    def _show_opened(self, kept: _Kept) -> None:
        self._replace(kept.opened.plan, kept.keeper)
        self._settings.remember_plan(kept.opened.path)
        self.opened.emit(kept.opened)
        for notice in (kept.keeper.notice, kept.opened.catalogue_problem):
            if notice:
                self.noticed.emit(notice)
        if kept.unsaved is not None:
            self.recoverable.emit(kept.unsaved)

    def _replace(self, plan: Plan, keeper: PlanKeeper) -> None:
        if self._keeper is not keeper:
            self._keeper.close()
        self._keeper = keeper
        self._ground_files = _ground_files(plan)
        self._journal_timer.stop()
        self._document.open(plan)
        self.replaced.emit()
        self.renamed.emit()

    def _on_changed(self, plan: Plan) -> None:
        if not self._journal_timer.isActive():  # editing without a pause must not put it off
            self._journal_timer.start()
        if _ground_files(plan) != self._ground_files:
            # an edit, or its undoing, names other files
            self._ground_files = _ground_files(plan)
            self.reopen_terrain()

    def _journal(self) -> None:
        if self._document.is_modified:
            write = self._keeper.journalling(self._document.plan)
            runner = JobRunner(lambda job: write(), self)
            runner.refused.connect(self.failed)
            runner.start()

    def _run(self, work: Callable[[Job], Result], show: Callable[[Result], object]) -> None:
        runner = JobRunner(work, self)
        runner.succeeded.connect(show)
        runner.refused.connect(self.failed)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(lambda: self._finish(runner))
        self._runner = runner
        self.busy.emit(True)
        runner.start()

    def _finish(self, runner: JobRunner) -> None:
        if runner is self._runner:
            self._runner = None
            self.busy.emit(False)


def _ground_files(plan: Plan) -> tuple[object, ...]:
    """Return what decides which files the terrain is read from."""
    return (*plan.terrain_sources, plan.land_cover_path)


def _read(path: Path, held: PlanKeeper | None) -> _Kept:
    """Read a plan and take hold of its file; a hold that is there already is kept."""
    opened = open_plan(path)
    keeper = held or PlanKeeper(path)
    keeper.load()
    return _Kept(opened, keeper, keeper.unsaved())


def _with_terrain(plan: Plan, path: Path | None) -> OpenedPlan:
    """Return the plan with the terrain it names; without a file, relative to nowhere."""
    folder = Path.cwd() if path is None else path.resolve().parent
    return opened_over(plan, path or folder / UNNAMED, folder)
