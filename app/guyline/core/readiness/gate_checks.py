"""Gates that only people can answer, and conditions that somebody must own."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from guyline.core.plan import ASKED, Fact, Gate, GateRecord, Plan, Site
from guyline.core.readiness.check_catalogue import questions_of
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

FRESH_DAYS: dict[Gate, int] = {
    Gate.NEED: 14,
    Gate.SAFETY: 14,
    Gate.BENCH_TEST: 180,
    Gate.RECOVERY: 60,
}
"""How old an answer may be on the first day of the mission; our choice, after trade practice
that a need, a weather and crew plan age in days and a bench test in months."""

OWNED = frozenset(Gate) - {Gate.NETWORK}
"""Gates whose conditions need an owner; those of the network belong to the other sites."""


def asked_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Findings about the gates that only people can answer."""
    return tuple(_answer(plan, site, site.record(gate)) for gate in ASKED)


def recovery_findings(site: Site) -> tuple[Finding, ...]:
    """Whether somebody fetches the kit, and when; () while the gate itself is not answered."""
    record = site.record(Gate.RECOVERY)
    if record.answer is not Fact.YES:
        return ()
    named = _is_owned(record)
    return (
        Finding(
            code=FindingCode.RECOVERY_DATE,
            gate=Gate.RECOVERY,
            site_id=site.site_id,
            verdict=Verdict.GO if named else Verdict.CONDITIONS,
            quantity="who fetches the kit, and when",
            facts=(
                ("owner", record.owner),
                ("due", "" if record.due_on is None else record.due_on.isoformat()),
            ),
            evidence=record.evidence,
            evidence_on=record.answered_on,
            working=Working(
                formula="the gate of recovery names an owner and a date",
                inputs=(
                    Quantity(name="owner", value=record.owner or None, source="plan"),
                    Quantity(
                        name="due on",
                        value=None if record.due_on is None else str(record.due_on),
                        source="plan",
                    ),
                ),
                source="common practice, no source",
            ),
            remedy=None
            if named
            else Remedy(
                action=RemedyAction.ENTER,
                site_id=site.site_id,
                what="who fetches the kit, and on which day",
            ),
        ),
    )


def _answer(plan: Plan, site: Site, record: GateRecord) -> Finding:
    start = plan.incident.start_on
    age = _age_days(record, start)
    state = _state(record, age, start)
    verdict = {
        "yes": Verdict.GO,
        "no": Verdict.NO_GO,
    }.get(state, Verdict.NOT_ASSESSED)
    return Finding(
        code=FindingCode.GATE_ANSWER,
        gate=record.gate,
        site_id=site.site_id,
        verdict=verdict,
        quantity=f"answer to {record.gate}",
        value=age,
        limit=float(FRESH_DAYS[record.gate]),
        unit="days old",
        comparison=Comparison.AT_MOST,
        facts=(("state", state), ("gate", str(record.gate)), ("by", record.answered_by)),
        evidence=record.evidence,
        evidence_on=record.answered_on,
        working=Working(
            formula=" ".join(
                (
                    "A yes with name, date and no older than its kind allows on the first day.",
                    *questions_of(record.gate),
                )
            ),
            inputs=(
                Quantity(name="answer", value=str(record.answer), source="plan"),
                Quantity(name="answered by", value=record.answered_by or None, source="plan"),
                Quantity(
                    name="answered on",
                    value=None if record.answered_on is None else str(record.answered_on),
                    source="plan",
                ),
                Quantity(name="mission starts", value=None if start is None else str(start)),
            ),
            source="gates of trade practice; ages are our choice",
        ),
        remedy=None
        if verdict is Verdict.GO
        else Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what=f"who answers for {record.gate}, when, and on what evidence",
        ),
    )


def _age_days(record: GateRecord, start: date | None) -> float | None:
    if record.answered_on is None or start is None:
        return None
    return float(max(0, (start - record.answered_on).days))


def _state(record: GateRecord, age_days: float | None, start: date | None) -> str:
    """One word for what the record is worth: yes, no, unknown, unsigned, expired or stale."""
    if record.answer is Fact.UNKNOWN:
        return "unknown"
    if record.answer is Fact.NO:
        return "no"
    if not record.answered_by or record.answered_on is None:
        return "unsigned"
    if record.expires_on is not None and start is not None and record.expires_on < start:
        return "expired"
    if age_days is not None and age_days > FRESH_DAYS[record.gate]:
        return "stale"
    return "yes"


def unowned_conditions(site: Site, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """One finding for each gate whose conditions nobody has taken charge of with a date."""
    conditional = {f.gate for f in findings if f.verdict is Verdict.CONDITIONS}
    return tuple(
        _unowned(site, gate)
        for gate in Gate
        if gate in conditional & OWNED and not _is_owned(site.record(gate))
    )


def _is_owned(record: GateRecord) -> bool:
    return bool(record.owner) and record.due_on is not None


def _unowned(site: Site, gate: Gate) -> Finding:
    record = site.record(gate)
    return Finding(
        code=FindingCode.CONDITION_OWNER,
        gate=gate,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity=f"owner of the conditions of {gate}",
        facts=(("gate", str(gate)), ("owner", record.owner)),
        working=Working(
            formula="a condition without owner and date counts as unknown",
            inputs=(
                Quantity(name="owner", value=record.owner or None, source="plan"),
                Quantity(
                    name="due on",
                    value=None if record.due_on is None else str(record.due_on),
                    source="plan",
                ),
            ),
            source="common practice, no source",
        ),
        remedy=Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what=f"who sees to the conditions of {gate}, and by when",
        ),
    )
