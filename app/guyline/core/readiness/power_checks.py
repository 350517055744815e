"""Will the site still be on the air when it is needed?"""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.plan import Gate, Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.endurance_checks import backup, battery_life, fuel
from guyline.core.readiness.feed_checks import battery_tested, mains_alone, power_bank, socket
from guyline.core.readiness.finding import (
    Finding,
    FindingCode,
    Quantity,
    RemedyAction,
    Verdict,
    Working,
)
from guyline.core.readiness.power_working import remedy_of
from guyline.core.readiness.solar_checks import balance, cold_charging, days_without_sun, survival


def power_findings(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    """Findings about the power of a site."""
    if site.power.source is PowerSource.UNKNOWN:
        return (_source_unknown(site),)
    checks = _CHECKS[site.power.source]
    findings = [finding for check in checks for finding in check(plan, site, assessment)]
    if assessment.missing:
        findings.insert(0, _inputs(site, assessment))
    return tuple(findings)


def _source_unknown(site: Site) -> Finding:
    return Finding(
        code=FindingCode.POWER_SOURCE,
        gate=Gate.POWER,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="source of power",
        facts=(("source", str(site.power.source)),),
        remedy=remedy_of(site, RemedyAction.ENTER, "how the site is fed"),
    )


def _inputs(site: Site, assessment: PowerAssessment) -> Finding:
    names = ", ".join(assessment.missing)
    return Finding(
        code=FindingCode.POWER_INPUTS,
        gate=Gate.POWER,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="power budget",
        facts=(("missing", names),),
        working=Working(
            formula="no budget without these values",
            inputs=tuple(Quantity(name=name, value=None) for name in assessment.missing),
        ),
        remedy=remedy_of(site, RemedyAction.ENTER, names),
    )


_Check = Callable[[Plan, Site, PowerAssessment], tuple[Finding, ...]]
_CHECKS: dict[PowerSource, tuple[_Check, ...]] = {
    PowerSource.MAINS: (mains_alone, socket),
    PowerSource.MAINS_WITH_BACKUP: (backup, battery_tested, socket, power_bank),
    PowerSource.SOLAR: (
        survival,
        balance,
        days_without_sun,
        battery_tested,
        cold_charging,
        power_bank,
    ),
    PowerSource.BATTERY: (battery_life, battery_tested, power_bank),
    PowerSource.GENERATOR: (fuel, battery_tested),
}
