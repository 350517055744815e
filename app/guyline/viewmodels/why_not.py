"""What makes the selected site GO: the smallest set of mendings, worked out when asked."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Finding, RemedyAction, Verdict
from guyline.core.readiness.mending import Mending, open_findings, smallest_mending
from guyline.core.readiness.remedy import apply_remedy
from guyline.services.assessment import Assessor
from guyline.services.job import Job
from guyline.services.wording import counted, remedy_sentence, sentence
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.entries import Entry, entry_of
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection

_Key = tuple[str, str, str]
UNOWNED = "Nobody has taken charge of it yet."


@dataclass(frozen=True, slots=True, kw_only=True)
class MendingRow:
    """One mending; `who` sees to it, where it is not for whoever sits here."""

    verdict: Verdict
    text: str
    why: str
    who: str
    can_be_done_here: bool
    entry: Entry | None
    is_done: bool


class WhyNot(QObject):
    """Works on a thread of its own; what was found stays until another site is selected.

    Mendings that have been done meanwhile are shown as done; `is_outdated` says that the plan
    has changed since, so that the set may be another now.
    """

    changed = Signal()
    progressed = Signal(float, str)

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        assessor: Assessor,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._live = document, selection, live
        self._assessor = assessor
        self._runner: JobRunner | None = None
        self._found: tuple[Plan, Mending] | None = None
        self._seen: set[_Key] = set()
        """Findings that were open since the answer: one that mending brings to light is not done
        while nobody has seen it."""
        selection.site_changed.connect(lambda site_id: self.forget())
        live.updated.connect(lambda assessment: self._look_again())
        document.changed.connect(lambda plan: self.changed.emit())

    def use(self, assessor: Assessor) -> None:
        """Ask another assessor from now on, as after other terrain was opened."""
        self._assessor = assessor
        self.forget()

    @property
    def can_be_asked(self) -> bool:
        """Whether there is a judged site that is not GO."""
        assessed = self._assessed
        return assessed is not None and assessed.verdict is not Verdict.GO

    @property
    def is_working(self) -> bool:
        return self._runner is not None

    @property
    def mending(self) -> Mending | None:
        return None if self._found is None else self._found[1]

    @property
    def is_outdated(self) -> bool:
        return self._found is not None and self._found[0] is not self._document.plan

    def ask(self) -> None:
        """Look for the smallest set of mendings of the selected site."""
        site_id, plan, assessor = self._selection.site_id, self._document.plan, self._assessor
        self.cancel()
        if site_id is None or not plan.has_site(site_id):
            return
        runner = JobRunner(lambda job: (plan, _mending(plan, site_id, assessor, job)), self)
        runner.progressed.connect(self.progressed)
        runner.succeeded.connect(lambda found: self._take(runner, found))
        runner.finished.connect(lambda: self._finish(runner))
        self._runner = runner
        self.changed.emit()
        runner.start()

    def cancel(self) -> None:
        """Stop looking; nothing is found then."""
        if self._runner is not None:
            self._runner.cancel()
            self._runner = None
            self.changed.emit()

    def forget(self) -> None:
        """Take the answer away and stop looking."""
        self.cancel()
        if self._found is not None:
            self._found = None
            self.changed.emit()

    @property
    def headline(self) -> str:
        """How far it is to GO, in a sentence."""
        mending = self.mending
        if mending is None:
            return ""
        open_steps = sum(not row.is_done for row in self.steps)
        if self.unknown:
            count = counted(len(self.unknown), "thing")
            return f"{count} must be entered before anybody can say what makes it GO."
        if not mending.steps:
            return f"Nothing in the plan alone mends {mending.site_id}."
        if open_steps == 0:
            return f"All {counted(len(mending.steps), 'mending')} are done."
        after = f"after {counted(open_steps, 'mending')}"
        if mending.reached is Verdict.GO:
            return f"{mending.site_id} is GO {after}."
        return f"{mending.site_id} is {mending.reached} {after}; GO needs the rest below as well."

    @property
    def steps(self) -> tuple[MendingRow, ...]:
        return () if self.mending is None else tuple(map(self._row, self.mending.steps))

    @property
    def unknown(self) -> tuple[MendingRow, ...]:
        """What must be entered first, as the rest hangs on it."""
        left = () if self.mending is None else self.mending.left
        return tuple(self._row(finding) for finding in left if _is_to_enter(finding))

    @property
    def left(self) -> tuple[MendingRow, ...]:
        """What no mending of the plan settles: visits, measurements, other sites."""
        left = () if self.mending is None else self.mending.left
        return tuple(self._row(finding) for finding in left if not _is_to_enter(finding))

    @property
    def edits(self) -> tuple[Finding, ...]:
        """Steps that a button can do, and that are still open."""
        if self.mending is None:
            return ()
        return tuple(f for f in self.mending.steps if _is_edit(f) and not self._is_done(f))

    def apply(self) -> None:
        """Do all that the plan itself can be changed by, as one undoable step."""
        edits, plan = self.edits, self._document.plan
        for finding in edits:
            assert finding.remedy is not None
            plan = apply_remedy(plan, finding.remedy)
        if edits:
            what = remedy_sentence(edits[0]).rstrip(".")
            name = what if len(edits) == 1 else f"do {counted(len(edits), 'mending')}"
            self._document.edit(plan, f"{edits[0].site_id}: {name}")

    @property
    def _assessed(self) -> SiteAssessment | None:
        site_id, current = self._selection.site_id, self._live.current
        if site_id is None or current is None or not current.plan.has_site(site_id):
            return None
        return current.site(site_id)

    def _row(self, finding: Finding) -> MendingRow:
        return MendingRow(
            verdict=finding.verdict,
            text=remedy_sentence(finding) or sentence(finding),
            why=sentence(finding),
            who="" if _is_edit(finding) or _is_to_enter(finding) else self._who(finding),
            can_be_done_here=_is_edit(finding),
            entry=entry_of(finding),
            is_done=self._is_done(finding),
        )

    def _is_done(self, finding: Finding) -> bool:
        return _key(finding) in self._seen - self._open

    @property
    def _open(self) -> set[_Key]:
        assessed = self._assessed
        return set() if assessed is None else set(map(_key, open_findings(assessed)))

    def _look_again(self) -> None:
        self._seen |= self._open
        self.changed.emit()

    def _who(self, finding: Finding) -> str:
        plan = self._document.plan
        if not plan.has_site(finding.site_id):
            return UNOWNED
        record = plan.site(finding.site_id).record(finding.gate)
        if not record.owner:
            return UNOWNED
        return f"{record.owner}{f' by {record.due_on:%d %b %Y}' if record.due_on else ''}."

    def _take(self, runner: JobRunner, found: tuple[Plan, Mending]) -> None:
        if runner is self._runner:
            self._found = found
            self._seen = self._open

    def _finish(self, runner: JobRunner) -> None:
        if runner is self._runner:
            self._runner = None
            self.changed.emit()


def _key(finding: Finding) -> _Key:
    return finding.code, finding.gate, finding.far_id or ""


def _is_to_enter(finding: Finding) -> bool:
    return finding.remedy is not None and finding.remedy.action is RemedyAction.ENTER


def _is_edit(finding: Finding) -> bool:
    return finding.remedy is not None and finding.remedy.is_edit


class _Within(Job):
    """A part of another job: it stops with it, and leaves the telling to it."""

    def __init__(self, whole: Job) -> None:
        super().__init__()
        self._whole = whole

    def check(self) -> None:
        self._whole.check()


def _mending(plan: Plan, site_id: SiteId, assessor: Assessor, job: Job) -> Mending:
    def judge(tried: Plan) -> PlanAssessment:
        return assessor.assess(tried, _Within(job))

    def tell(done: int, of: int) -> None:
        job.report(done / of, "Leaving out one mending after another")

    job.report(-1.0, "Mending all that can be mended")
    return smallest_mending(plan, site_id, judge, tell)
