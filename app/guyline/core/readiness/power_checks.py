"""Will the site still be on the air when it is needed?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import ceil

from guyline.core.plan import (
    Battery,
    Chemistry,
    Fact,
    Gate,
    Plan,
    PowerSource,
    Site,
)
from guyline.core.power.assessment import PowerAssessment, PowerQuantity
from guyline.core.power.battery import (
    BANK_DOUBTFUL_A,
    BANK_SURE_A,
    CHEMISTRIES,
    bank_current_a,
    charge_above_floor,
    usable_battery_wh,
)
from guyline.core.power.estimate import backup_hours_needed, lasts
from guyline.core.power.generator import FUEL_RESERVE
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.requirements import REQUIREMENT_SOURCE, requirement_of
from guyline.core.power.sizes import BATTERY_SIZES_WH, PANEL_SIZES_W, next_size
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

_WORST_ANSWER = {
    Fact.YES: Verdict.GO,
    Fact.NO: Verdict.CONDITIONS,
    Fact.UNKNOWN: Verdict.NOT_ASSESSED,
}


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
        remedy=_remedy(site, RemedyAction.ENTER, "how the site is fed"),
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
        remedy=_remedy(site, RemedyAction.ENTER, names),
    )


def _mains_alone(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    needed_h = site.power.backup_hours_needed
    lacks = bool(needed_h)
    return (
        Finding(
            code=FindingCode.POWER_SOURCE,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=Verdict.NO_GO if lacks else Verdict.CONDITIONS,
            quantity="backup of mains",
            value=0.0,
            limit=needed_h,
            unit="h",
            facts=(("source", str(site.power.source)),),
            evidence="plan",
            working=Working(
                formula="no battery behind mains: off the air when mains fails",
                source="common practice, no source",
            ),
            remedy=_remedy(site, RemedyAction.OBTAIN, "a battery that takes over from mains"),
        ),
    )


def _socket(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    answers = {
        "unswitched": site.power.mains_is_unswitched,
        "behind a residual-current device": site.power.mains_has_rcd,
    }
    lacking = [name for name, answer in answers.items() if answer is not Fact.YES]
    worst = next((a for a in (Fact.UNKNOWN, Fact.NO) if a in answers.values()), Fact.YES)
    return (
        Finding(
            code=FindingCode.MAINS_SOCKET,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=_WORST_ANSWER[worst],
            quantity="mains socket",
            facts=(
                ("unswitched", str(site.power.mains_is_unswitched)),
                ("rcd", str(site.power.mains_has_rcd)),
            ),
            evidence="plan",
            working=Working(
                formula="nobody can switch it off, and a residual-current device protects it",
                inputs=tuple(
                    Quantity(name=name, value=str(answer), source="plan")
                    for name, answer in answers.items()
                ),
                source="common practice, no source",
                confidence="fixed wiring is the work of licensed electricians",
            ),
            remedy=_remedy(
                site, RemedyAction.MEASURE, f"whether the socket is {' and '.join(lacking)}"
            )
            if lacking
            else None,
        ),
    )


def _backup(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    needed_h = backup_hours_needed(site, plan.incident.mission_days)
    hours = assessment.backup_hours
    if hours is None or needed_h is None:
        return ()
    full, visited = lasts(hours / HOURS_PER_DAY, needed_h / HOURS_PER_DAY, site)
    return (
        _carried(
            site,
            assessment,
            FindingCode.BACKUP,
            "hours the battery stands in for mains",
            (hours, needed_h, "h"),
            (full, visited),
        ),
    )


def _battery_life(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
            ("shortfall", _figure(assessment.shortfall_wh_per_day)),
        ),
        evidence=_battery_evidence(site),
        working=Working(
            formula="usable energy at the start / load",
            inputs=_load_inputs(assessment) + _quantities(assessment.quantities),
            source="battery: IEEE 485 and makers' data; limit: plan",
            confidence=_coldest_words(assessment),
        ),
        remedy=None if full else _larger_battery(site, assessment, needed_days),
    )


def _balance(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                ("load", _figure(load)),
                ("shortfall", _figure(max(0.0, load - brings))),
                ("survives", "yes" if survives else "no"),
            ),
            evidence=assessment.quantity("mean daily clearness").source,
            working=Working(
                formula=(
                    "mean day's irradiance on the panel x rated power x losses; "
                    f"limit {ratio:g} x load"
                ),
                inputs=(
                    *_load_inputs(assessment),
                    Quantity(name="tilt", value=assessment.panel_tilt_deg, unit="°"),
                    Quantity(name="true azimuth", value=assessment.panel_azimuth_deg, unit="°"),
                    *_quantities(assessment.quantities),
                ),
                source=REQUIREMENT_SOURCE,
                confidence="a month's mean is known to about 13 %",
            ),
            remedy=None
            if verdict is Verdict.GO
            else _larger_panel(site, assessment, ratio * load),
        ),
    )


def _days(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
            evidence=_battery_evidence(site),
            working=Working(
                formula="usable energy at the start / load",
                inputs=_load_inputs(assessment) + _quantities(assessment.quantities),
                source=REQUIREMENT_SOURCE,
                confidence=_coldest_words(assessment),
            ),
            remedy=None if verdict is Verdict.GO else _larger_battery(site, assessment, limit),
        ),
    )


def _survival(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                inputs=_load_inputs(assessment) + _quantities(assessment.quantities),
                source=REQUIREMENT_SOURCE,
                confidence=assessment.quantity("simulated missions").confidence,
            ),
            remedy=None if verdict is Verdict.GO else _best_cure(site, assessment),
        ),
    )


def _tested(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    battery = site.power.battery
    if battery is None:
        return ()
    tested = battery.is_tested is Fact.YES
    return (
        Finding(
            code=FindingCode.BATTERY_TESTED,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=Verdict.GO if tested else Verdict.CONDITIONS,
            quantity="capacity of the battery is tested",
            facts=(
                ("tested", str(battery.is_tested)),
                ("assumed", _figure(assessment.quantity("capacity left by age").value, 100.0)),
            ),
            evidence="plan",
            working=Working(
                formula="an untested battery is counted at a share of its label",
                inputs=_quantities(assessment.quantities),
                source="IEEE 450/485: a battery is replaced at 80 %; 60 % for untested ones: "
                "common practice, no source",
            ),
            remedy=None
            if tested
            else _remedy(site, RemedyAction.MEASURE, "the capacity of the battery under load"),
        ),
    )


def _cold(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                inputs=_quantities((coldest,)),
                source="cell specification of an LFP maker; a charger maker's support note"
                if limit == 0.0
                else "common practice, no source",
            ),
            remedy=None
            if good
            else _remedy(
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
        remedy=_remedy(site, RemedyAction.OBTAIN, "a rechargeable battery"),
    )


def _bank(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    battery, load = site.power.battery, assessment.load_wh_per_day
    if battery is None or not battery.is_power_bank or load is None:
        return ()
    mean_a = bank_current_a(load)
    tried = battery.is_tested is Fact.YES
    if mean_a >= BANK_SURE_A:
        verdict = Verdict.GO
    else:
        doubtful = mean_a >= BANK_DOUBTFUL_A or tried
        verdict = Verdict.CONDITIONS if doubtful else Verdict.NO_GO
    return (
        Finding(
            code=FindingCode.POWER_BANK,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict,
            quantity="current that keeps the power bank on",
            value=1000.0 * mean_a,
            limit=1000.0 * BANK_SURE_A,
            unit="mA",
            comparison=Comparison.AT_LEAST,
            facts=(("tried", str(battery.is_tested)),),
            evidence="load of the plan",
            working=Working(
                formula="load / 24 h / 5 V",
                inputs=_load_inputs(assessment),
                source="published measurements: banks switch off below 100 to 227 mA",
                confidence="banks differ: try it overnight with this very load",
            ),
            remedy=None
            if verdict is Verdict.GO
            else _remedy(
                site,
                RemedyAction.MEASURE,
                "overnight whether the power bank stays on, and comes back after it was empty",
            ),
        ),
    )


def _fuel(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                    *_load_inputs(assessment),
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
            else _remedy(site, RemedyAction.OBTAIN, "a stronger charger, or a smaller load"),
        ),
    )


def _more_fuel(site: Site, fuel_l: float) -> Remedy:
    return _remedy(site, RemedyAction.OBTAIN, f"fuel up to {ceil(fuel_l)} L at the site")


_Check = Callable[[Plan, Site, PowerAssessment], tuple[Finding, ...]]
_CHECKS: dict[PowerSource, tuple[_Check, ...]] = {
    PowerSource.MAINS: (_mains_alone, _socket),
    PowerSource.MAINS_WITH_BACKUP: (_backup, _tested, _socket, _bank),
    PowerSource.SOLAR: (_survival, _balance, _days, _tested, _cold, _bank),
    PowerSource.BATTERY: (_battery_life, _tested, _bank),
    PowerSource.GENERATOR: (_fuel, _tested),
}


def _larger_panel(site: Site, assessment: PowerAssessment, needed_wh: float) -> Remedy:
    """The next size of panel that brings what is needed: its yield grows with its power.

    Where a larger panel also ends all outages that were simulated, that size is named.
    """
    panel, brings_wh = site.power.panel, assessment.yield_wh_per_day
    simulated = [cure.value for cure in assessment.cures if cure.kind == "panel"]
    size = None
    if panel is not None and panel.stc_w and brings_wh:
        size = next_size(PANEL_SIZES_W, panel.stc_w * needed_wh / brings_wh)
    if size is None:
        return _remedy(site, RemedyAction.OBTAIN, "another source of power than the sun")
    return Remedy(
        action=RemedyAction.LARGER_PANEL,
        site_id=site.site_id,
        value=max([size, *simulated]),
        unit="W",
    )


def _larger_battery(site: Site, assessment: PowerAssessment, needed_days: float) -> Remedy:
    """The first size of battery whose days, computed again, are enough."""
    battery = site.power.battery
    if battery is not None and battery.capacity_wh is not None:
        for size in BATTERY_SIZES_WH:
            if size <= battery.capacity_wh:
                continue
            days = _days_of(replace(battery, capacity_wh=float(size)), assessment)
            if days is not None and days >= needed_days:
                return Remedy(
                    action=RemedyAction.LARGER_BATTERY,
                    site_id=site.site_id,
                    value=float(size),
                    unit="Wh",
                )
    return _remedy(
        site, RemedyAction.OBTAIN, "a smaller load, more frequent battery swaps or another source"
    )


def _days_of(battery: Battery, assessment: PowerAssessment) -> float | None:
    coldest_c = assessment.quantity("coldest battery temperature").value
    if coldest_c is None or battery.charge_fraction is None or not assessment.load_wh_per_day:
        return None
    usable_wh = usable_battery_wh(battery, coldest_c)
    if usable_wh is None:
        return None
    stored_wh = usable_wh * charge_above_floor(battery, battery.charge_fraction)
    return stored_wh / assessment.load_wh_per_day


def _best_cure(site: Site, assessment: PowerAssessment) -> Remedy:
    """The cure of least effort: turning the panel, else what an edit of the plan can do.

    All of them were simulated again.
    """
    actions = {"panel": RemedyAction.LARGER_PANEL, "battery": RemedyAction.LARGER_BATTERY}
    for cure in assessment.cures:
        if cure.kind == "tilt":
            facing = "" if cure.azimuth_deg is None else f", facing {cure.azimuth_deg:.0f}° true"
            what = f"the panel to a tilt of {cure.value:.0f}°{facing}"
            return _remedy(site, RemedyAction.MOVE, what)
        if cure.kind in actions:
            return Remedy(
                action=actions[cure.kind], site_id=site.site_id, value=cure.value, unit=cure.unit
            )
        if cure.battery_wh is not None:
            what = f"a panel of {cure.value:g} W together with a battery of {cure.battery_wh:g} Wh"
            return _remedy(site, RemedyAction.OBTAIN, what)
    return _remedy(site, RemedyAction.OBTAIN, "a smaller load, or another source of power")


def _remedy(site: Site, action: RemedyAction, what: str) -> Remedy:
    return Remedy(action=action, site_id=site.site_id, what=what)


def _load_inputs(assessment: PowerAssessment) -> tuple[Quantity, ...]:
    lines = tuple(
        Quantity(name=line.name, value=line.energy_wh_per_day, unit="Wh/day", source=line.source)
        for line in assessment.load_lines
    )
    total = Quantity(
        name="load", value=assessment.load_wh_per_day, unit="Wh/day", source="sum of its lines"
    )
    return (*lines, total)


def _quantities(known: tuple[PowerQuantity, ...]) -> tuple[Quantity, ...]:
    return tuple(Quantity(name=q.name, value=q.value, unit=q.unit, source=q.source) for q in known)


def _battery_evidence(site: Site) -> str:
    battery = site.power.battery
    if battery is not None and battery.health_fraction is not None:
        return "measured capacity of the battery"
    return "label of the battery, counted at a cautious share"


def _coldest_words(assessment: PowerAssessment) -> str:
    return assessment.quantity("capacity when coldest over that at 25 °C").confidence


def _figure(value: float | None, scale: float = 1.0) -> str:
    return "" if value is None else f"{value * scale:.{1 if scale == 1.0 else 0}f}"
