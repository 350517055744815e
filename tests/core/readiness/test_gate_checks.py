"""What people answer, how long it holds, and who owns what is still open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product

import pytest

from guyline.core.plan import ASKED, Fact, Gate, GateRecord, Permission, Plan, SiteFunction
from guyline.core.readiness.finding import Finding, FindingCode, Verdict, combined_verdict
from guyline.core.readiness.gate_checks import FRESH_DAYS, asked_findings, unowned_conditions
from guyline.core.readiness.network_checks import network_finding
from guyline.core.readiness.permission_checks import permission_findings
from guyline.services.wording import sentence
from stories import HALL, HILL, SHED, answered_yes, three_sites

START = date(2031, 6, 1)


def answer(record: GateRecord) -> Finding:
    plan = three_sites()
    site = replace(plan.site(HILL), gate_records=(record,))
    (found,) = [f for f in asked_findings(plan, site) if f.gate is record.gate]
    return found


def test_every_asked_gate_stays_shut_until_somebody_answers():
    plan = three_sites()
    silent = asked_findings(plan, replace(plan.site(HILL), gate_records=()))
    assert {f.gate for f in silent} == set(ASKED)
    assert {f.verdict for f in silent} == {Verdict.NOT_ASSESSED}


@pytest.mark.parametrize("gate", ASKED)
@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, Verdict.GO),
        ({"answer": Fact.NO}, Verdict.NO_GO),
        ({"answer": Fact.UNKNOWN}, Verdict.NOT_ASSESSED),
        ({"answered_by": ""}, Verdict.NOT_ASSESSED),
        ({"answered_on": None}, Verdict.NOT_ASSESSED),
        ({"expires_on": date(2031, 5, 31)}, Verdict.NOT_ASSESSED),
        ({"expires_on": START}, Verdict.GO),
    ],
)
def test_a_yes_needs_name_date_and_life(gate, change, verdict):
    assert answer(replace(answered_yes(gate), **change)).verdict is verdict


DAYS = (None, date(2031, 5, 31), date(2020, 1, 1))  # never, the day before, long ago
ENDS = (None, START, date(2031, 5, 31))  # open, lasts to the first day, ends the day before


@pytest.mark.parametrize("gate", ASKED)
def test_the_whole_truth_table_of_an_answer(gate):
    # law of trade practice: no shuts; a yes opens only with name, date, life and freshness;
    # all else is unknown
    for said, by, on, ends in product(Fact, ("", "Duty planner"), DAYS, ENDS):
        record = GateRecord(
            gate=gate, answer=said, answered_by=by, answered_on=on, expires_on=ends
        )
        is_signed = bool(by) and on is not None
        is_alive = ends is None or ends >= START
        is_fresh = on is not None and (START - on).days <= FRESH_DAYS[gate]
        verdict = answer(record).verdict
        if said is Fact.NO:
            assert verdict is Verdict.NO_GO
        elif said is Fact.YES and is_signed and is_alive and is_fresh:
            assert verdict is Verdict.GO
        else:
            assert verdict is Verdict.NOT_ASSESSED


END = date(2031, 6, 15)  # of the mission of three_sites


def test_the_whole_truth_table_of_a_permission():
    # law: refused or run out before the start shuts; unasked is unknown; word of mouth, an end
    # within the mission or none on record, and no key are conditions
    ends = (None, date(2031, 5, 31), date(2031, 6, 5), END)
    plan = three_sites()
    for granted, written, expires, key in product(Fact, Fact, ends, ("", "Warden")):
        permission = Permission(
            is_granted=granted, is_written=written, expires_on=expires, key_holder=key
        )
        site = replace(plan.site(HILL), permission=permission)
        verdict = combined_verdict(tuple(f.verdict for f in permission_findings(plan, site)))
        if granted is Fact.NO:
            expected = Verdict.NO_GO
        elif granted is Fact.UNKNOWN:
            expected = Verdict.NOT_ASSESSED
        elif expires is not None and expires < START:
            expected = Verdict.NO_GO
        elif written is Fact.YES and expires is not None and expires >= END and key:
            expected = Verdict.GO
        else:
            expected = Verdict.CONDITIONS
        assert verdict is expected, permission


@pytest.mark.parametrize("gate", ASKED)
def test_an_answer_ages_by_its_kind(gate):
    on_the_day = date.fromordinal(START.toordinal() - FRESH_DAYS[gate])
    a_day_more = date.fromordinal(on_the_day.toordinal() - 1)
    fresh = answer(replace(answered_yes(gate), answered_on=on_the_day))
    stale = answer(replace(answered_yes(gate), answered_on=a_day_more))
    assert (fresh.verdict, stale.verdict) == (Verdict.GO, Verdict.NOT_ASSESSED)


@pytest.mark.parametrize(
    ("owner", "due_on", "left"),
    [("", None, 1), ("Access lead", None, 1), ("", START, 1), ("Access lead", START, 0)],
)
def test_a_condition_needs_an_owner_and_a_date(owner, due_on, left):
    plan = three_sites()
    verbal = Permission(is_granted=Fact.YES, expires_on=date(2031, 12, 31))
    record = GateRecord(gate=Gate.PERMISSION, owner=owner, due_on=due_on)
    site = replace(plan.site(HILL), permission=verbal, gate_records=(record,))
    unowned = unowned_conditions(site, permission_findings(plan, site))
    assert len(unowned) == left
    assert all(f.verdict is Verdict.NOT_ASSESSED for f in unowned)


def reach(plan: Plan, ready: set[str], working: list[tuple[str, str]]) -> Finding:
    found = network_finding(plan, plan.site(SHED), ready, working)  # type: ignore[arg-type]
    assert found.code is FindingCode.REACH
    return found


def test_a_site_reaches_the_gateway_over_ready_sites_or_waits_for_them():
    plan = three_sites()
    chain = [(HALL, HILL), (HILL, SHED)]
    assert reach(plan, {HALL, HILL}, chain).verdict is Verdict.GO
    waiting = reach(plan, {HALL}, chain)
    assert waiting.verdict is Verdict.CONDITIONS
    assert waiting.fact("waits_for") == HILL
    assert reach(plan, {HALL, HILL}, [(HALL, HILL)]).verdict is Verdict.NO_GO


def test_a_way_over_a_link_of_unknown_margin_is_not_assessed():
    plan = three_sites()
    unproven = [(HILL, SHED)]
    found = network_finding(plan, plan.site(SHED), {HALL, HILL}, [(HALL, HILL)], unproven)
    assert found.verdict is Verdict.NOT_ASSESSED


def test_a_site_without_a_link_to_prove_is_unknown_and_not_refused():
    plan = replace(three_sites(), links=())
    found = reach(plan, {HALL, HILL}, [])
    assert found.verdict is Verdict.NOT_ASSESSED
    assert sentence(found) == "No link is listed over which the site could reach a gateway."


def test_where_the_plan_has_no_gateway_any_other_site_will_do():
    plan = three_sites()
    hall = replace(plan.site(HALL), function=SiteFunction.RELAY)
    assert reach(plan.with_site(hall), {HILL}, [(HILL, SHED)]).verdict is Verdict.GO
