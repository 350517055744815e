"""Keeps the assessment up to date with the document, off the GUI thread."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import GuylineError
from guyline.services.assessment import Assessor
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner

PATIENCE_MS = 1_000  # our choice: a shorter run ends by itself before anybody feels the wait


class LiveAssessment(QObject):
    """`updated` carries a PlanAssessment; `stale` says that a newer one is being made.

    Under a stream of edits, as while an antenna is dragged, every finished run is shown,
    so the display follows. A run that an edit has overtaken is cancelled when it lasts longer
    than `PATIENCE_MS`, but never two in a row: the display is late at worst, never starved.
    """

    updated = Signal(object)
    stale = Signal()
    settled = Signal()
    """No run is under way and none is wanted."""
    progressed = Signal(float, str)
    refused = Signal(GuylineError)
    crashed = Signal(Exception)

    def __init__(
        self, document: PlanDocument, assessor: Assessor, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._assessor = assessor
        self._runner: JobRunner | None = None
        self._again = False
        self._has_cancelled = False
        self._current: PlanAssessment | None = None
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(PATIENCE_MS)
        self._patience.timeout.connect(self._cancel_overtaken)
        document.changed.connect(self._on_changed)

    @property
    def current(self) -> PlanAssessment | None:
        """The last finished assessment, of the plan that it carries."""
        return self._current

    @property
    def is_running(self) -> bool:
        return self._runner is not None

    @property
    def assessor(self) -> Assessor:
        return self._assessor

    def use(self, assessor: Assessor) -> None:
        """Assess with other terrain or catalogues from now on; what was known is void."""
        self._assessor = assessor
        self._current = None
        self.refresh()

    def refresh(self) -> None:
        """Assess the document's plan as it is now."""
        self.stale.emit()
        if self._runner is None:
            self._start()
            return
        self._again = True
        if not self._patience.isActive() and not self._has_cancelled:
            self._patience.start()

    def cancel(self) -> None:
        """Stop the run under way; what was shown stays."""
        self._again = False
        if self._runner is not None:
            self._runner.cancel()

    def shut_down(self) -> None:
        """Stop for good: nothing is signalled any more."""
        self.blockSignals(True)
        self.cancel()

    def _start(self) -> None:
        plan, assessor = self._document.plan, self._assessor
        runner = JobRunner(lambda job: assessor.assess(plan, job), self)
        runner.succeeded.connect(lambda assessment: self._show(assessment, assessor))
        runner.refused.connect(self.refused)
        runner.crashed.connect(self.crashed)
        runner.progressed.connect(self.progressed)
        runner.finished.connect(self._on_finished)
        self._runner = runner
        runner.start()

    def _on_changed(self, plan: Plan) -> None:
        self.refresh()

    def _cancel_overtaken(self) -> None:
        if self._runner is not None and self._again:
            self._has_cancelled = True
            self._runner.cancel()

    def _show(self, assessment: PlanAssessment, assessor: Assessor) -> None:
        self._has_cancelled = False
        if assessor is self._assessor:
            self._current = assessment
            self.updated.emit(assessment)

    def _on_finished(self) -> None:
        self._patience.stop()
        self._runner = None
        if self._again:
            self._again = False
            self._start()
        else:
            self.settled.emit()
