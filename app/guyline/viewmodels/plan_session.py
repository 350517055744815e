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
from guyline.services.opening import OpenedPlan, opened_over
from guyline.services.plan_exchange import seen_from
from guyline.services.plan_files import SUFFIX
from guyline.services.plan_history import carry_over
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


@dataclass(frozen=True, slots=True)
class _Wish:
    """What is to be written where; without a keeper the file is another one than before."""

    keeper: PlanKeeper | None
    path: Path
    plan: Plan
    even_if_changed: bool
    former: Path | None


@dataclass(frozen=True, slots=True)
class _Written:
    """A plan that is in its file now, with the hold on that."""

    keeper: PlanKeeper
    path: Path
    plan: Plan


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
    saving = Signal(bool)

    def __init__(
        self, document: PlanDocument, settings: Settings, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._settings = settings
        self._keeper = PlanKeeper(None)
        self._runner: JobRunner | None = None
        self._saving: JobRunner | None = None
        self._is_journalling = False
        self._after_save: list[Callable[[], object]] = []
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
        self._run(
            lambda job: _read(path, before if is_same else None),
            lambda kept: self.after_save(lambda: self._show_opened(kept)),
        )

    def reopen_terrain(self) -> None:
        """Read the terrain files again that the plan names now."""
        plan, path = self._document.plan, self.path
        self._run(lambda job: _with_terrain(plan, path), self.opened.emit)

    def new(self, plan: Plan) -> None:
        """Begin a plan that has no file yet."""
        self.after_save(lambda: self._replace(plan, PlanKeeper(None)))
        self.after_save(self.reopen_terrain)

    def recover(self, unsaved: Unsaved) -> None:
        """Bring back what a crash left, as an undoable step."""
        self._run(lambda job: unsaved.plan(), lambda plan: self._bring_back(plan, unsaved))

    def save(
        self,
        path: Path,
        *,
        even_if_changed: bool = False,
        then: Callable[[], object] = lambda: None,
    ) -> None:
        """Write the plan off the GUI thread, and go on to `then` once it is in the file.

        The plan can be edited meanwhile; what is edited counts as not saved. A save that is
        asked for while another one runs waits for its end.
        """
        if self.is_saving:
            self._after_save.append(
                lambda: self.save(path, even_if_changed=even_if_changed, then=then)
            )
            return
        is_elsewhere = self.path is None or path.resolve() != self.path.resolve()
        keeper = None if is_elsewhere else self._keeper
        before = self._document.plan
        seen = seen_from(before, self.path, path) if is_elsewhere else before
        plan = before if seen == before else seen
        former = self.path if is_elsewhere else None
        wish = _Wish(keeper, path, plan, even_if_changed, former)
        runner = self._saving = JobRunner(lambda job: _written(wish), self)
        runner.succeeded.connect(lambda written: self._show_saved(written, before, then))
        runner.refused.connect(lambda error: self._show_not_saved(error, path))
        runner.crashed.connect(self.crashed)
        runner.finished.connect(self._finish_saving)
        self.saving.emit(True)
        runner.start()

    @property
    def is_saving(self) -> bool:
        return self._saving is not None

    def after_save(self, deed: Callable[[], object]) -> None:
        """Do something once no save is running any more, at once if there is none."""
        if self.is_saving:
            self._after_save.append(deed)
        else:
            deed()

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

    def _show_saved(self, written: _Written, before: Plan, then: Callable[[], object]) -> None:
        """Note a save; a plan saved under another name is the one on the desk from now on."""
        if written.keeper is not self._keeper:
            self._move_to(written, before)
        if self._document.plan is written.plan:
            self._journal_timer.stop()
        else:
            self._journal_timer.start()  # the journal went with the save, and there is more
        self._document.mark_saved(written.plan)
        self._settings.remember_plan(written.path)
        self.saved.emit(written.path)
        self.renamed.emit()
        if written.keeper.notice:
            self.noticed.emit(written.keeper.notice)
        self._after_save.append(then)

    def _move_to(self, written: _Written, before: Plan) -> None:
        """Go on under another name; elevation files are named from the new place."""
        old_path, now = self.path, self._document.plan
        self._keeper.close()
        self._keeper = written.keeper
        moved = written.plan if now is before else seen_from(now, old_path, written.path)
        self._ground_files = _ground_files(moved)
        self._document.edit(moved, "Name the elevation files from the new place")

    def _show_not_saved(self, error: GuylineError, path: Path) -> None:
        if isinstance(error, ChangedOnDiskError):
            self.conflicted.emit(path)
        else:
            self.failed.emit(error)

    def _finish_saving(self) -> None:
        self._saving = None
        self.saving.emit(False)
        waiting, self._after_save = self._after_save, []
        for deed in waiting:
            self.after_save(deed)

    def _bring_back(self, plan: Plan, unsaved: Unsaved) -> None:
        self._document.edit(plan, "Bring back unsaved changes")
        self._journal(then=unsaved.discard)

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

    def _journal(self, then: Callable[[], object] = lambda: None) -> None:
        if self._is_journalling:  # a large plan takes a while; the next one waits for its turn
            self._journal_timer.start()
        elif self._document.is_modified:
            write = self._keeper.journalling(self._document.plan)
            runner = JobRunner(lambda job: write(), self)
            runner.succeeded.connect(lambda nothing: then())
            runner.refused.connect(self.failed)
            runner.finished.connect(self._finish_journalling)
            self._is_journalling = True
            runner.start()

    def _finish_journalling(self) -> None:
        self._is_journalling = False

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
    keeper = held or PlanKeeper(path)
    try:
        opened = opened_over(keeper.load(), path, path.resolve().parent)
        return _Kept(opened, keeper, keeper.unsaved())
    except GuylineError:
        if held is None:
            keeper.close()
        raise


def _written(wish: _Wish) -> _Written:
    """Write a plan, over the file it came from or as another one."""
    keeper = wish.keeper or PlanKeeper(wish.path)
    try:  # of another file the dialog has asked
        keeper.save(wish.plan, even_if_changed=wish.even_if_changed or wish.keeper is None)
    except GuylineError:
        if wish.keeper is None:
            keeper.close()
        raise
    if wish.former is not None:
        carry_over(wish.former, wish.path)
    return _Written(keeper, wish.path, wish.plan)


def _with_terrain(plan: Plan, path: Path | None) -> OpenedPlan:
    """Return the plan with the terrain it names; without a file, relative to nowhere."""
    folder = Path.cwd() if path is None else path.resolve().parent
    return opened_over(plan, path or folder / UNNAMED, folder)
