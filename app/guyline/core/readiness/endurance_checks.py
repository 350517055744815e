"""Do battery, backup or fuel last as long as they must?"""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from guyline.core.plan import Gate, Plan, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.endurance import backup_hours_needed, lasts
from guyline.core.power.generator import FUEL_RESERVE
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.requirements import requirement_of
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)
from guyline.core.readiness.power_working import (
    battery_evidence,
    coldest_words,
    figure,
    larger_battery,
    load_inputs,
    quantities_of,
    remedy_of,
)


def backup(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    """How long the battery, with its panel if it has one, stands in for mains."""
    needed_h = backup_hours_needed(site, plan.incident.mission_days)
    hours, chance = assessment.backup_hours, assessment.survival_probability
    if hours is None or needed_h is None or chance is None:
        return ()
    need = requirement_of(site.function)
    full = chance >= need.survival_for_go and hours >= needed_h
    likely = chance >= need.survival_with_conditions
    found = _carried(
        site,
        assessment,
        FindingCode.BACKUP,
        "hours the battery stands in for mains",
        (hours, needed_h, "h"),
        (full, likely or assessment.lacks_power is False),
    )
    facts = (
        ("chance", "" if chance in (0.0, 1.0) else f"{100.0 * chance:.0f}"),
        ("turns", figure(site.power.mains_hours_per_day)),
        ("sun", "" if assessment.yield_wh_per_day is None else "yes"),
    )
    if found.remedy is not None:
        found = replace(found, remedy=_simulated_remedy(site, assessment) or found.remedy)
    return (replace(found, facts=(*found.facts, *facts)),)


def _simulated_remedy(site: Site, assessment: PowerAssessment) -> Remedy | None:
    """The best larger part that was simulated, None where none was."""
    actions = {"panel": RemedyAction.LARGER_PANEL, "battery": RemedyAction.LARGER_BATTERY}
    for cure in assessment.cures:
        if cure.kind in actions:
            return Remedy(
                action=actions[cure.kind], site_id=site.site_id, value=cure.value, unit=cure.unit
            )
    return None


def battery_life(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    days, mission = assessment.days_without_sun, plan.incident.mission_days
    if days is None or mission is None:
        return ()
    return (
        _carried(
            site,
            assessment,
            FindingCode.BATTERY_LIFE,
            "days the battery lasts",
            (days, float(mission), "days"),
            lasts(days, float(mission), site),
        ),
    )


def _carried(
    site: Site,
    assessment: PowerAssessment,
    code: FindingCode,
    quantity: str,
    held: tuple[float, float, str],
    lasts_how: tuple[bool, bool],
) -> Finding:
    value, limit, unit = held
    full, visited = lasts_how
    swap = site.power.battery_swap_days
    needed_days = limit / (HOURS_PER_DAY if unit == "h" else 1.0)
    return Finding(
        code=code,
        gate=Gate.POWER,
        site_id=site.site_id,
        verdict=Verdict.GO if full else Verdict.CONDITIONS if visited else Verdict.NO_GO,
        quantity=quantity,
        value=value,
        limit=limit,
        unit=unit,
        comparison=Comparison.AT_LEAST,
        facts=(
            ("swap", "" if swap is None else f"{swap:g}"),
            ("shortfall", figure(assessment.shortfall_wh_per_day)),
        ),
        evidence=battery_evidence(site),
        working=Working(
            formula="usable energy at the start / load",
            inputs=load_inputs(assessment) + quantities_of(assessment.quantities),
            source="battery: IEEE 485 and makers' data; limit: plan",
            confidence=coldest_words(assessment),
        ),
        remedy=None if full else larger_battery(site, assessment, needed_days),
    )


def fuel(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    days, mission = assessment.fuel_days, plan.incident.mission_days
    hours, per_day = assessment.generator_hours_per_day, assessment.fuel_l_per_day
    if days is None or mission is None or hours is None or per_day is None:
        return ()
    is_strong = hours <= HOURS_PER_DAY
    full, visited = lasts(days, float(mission), site)
    verdict = Verdict.GO if full else Verdict.CONDITIONS if visited else Verdict.NO_GO
    swap, generator = site.power.battery_swap_days, site.power.generator
    assert generator is not None
    return (
        Finding(
            code=FindingCode.FUEL,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict if is_strong else Verdict.NO_GO,
            quantity="days the fuel lasts",
            value=days,
            limit=float(mission),
            unit="days",
            facts=(
                ("per day", f"{per_day:.2g}"),
                ("hours", f"{hours:.1f}"),
                ("visit", "" if swap is None else f"{swap:g}"),
            ),
            evidence="fuel of the plan",
            working=Working(
                formula="fuel less a fifth as reserve / (hours of running x consumption)",
                inputs=(
                    *load_inputs(assessment),
                    Quantity(name="fuel", value=generator.fuel_l, unit="L", source="plan"),
                    Quantity(name="running", value=hours, unit="h/day"),
                    Quantity(name="burnt", value=per_day, unit="L/day"),
                ),
                source="consumption of small petrol sets, from memory"
                if generator.fuel_l_per_h is None
                else "consumption as measured",
                confidence="measure the consumption at this load before relying on it",
            ),
            remedy=None
            if full and is_strong
            else _more_fuel(site, per_day * mission / (1.0 - FUEL_RESERVE))
            if is_strong
            else remedy_of(site, RemedyAction.OBTAIN, "a stronger charger, or a smaller load"),
        ),
    )


def _more_fuel(site: Site, fuel_l: float) -> Remedy:
    return remedy_of(site, RemedyAction.OBTAIN, f"fuel up to {ceil(fuel_l)} L at the site")
