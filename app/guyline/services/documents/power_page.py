"""The page of sites that still lack power."""

from __future__ import annotations

from dataclasses import replace
from typing import TypedDict

from guyline.core.plan import Gate, Plan, PowerSource
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.rounds import visit_rounds
from guyline.core.power.timeline import sites_up
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.content import PowerLine, PowerPage
from guyline.services.documents.cure_words import MOST_CURES, cure_words, ranking_words
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.power_blocks import outage
from guyline.services.documents.revision import content_digest
from guyline.services.wording import counted, remedy_sentence
from guyline.services.wording.power_details import round_lines, timeline_line


def power_page(plan: Plan, assessment: PlanAssessment, printing: Printing) -> PowerPage:
    """Each site that lacks power or may, with what is missing and what mends it."""
    lacking = assessment.sites_lacking_power
    page = PowerPage(
        imprint=imprint(plan, printing),
        summary=_summary(assessment),
        lines=tuple(_line(plan, site) for site in lacking),
        ranking=next((w for s in lacking if (w := ranking_words(s.power.cures))), ""),
        **_days(plan, assessment),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


class _Days(TypedDict, total=False):
    up: str
    trips: tuple[str, ...]


def _days(plan: Plan, assessment: PlanAssessment) -> _Days:
    """The sites that stay up and the trips that keep them so; nothing without a mission."""
    days = plan.incident.mission_days
    if not days or not assessment.sites:
        return {}
    powers = [site.power for site in assessment.sites]
    trips = round_lines(visit_rounds(powers, days), plan.incident.start_on)
    return {"up": timeline_line(sites_up(powers, days)), "trips": trips}


def _summary(assessment: PlanAssessment) -> str:
    count = len(assessment.sites)
    lacking = sum(site.power.lacks_power is True for site in assessment.sites)
    unknown = sum(site.power.lacks_power is None for site in assessment.sites)
    if not count:
        return "The plan has no sites."
    if not lacking and not unknown:
        return f"All {counted(count, 'site')} have power for the mission."
    parts = [f"{lacking} of {counted(count, 'site')} {'lacks' if lacking == 1 else 'lack'} power"]
    if unknown:
        parts.append(f"of {unknown} more nobody knows")
    return "; ".join(parts) + "."


def _line(plan: Plan, site: SiteAssessment) -> PowerLine:
    power = site.power
    unknown_source = power.source is PowerSource.UNKNOWN
    return PowerLine(
        site_id=site.site_id,
        name=plan.site(site.site_id).name,
        source=None if unknown_source else str(power.source),
        is_known=power.lacks_power is not None,
        shortfall=None
        if power.shortfall_wh_per_day is None
        else f"{power.shortfall_wh_per_day:.1f} Wh/day",
        outage=outage(power),
        missing=power.missing,
        cures=_cures(power) or _remedy(site),
    )


def _cures(power: PowerAssessment) -> tuple[str, ...]:
    """The first cures, which are those of least effort."""
    return tuple(cure_words(cure) for cure in power.cures[:MOST_CURES])


def _remedy(site: SiteAssessment) -> tuple[str, ...]:
    """What the worst finding about power asks for, where nothing was simulated."""
    for finding in site.findings:
        if finding.gate is Gate.POWER and finding.verdict is not Verdict.GO:
            words = remedy_sentence(finding)
            return (words,) if words else ()
    return ()
