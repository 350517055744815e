"""Why a site is not GO: the smallest set of mendings, each proven by judging the plan again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, islice

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.assumed_mending import assume_mended
from guyline.core.readiness.finding import Finding, FindingCode, Verdict, severity

Judge = Callable[[Plan], PlanAssessment]
Key = tuple[str, str, str, str]
MOST_TRIES = 64  # our choice: each judges the whole plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """What must be mended at a site, and what it is worth.

    Attributes
    ----------
    steps
        Findings to mend; without any one of them more than `left` stays open.
    reached
        Verdict of the site once all steps are done.
    left
        Findings that nothing in the plan can mend, such as what must be measured on site or
        waits for another site.
    """

    site_id: SiteId
    steps: tuple[Finding, ...]
    reached: Verdict
    left: tuple[Finding, ...]


def smallest_mending(
    plan: Plan,
    site_id: SiteId,
    assess: Judge,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Mending:
    """Smallest set of mendings that brings a site to the best verdict it can reach.

    Parameters
    ----------
    assess : callable
        Judges a whole plan; called a few times, and once more for each mending.
    tell : callable, optional
        Told how many mendings have been tried, and of how many.

    Notes
    -----
    All that can be mended is assumed mended, until nothing new comes to light. A mending
    without which more than `left` is open is needed in every set; of the others the fewest are
    looked for that make up for the rest, all sets of one before all of two. After `MOST_TRIES`
    the others are left out one by one instead: then no mending is idle, but fewer may do.
    """
    steps: list[Finding] = []
    best = assess(plan).site(site_id)
    while new := [f for f in open_findings(best) if _can_mend(plan, f) and not _is_in(f, steps)]:
        steps += new  # mending one thing can bring another to light
        best = assess(_with_all(plan, steps)).site(site_id)
    left = {_key(finding) for finding in open_findings(best)}

    def will_do(some: Collection[Finding]) -> bool:
        tried = assess(_with_all(plan, some)).site(site_id)
        return {_key(f) for f in open_findings(tried)} <= left

    needed: list[Finding] = []
    for n, finding in enumerate(steps):
        tell(n, len(steps))
        if not will_do([step for step in steps if step is not finding]):
            needed.append(finding)
    others = [step for step in steps if step not in needed]
    chosen = [*needed, *_fewest(needed, others, will_do)]
    return Mending(
        site_id=site_id,
        steps=tuple(f for f in steps if f in chosen and _key(f) not in left),
        reached=best.verdict,
        left=tuple(open_findings(best)),
    )


def _fewest(
    needed: Sequence[Finding],
    others: Sequence[Finding],
    will_do: Callable[[Collection[Finding]], bool],
) -> Sequence[Finding]:
    """The fewest of the others that will do beside what is needed."""
    sets = chain.from_iterable(combinations(others, size) for size in range(len(others)))
    for some in islice(sets, MOST_TRIES):
        if will_do((*needed, *some)):
            return some
    for finding in sorted(others, key=lambda f: -severity(f.verdict)):
        fewer = [other for other in others if other is not finding]
        if will_do((*needed, *fewer)):
            others = fewer
    return others


def open_findings(site: SiteAssessment) -> list[Finding]:
    """Findings of a site that keep it from GO, worst first."""
    return [f for f in site.findings if f.verdict is not Verdict.GO]


def _key(finding: Finding) -> Key:
    """What a finding is about, whatever its numbers are."""
    return (finding.code, finding.gate, finding.far_id or "", finding.quantity)


def _is_in(finding: Finding, steps: Iterable[Finding]) -> bool:
    return any(_key(step) == _key(finding) for step in steps)


def _can_mend(plan: Plan, finding: Finding) -> bool:
    return assume_mended(plan, finding) not in (None, plan)


def _with_all(plan: Plan, findings: Iterable[Finding]) -> Plan:
    """The plan with all of them assumed mended; names last, as others are told by them."""
    for finding in sorted(findings, key=lambda f: f.code is FindingCode.SITE_ALIKE):
        plan = assume_mended(plan, finding) or plan
    return plan
