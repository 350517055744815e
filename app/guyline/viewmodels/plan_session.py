"""Opens, saves and names the plan on the desk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan
from guyline.errors import GuylineError
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.job import Job
from guyline.services.opening import OpenedPlan, open_plan
from guyline.services.plan_files import SUFFIX, save_plan
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.settings import Settings

UNNAMED = "New plan"


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
    crashed = Signal(Exception)
    busy = Signal(bool)

    def __init__(
        self, document: PlanDocument, settings: Settings, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._settings = settings
        self._path: Path | None = None
        self._runner: JobRunner | None = None
        self._terrain_sources = document.plan.terrain_sources
        document.undo_stack.cleanChanged.connect(lambda clean: self.renamed.emit())
        document.changed.connect(self._follow_terrain)

    @property
    def path(self) -> Path | None:
        """Where the plan is stored, None if it never was."""
        return self._path

    @property
    def name(self) -> str:
        if self._path is None:
            return UNNAMED
        return self._path.name.removesuffix(SUFFIX)

    def open(self, path: Path) -> None:
        """Open a plan off the GUI thread; the plan on the desk stays until the new one is read."""
        self._run(lambda job: open_plan(path), self._show_opened)

    def reopen_terrain(self) -> None:
        """Read the terrain files again that the plan names now."""
        plan, path = self._document.plan, self._path
        self._run(lambda job: _with_terrain(plan, path), self.opened.emit)

    def new(self, plan: Plan) -> None:
        """Begin a plan that has no file yet."""
        self._replace(plan, None)
        self.reopen_terrain()

    def save(self, path: Path) -> bool:
        """Write the plan, and say whether that was done."""
        plan = self._document.plan
        try:
            save_plan(plan, path)
        except GuylineError as error:
            self.failed.emit(error)
            return False
        self._path = path
        self._document.undo_stack.setClean()
        self._settings.remember_plan(path)
        self.saved.emit(path)
        self.renamed.emit()
        return True

    def _show_opened(self, opened: OpenedPlan) -> None:
        self._replace(opened.plan, opened.path)
        self._settings.remember_plan(opened.path)
        self.opened.emit(opened)

    def _replace(self, plan: Plan, path: Path | None) -> None:
        self._path = path
        self._terrain_sources = plan.terrain_sources
        self._document.open(plan)
        self.replaced.emit()
        self.renamed.emit()

    def _follow_terrain(self, plan: Plan) -> None:
        """Read the elevation anew when an edit, or its undoing, names other files."""
        if plan.terrain_sources != self._terrain_sources:
            self._terrain_sources = plan.terrain_sources
            self.reopen_terrain()

    def _run(self, work: Callable[[Job], object], show: Callable[[OpenedPlan], object]) -> None:
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


def _with_terrain(plan: Plan, path: Path | None) -> OpenedPlan:
    """Return the plan with the terrain it names; without a file, relative to nowhere."""
    folder = Path.cwd() if path is None else path.resolve().parent
    terrain = Terrain.open(plan.terrain_sources, folder)
    return OpenedPlan(
        plan=plan, path=path or folder / UNNAMED, terrain=terrain, assessor=Assessor(terrain)
    )
