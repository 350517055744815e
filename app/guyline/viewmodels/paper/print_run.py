"""The documents that somebody wants on paper, laid out off the GUI thread and kept current."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, datetime

from PySide6.QtCore import QObject, Signal

from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import GuylineError
from guyline.services.documents.choice import Choice, choices, document
from guyline.services.documents.imprint import Printing
from guyline.services.job import Job
from guyline.services.plan_files import plan_digest
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import A4, PageSize
from guyline.viewmodels.paper.pages import pages_of

Leaves = tuple[tuple[Page, ...], ...]
"""Pages by document: each begins on a new leaf when paper is printed on both sides."""


class PrintRun(QObject):
    """`ready` says that `leaves` show the plan as it is now; `waiting` that they will soon."""

    ready = Signal()
    waiting = Signal(str)
    listed = Signal()
    """There are other documents to choose from, or other verdicts."""
    failed = Signal(GuylineError)

    def __init__(
        self,
        plan_document: PlanDocument,
        live: LiveAssessment,
        plan_name: str = "",
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._live = plan_document, live
        self._plan_name = plan_name
        self._left_out: frozenset[str] = frozenset()
        self._size = A4
        self._leaves: Leaves | None = None
        self._made: dict[tuple[str, str], tuple[Page, ...]] = {}
        self._made_of: PlanAssessment | None = None
        self._printed_at = datetime.now(UTC)
        self._runner: JobRunner | None = None
        self._again = False
        live.updated.connect(self._on_assessed)
        live.stale.connect(self.refresh)

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What can be printed; () until the plan is assessed."""
        assessment = self._live.current
        return () if assessment is None else choices(assessment)

    @property
    def chosen(self) -> tuple[Choice, ...]:
        return tuple(c for c in self.choices if c.key not in self._left_out)

    @property
    def page_size(self) -> PageSize:
        return self._size

    @property
    def is_ready(self) -> bool:
        return self._leaves is not None

    @property
    def leaves(self) -> Leaves:
        return self._leaves or ()

    @property
    def pages(self) -> tuple[Page, ...]:
        return tuple(page for leaf in self.leaves for page in leaf)

    def leave_out(self, keys: Collection[str]) -> None:
        """Print all documents but these."""
        if frozenset(keys) != self._left_out:
            self._left_out = frozenset(keys)
            self.refresh()

    def use_size(self, size: PageSize) -> None:
        if size is not self._size:
            self._size = size
            self.refresh()

    def refresh(self) -> None:
        """Lay out what is chosen, as soon as the assessment belongs to the plan."""
        self._leaves = None
        assessment = self._live.current
        if assessment is None or assessment.plan != self._document.plan:
            self.waiting.emit("Waiting for the assessment of the plan.")
            return
        self.waiting.emit("Laying out the pages.")
        if self._runner is not None:
            self._again = True
            self._runner.cancel()
            return
        self._start(assessment)

    def _on_assessed(self, assessment: PlanAssessment) -> None:
        self.listed.emit()
        self.refresh()

    def _start(self, assessment: PlanAssessment) -> None:
        if assessment is not self._made_of:
            self._made, self._made_of = {}, assessment
            self._printed_at = datetime.now(UTC)
        wanted, size, made = self.chosen, self._size, self._made
        printing = Printing(
            at=self._printed_at,
            plan_name=self._plan_name,
            revision=plan_digest(assessment.plan),
        )
        self._runner = JobRunner(
            lambda job: _laid_out(assessment, wanted, printing, size, made, job), self
        )
        self._runner.succeeded.connect(self._show)
        self._runner.refused.connect(self.failed)
        self._runner.finished.connect(self._on_finished)
        self._runner.start()

    def _show(self, leaves: Leaves) -> None:
        if not self._again:
            self._leaves = leaves
            self.ready.emit()

    def _on_finished(self) -> None:
        if self._runner is not None:
            self._runner.deleteLater()
            self._runner = None
        if self._again:
            self._again = False
            self.refresh()


def _laid_out(
    assessment: PlanAssessment,
    wanted: tuple[Choice, ...],
    printing: Printing,
    size: PageSize,
    made: dict[tuple[str, str], tuple[Page, ...]],
    job: Job,
) -> Leaves:
    """Pages of each document; `made` keeps those of the same assessment."""
    for choice in job.track(wanted, "Laying out the pages"):
        key = (choice.key, size.name)
        if key not in made:
            made[key] = pages_of(document(assessment, choice, printing), size)
    return tuple(made[choice.key, size.name] for choice in wanted)
