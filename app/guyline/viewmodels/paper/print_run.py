"""The documents that somebody wants on paper, laid out off the GUI thread and kept current."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import UTC, datetime

from PySide6.QtCore import QObject, Signal

from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import GuylineError
from guyline.services.assessment import Assessor
from guyline.services.documents.choice import (
    COVERAGE,
    ON_REQUEST,
    Choice,
    choices,
    document,
)
from guyline.services.documents.content import Document
from guyline.services.documents.coverage_page import worked_out_page
from guyline.services.documents.imprint import Printing
from guyline.services.documents.map_extract import Ground
from guyline.services.job import Job
from guyline.services.plan_files import plan_digest
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import A4, PageSize
from guyline.viewmodels.paper.pages import pages_of
from guyline.viewmodels.paper.printed_sheets import PrintedSheets
from guyline.viewmodels.paper.type import load_fonts

Leaves = tuple[tuple[Page, ...], ...]
"""Pages by document: each begins on a new leaf when paper is printed on both sides."""


@dataclass
class _Made:
    """What was made of one assessment; nothing of it is made twice."""

    assessment: PlanAssessment
    assessor: Assessor
    printing: Printing
    documents: dict[str, Document] = field(default_factory=dict)
    pages: dict[tuple[str, str], tuple[Page, ...]] = field(default_factory=dict)

    @property
    def digests(self) -> dict[str, str]:
        return {key: made.imprint.digest for key, made in self.documents.items()}

    def leaves(self, wanted: Collection[Choice], size: PageSize, job: Job) -> Leaves:
        """Make every document, for its digest, and lay out those that are wanted."""
        ground = Ground(terrain=self.assessor.terrain, layers=self.assessor.layers)
        for choice in job.track(choices(self.assessment), "Writing the sheets"):
            if choice.key not in self.documents:
                made = document(self.assessment, choice, self.printing, ground)
                self.documents[choice.key] = made
        for choice in job.track(wanted, "Laying out the pages"):
            key = (choice.key, size.name)
            if key not in self.pages:
                self.pages[key] = pages_of(self._document(choice, job), size)
        return tuple(self.pages[choice.key, size.name] for choice in wanted)

    def _document(self, choice: Choice, job: Job) -> Document:
        """A document that stands; coverage is worked out when it is first wanted."""
        if choice.key not in self.documents:
            assert choice == COVERAGE
            plan, assessor = self.assessment.plan, self.assessor
            made = worked_out_page(plan, assessor.terrain, assessor.layers, self.printing, job)
            self.documents[choice.key] = made
        return self.documents[choice.key]


class PrintRun(QObject):
    """`ready` says that `leaves` show the plan as it is now; `waiting` that they will soon."""

    ready = Signal()
    waiting = Signal(str)
    listed = Signal()
    """There are other documents to choose from, or other verdicts."""
    failed = Signal(GuylineError)
    crashed = Signal(Exception)

    def __init__(
        self,
        plan_document: PlanDocument,
        live: LiveAssessment,
        printed: PrintedSheets,
        plan_name: str = "",
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        load_fonts()
        self._document, self._live = plan_document, live
        self._printed, self._plan_name = printed, plan_name
        self._left_out = frozenset(choice.key for choice in (*ON_REQUEST, COVERAGE))
        self._size = A4
        self._leaves: Leaves | None = None
        self._made: _Made | None = None
        self._runner: JobRunner | None = None
        self._again = False
        live.updated.connect(self._on_assessed)
        live.stale.connect(self.refresh)

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What can be printed; () until the plan is assessed."""
        assessment = self._live.current
        return () if assessment is None else (*choices(assessment), COVERAGE)

    @property
    def chosen(self) -> tuple[Choice, ...]:
        return tuple(c for c in self.choices if c.key not in self._left_out)

    @property
    def unchanged(self) -> frozenset[str]:
        """Keys of documents that were printed just as they are now."""
        if self._made is None or not self.is_ready:
            return frozenset()
        before = self._printed.of(self._plan_name)
        return frozenset(k for k, d in self._made.digests.items() if before.get(k) == d)

    @property
    def changed(self) -> frozenset[str]:
        """Keys of documents to print: changed since, or never printed though the crew's."""
        before = self._printed.of(self._plan_name)
        on_request = {choice.key for choice in (*ON_REQUEST, COVERAGE)}
        keys = {choice.key for choice in self.choices} - self.unchanged
        return frozenset(key for key in keys if key in before or key not in on_request)

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

    def first_page_of(self, key: str) -> int | None:
        """Number of a document's first page, counted from 1; None where it is left out."""
        number = 1
        for choice, leaf in zip(self.chosen, self.leaves, strict=False):
            if choice.key == key:
                return number
            number += len(leaf)
        return None

    def leave_out(self, keys: Collection[str]) -> None:
        """Print all documents but these."""
        if frozenset(keys) != self._left_out:
            self._left_out = frozenset(keys)
            self.refresh()

    def use_size(self, size: PageSize) -> None:
        if size is not self._size:
            self._size = size
            self.refresh()

    def remember_printed(self) -> None:
        """Note that what is chosen is on paper now."""
        if self._made is not None and self.is_ready:
            digests = self._made.digests
            chosen = {choice.key: digests[choice.key] for choice in self.chosen}
            self._printed.remember(self._plan_name, chosen)
            self._document.printed.emit(self._made.assessment.plan)
            self.listed.emit()

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
        if self._made is None or assessment is not self._made.assessment:
            printing = Printing(
                at=datetime.now(UTC),
                plan_name=self._plan_name,
                revision=plan_digest(assessment.plan),
            )
            self._made = _Made(
                assessment=assessment, assessor=self._live.assessor, printing=printing
            )
        made, wanted, size = self._made, self.chosen, self._size
        runner = JobRunner(lambda job: made.leaves(wanted, size, job), self)
        runner.succeeded.connect(self._show)
        runner.refused.connect(self.failed)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(self._on_finished)
        self._runner = runner
        runner.start()

    def _show(self, leaves: Leaves) -> None:
        if not self._again:
            self._leaves = leaves
            self.ready.emit()

    def _on_finished(self) -> None:
        self._runner = None
        if self._again:
            self._again = False
            self.refresh()
