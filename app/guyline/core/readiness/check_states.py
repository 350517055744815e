"""How each line of the check catalogue stands over all sites of a plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from guyline.core.plan import Fact, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.check_catalogue import CHECK_CATALOGUE, CatalogueCheck, Elsewhere
from guyline.core.readiness.finding import Finding, FindingCode, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckState:
    """One check over a plan.

    Attributes
    ----------
    good, open
        Sites where all that it looks at is as it should be, and where something is not.
    answered_by
        Who says yes to its question, wherever somebody does; () for what is computed alone.
    """

    check: CatalogueCheck
    good: tuple[SiteId, ...] = ()
    open: tuple[SiteId, ...] = ()
    answered_by: tuple[str, ...] = ()


def check_states(assessment: PlanAssessment) -> tuple[CheckState, ...]:
    """The whole catalogue in its order; a site that a check does not concern is in no list."""
    return tuple(_state(assessment, check) for check in CHECK_CATALOGUE)


def _state(assessment: PlanAssessment, check: CatalogueCheck) -> CheckState:
    if check.elsewhere is Elsewhere.WEAK_SPOTS:
        weak = tuple(spot.site_id for spot in assessment.network.weak_spots)
        relays = {site_id for known in assessment.needs for site_id in known.route[1:-1]}
        return CheckState(check=check, good=tuple(sorted(relays - set(weak))), open=weak)
    found = {site.site_id: tuple(_findings(site, check)) for site in assessment.sites}
    return CheckState(
        check=check,
        good=tuple(site_id for site_id, of_it in found.items() if of_it and _all_go(of_it)),
        open=tuple(site_id for site_id, of_it in found.items() if not _all_go(of_it)),
        answered_by=_answered_by(assessment, check),
    )


def _findings(site: SiteAssessment, check: CatalogueCheck) -> Iterable[Finding]:
    for finding in site.findings:
        is_answer = finding.code is FindingCode.GATE_ANSWER and finding.gate is check.gate
        if finding.code in check.codes or is_answer:
            yield finding


def _all_go(findings: Iterable[Finding]) -> bool:
    return all(finding.verdict is Verdict.GO for finding in findings)


def _answered_by(assessment: PlanAssessment, check: CatalogueCheck) -> tuple[str, ...]:
    if check.gate is None:
        return ()
    records = (site.record(check.gate) for site in assessment.plan.sites)
    names = {record.answered_by for record in records if record.answer is Fact.YES}
    return tuple(sorted(name for name in names if name))
