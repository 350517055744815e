"""Are socket and battery what they are taken for?"""

from __future__ import annotations

from guyline.core.plan import Fact, Gate, Plan, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.battery import BANK_DOUBTFUL_A, BANK_SURE_A, bank_current_a
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    RemedyAction,
    Verdict,
    Working,
)
from guyline.core.readiness.power_working import figure, load_inputs, quantities_of, remedy_of

_WORST_ANSWER = {
    Fact.YES: Verdict.GO,
    Fact.NO: Verdict.CONDITIONS,
    Fact.UNKNOWN: Verdict.NOT_ASSESSED,
}


def mains_alone(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
    needed_h = site.power.backup_hours_needed
    lacks = bool(needed_h) or assessment.lacks_power is True
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
            facts=(
                ("source", str(site.power.source)),
                ("turns", _turns(assessment, site)),
            ),
            evidence="plan",
            working=Working(
                formula="no battery behind mains: off the air when mains fails",
                source="common practice, no source",
            ),
            remedy=remedy_of(site, RemedyAction.OBTAIN, "a battery that takes over from mains"),
        ),
    )


def _turns(assessment: PowerAssessment, site: Site) -> str:
    """Hours of mains a day, "" where it is not cut by turns."""
    return figure(site.power.mains_hours_per_day) if assessment.lacks_power else ""


def socket(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
            remedy=remedy_of(
                site, RemedyAction.MEASURE, f"whether the socket is {' and '.join(lacking)}"
            )
            if lacking
            else None,
        ),
    )


def battery_tested(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                ("assumed", figure(assessment.quantity("capacity left by age").value, 100.0)),
            ),
            evidence="plan",
            working=Working(
                formula="an untested battery is counted at a share of its label",
                inputs=quantities_of(assessment.quantities),
                source="IEEE 450/485: a battery is replaced at 80 %; 60 % for untested ones: "
                "common practice, no source",
            ),
            remedy=None
            if tested
            else remedy_of(site, RemedyAction.MEASURE, "the capacity of the battery under load"),
        ),
    )


def power_bank(plan: Plan, site: Site, assessment: PowerAssessment) -> tuple[Finding, ...]:
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
                inputs=load_inputs(assessment),
                source="published measurements: banks switch off below 100 to 227 mA",
                confidence="banks differ: try it overnight with this very load",
            ),
            remedy=None
            if verdict is Verdict.GO
            else remedy_of(
                site,
                RemedyAction.MEASURE,
                "overnight whether the power bank stays on, and comes back after it was empty",
            ),
        ),
    )
