"""Does the sun carry the site, and can its battery be charged?"""

from __future__ import annotations

from guyline.core.plan import Chemistry, Gate, Plan, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.battery import CHEMISTRIES
from guyline.core.power.requirements import REQUIREMENT_SOURCE, requirement_of
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    RemedyAction,
    Verdict,
    Working,
)
from guyline.core.readiness.power_working import (
    battery_evidence,
    best_cure,
    coldest_words,
    figure,
    larger_battery,
    larger_panel,
    load_inputs,
    quantities_of,
    remedy_of,
)


def survival(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    chance = assessment.survival_probability
    if chance is None:
        return ()
    requirement = requirement_of(site.function)
    limit, low = requirement.survival_for_go, requirement.survival_with_conditions
    verdict = (
        Verdict.GO if chance >= limit else Verdict.CONDITIONS if chance >= low else Verdict.NO_GO
    )
    return (
        Finding(
            code=FindingCode.SURVIVAL,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict,
            quantity="chance of no outage in the mission",
            value=100.0 * chance,
            limit=100.0 * limit,
            unit="%",
            comparison=Comparison.AT_LEAST,
            facts=(("days", str(plan.incident.mission_days)),),
            working=Working(
                formula="share of simulated missions without an outage",
                inputs=load_inputs(assessment) + quantities_of(assessment.quantities),
                source=REQUIREMENT_SOURCE,
                confidence=assessment.quantity("simulated missions").confidence,
            ),
            remedy=None if verdict is Verdict.GO else best_cure(site, assessment),
        ),
    )


def balance(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    brings, load = assessment.yield_wh_per_day, assessment.load_wh_per_day
    if brings is None or load is None:
        return ()
    ratio = requirement_of(site.function).balance_ratio
    sure = requirement_of(site.function).survival_for_go
    survives = (assessment.survival_probability or 0.0) >= sure
    if brings >= ratio * load or (survives and brings >= load):
        verdict = Verdict.GO
    elif brings >= load or survives:
        verdict = Verdict.CONDITIONS
    else:
        verdict = Verdict.NO_GO
    return (
        Finding(
            code=FindingCode.SOLAR_BALANCE,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict,
            quantity="what the panel brings in the worst month",
            value=brings,
            limit=ratio * load,
            unit="Wh/day",
            comparison=Comparison.AT_LEAST,
            facts=(
                ("month", str(assessment.worst_month)),
                ("load", figure(load)),
                ("shortfall", figure(max(0.0, load - brings))),
                ("survives", "yes" if survives else "no"),
            ),
            evidence=assessment.quantity("mean daily clearness").source,
            working=Working(
                formula=(
                    "mean day's irradiance on the panel x rated power x losses; "
                    f"limit {ratio:g} x load"
                ),
                inputs=(
                    *load_inputs(assessment),
                    Quantity(name="tilt", value=assessment.panel_tilt_deg, unit="°"),
                    Quantity(name="true azimuth", value=assessment.panel_azimuth_deg, unit="°"),
                    *quantities_of(assessment.quantities),
                ),
                source=REQUIREMENT_SOURCE,
                confidence="a month's mean is known to about 13 %",
            ),
            remedy=None if verdict is Verdict.GO else larger_panel(site, assessment, ratio * load),
        ),
    )


def days_without_sun(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    days, mission = assessment.days_without_sun, plan.incident.mission_days
    if days is None or mission is None:
        return ()
    requirement = requirement_of(site.function)
    limit = min(requirement.days_for_go, float(mission))
    low = min(requirement.days_with_conditions, float(mission))
    verdict = Verdict.GO if days >= limit else Verdict.CONDITIONS if days >= low else Verdict.NO_GO
    return (
        Finding(
            code=FindingCode.DAYS_WITHOUT_SUN,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict,
            quantity="days without sun",
            value=days,
            limit=limit,
            unit="days",
            comparison=Comparison.AT_LEAST,
            evidence=battery_evidence(site),
            working=Working(
                formula="usable energy at the start / load",
                inputs=load_inputs(assessment) + quantities_of(assessment.quantities),
                source=REQUIREMENT_SOURCE,
                confidence=coldest_words(assessment),
            ),
            remedy=None if verdict is Verdict.GO else larger_battery(site, assessment, limit),
        ),
    )


def cold_charging(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    battery = site.power.battery
    coldest = assessment.quantity("coldest battery temperature")
    if battery is None or coldest.value is None:
        return ()
    limit = CHEMISTRIES[battery.chemistry].charge_from_c
    if limit is None:
        return (_cannot_charge(site, battery.chemistry),)
    good = coldest.value >= limit
    return (
        Finding(
            code=FindingCode.COLD_CHARGING,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=Verdict.GO if good else Verdict.CONDITIONS,
            quantity="coldest battery temperature",
            value=coldest.value,
            limit=limit,
            unit="°C",
            comparison=Comparison.AT_LEAST,
            facts=(("chemistry", str(battery.chemistry)),),
            evidence=coldest.source,
            working=Working(
                formula=f"{battery.chemistry} takes no charge below {limit:g} °C",
                inputs=quantities_of((coldest,)),
                source="cell specification of an LFP maker; a charger maker's support note"
                if limit == 0.0
                else "common practice, no source",
            ),
            remedy=None
            if good
            else remedy_of(
                site, RemedyAction.OBTAIN, "an insulated box or a place indoors for the battery"
            ),
        ),
    )


def _cannot_charge(site: Site, chemistry: Chemistry) -> Finding:
    return Finding(
        code=FindingCode.COLD_CHARGING,
        gate=Gate.POWER,
        site_id=site.site_id,
        verdict=Verdict.NO_GO,
        quantity="battery can be charged",
        facts=(("chemistry", str(chemistry)),),
        evidence="plan",
        working=Working(formula="primary cells must never be charged", source="makers' data"),
        remedy=remedy_of(site, RemedyAction.OBTAIN, "a rechargeable battery"),
    )
