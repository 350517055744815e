"""Keeps the assessment up to date with the document, off the GUI thread."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import GuylineError
from guyline.services.assessment import Assessor
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner


class LiveAssessment(QObject):
    """`updated` carries a PlanAssessment; `stale` says that a newer one is being made.

    An edit while a run is under way cancels that run and starts another,
    so the last value shown always belongs to some plan as a whole.
    """

    updated = Signal(object)
    stale = Signal()
    progressed = Signal(float, str)
    refused = Signal(GuylineError)

    def __init__(
        self, document: PlanDocument, assessor: Assessor, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._assessor = assessor
        self._runner: JobRunner | None = None
        self._again = False
        self._current: PlanAssessment | None = None
        document.changed.connect(self._on_changed)

    @property
    def current(self) -> PlanAssessment | None:
        return self._current

    @property
    def is_running(self) -> bool:
        return self._runner is not None

    def use(self, assessor: Assessor) -> None:
        """Assess with other terrain or catalogues from now on."""
        self._assessor = assessor
        self.refresh()

    def refresh(self) -> None:
        """Assess the document's plan as it is now."""
        self.stale.emit()
        if self._runner is not None:
            self._again = True
            self._runner.cancel()
            return
        plan, assessor = self._document.plan, self._assessor
        self._runner = JobRunner(lambda job: assessor.assess(plan, job), self)
        self._runner.succeeded.connect(self._show)
        self._runner.refused.connect(self.refused)
        self._runner.progressed.connect(self.progressed)
        self._runner.finished.connect(self._on_finished)
        self._runner.start()

    def cancel(self) -> None:
        if self._runner is not None:
            self._runner.cancel()

    def _on_changed(self, plan: Plan) -> None:
        self.refresh()

    def _show(self, assessment: PlanAssessment) -> None:
        if not self._again:
            self._current = assessment
            self.updated.emit(assessment)

    def _on_finished(self) -> None:
        if self._runner is not None:
            self._runner.deleteLater()
            self._runner = None
        if self._again:
            self._again = False
            self.refresh()
