"""The smallest set of mendings, held against trying every set."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import chain, combinations
from types import SimpleNamespace

import pytest

from guyline.core.plan import (
    Antenna,
    BenchRecord,
    Fact,
    Gate,
    ItemState,
    Permission,
    Plan,
    SiteId,
    StockItem,
)
from guyline.core.readiness.assumed_mending import assume_mended
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.mending import smallest_mending
from guyline.services.assessment import Assessor
from seeded_faults import FAULTS, sound_plan
from stories import HALL, HILL, SHED, DrawnTerrain, flat_ground, three_sites

ASSESS = Assessor(DrawnTerrain()).assess


def spoilt() -> Plan:
    """A hill that lacks permission, a critical item, another item and an answer."""
    plan = three_sites()
    hill = plan.site(HILL)
    needed = tuple(replace(item, state=ItemState.NEEDED) for item in hill.checklist)
    return plan.with_site(
        replace(
            hill,
            permission=Permission(),
            checklist=needed,
            gate_records=hill.gate_records[1:],
        )
    )


def test_every_step_is_needed_and_all_together_reach_the_verdict():
    plan = spoilt()
    mending = smallest_mending(plan, HILL, ASSESS)
    assert mending.reached is Verdict.GO
    assert {step.code for step in mending.steps} >= {
        FindingCode.PERMISSION,
        FindingCode.CRITICAL_KIT,
        FindingCode.OTHER_KIT,
        FindingCode.GATE_ANSWER,
    }
    assert mending.left == ()


def test_no_smaller_set_of_mendings_reaches_as_much():
    # oracle: every subset of the findings that can be mended
    plan = spoilt()
    mending = smallest_mending(plan, HILL, ASSESS)
    bad = [f for f in ASSESS(plan).site(HILL).findings if f.verdict is not Verdict.GO]
    candidates = [f for f in bad if assume_mended(plan, f) is not None]
    smaller = chain.from_iterable(
        combinations(candidates, size) for size in range(len(mending.steps))
    )
    for some in smaller:
        tried = plan
        for finding in some:
            tried = assume_mended(tried, finding) or tried
        assert ASSESS(tried).site(HILL).verdict is not mending.reached


def test_what_only_a_visit_can_tell_is_left_over():
    plan = three_sites()
    low = plan.with_site(replace(plan.site(SHED), antenna_agl_m=4.0))
    mending = smallest_mending(low, SHED, ASSESS)
    assert mending.reached is Verdict.CONDITIONS
    assert {step.code for step in mending.steps} == {FindingCode.CONDITION_OWNER}
    assert FindingCode.LINK_CLEARANCE in {f.code for f in mending.left}


def test_a_site_that_is_go_needs_nothing():
    mending = smallest_mending(three_sites(), HALL, ASSESS)
    assert (mending.steps, mending.reached) == ((), Verdict.GO)


@pytest.mark.parametrize("fact", [Fact.NO, Fact.UNKNOWN])
def test_assuming_a_mending_leaves_the_plan_itself_alone(fact):
    plan = three_sites()
    refused = plan.with_site(
        replace(plan.site(HILL), permission=replace(plan.site(HILL).permission, is_granted=fact))
    )
    smallest_mending(refused, HILL, ASSESS)
    assert refused.site(HILL).permission.is_granted is fact


def owned(plan: Plan) -> Plan:
    """The plan with somebody who sees to the conditions of every gate."""
    return plan.with_sites(
        replace(
            site,
            gate_records=tuple(
                replace(site.record(gate), owner="Stores", due_on=date(2031, 6, 16))
                for gate in Gate
            ),
        )
        for site in plan.sites
    )


def with_hill(**changes: object) -> Plan:
    plan = owned(three_sites())
    return plan.with_site(replace(plan.site(HILL), **changes))


def promised(*rows: StockItem) -> Plan:
    return replace(owned(three_sites()), stock=rows)


MENDABLE = {
    FindingCode.SITE_ALIKE: with_hill(name="The HALL"),
    FindingCode.PROMISED_SERIAL: promised(
        StockItem(name="Radio", serial="U-1", assigned_to=HILL, quantity=3),
        StockItem(name="Radio", serial="u-1", assigned_to=HALL, quantity=3),
    ),
    FindingCode.PROMISED_STOCK: promised(StockItem(name="Radio", quantity=1)),
    FindingCode.GROUND_HEIGHT: with_hill(ground_amsl_m=300.0),
    FindingCode.ANTENNA_BAND: with_hill(
        antenna=Antenna(gain_dbi=2.15, low_hz=430e6, high_hz=440e6)
    ),
    FindingCode.READ_BACK: with_hill(bench=BenchRecord(frequency_hz=915e6)),
}


@pytest.mark.parametrize("code", MENDABLE, ids=str)
def test_each_kind_of_fault_can_be_assumed_mended_and_then_the_site_is_go(code):
    mending = smallest_mending(MENDABLE[code], HILL, ASSESS)
    assert code in {step.code for step in mending.steps}
    assert (mending.reached, mending.left) == (Verdict.GO, ())


def test_sites_with_like_identifiers_are_told_apart_by_renaming_the_other():
    plan = owned(three_sites())
    twins = plan.renaming_site(SHED, SiteId("HI1L"))
    mending = smallest_mending(twins, HILL, ASSESS)
    assert [step.code for step in mending.steps] == [FindingCode.SITE_ALIKE]
    assert mending.reached is Verdict.GO


def test_what_cannot_be_mended_hides_none_of_what_can():
    plan = with_hill(permission=Permission(), position=None)
    mending = smallest_mending(plan, HILL, ASSESS)
    assert FindingCode.PERMISSION in {step.code for step in mending.steps}
    assert FindingCode.POSITION in {finding.code for finding in mending.left}
    assert mending.reached is not Verdict.GO


def test_the_search_tells_how_many_mendings_it_has_tried():
    told = []
    smallest_mending(spoilt(), HILL, ASSESS, lambda done, of: told.append((done, of)))
    assert [done for done, _ in told] == list(range(len(told)))
    assert {of for _, of in told} == {len(told)}


def judged(open_codes) -> SimpleNamespace:
    """Stands for an assessment in which these findings of the hill are open."""
    gate = {FindingCode.OTHER_KIT: Gate.KIT, FindingCode.KEY_HOLDER: Gate.PERMISSION}
    findings = tuple(
        Finding(
            code=code,
            gate=gate.get(code, Gate.BENCH_TEST),
            site_id=HILL,
            verdict=Verdict.CONDITIONS,
            quantity="x",
        )
        for code in open_codes
    )
    verdict = Verdict.CONDITIONS if findings else Verdict.GO
    return SimpleNamespace(
        site=lambda site_id: SimpleNamespace(findings=findings, verdict=verdict)
    )


def test_one_mending_that_makes_up_for_two_is_taken_instead_of_them():
    # the kit closes all three; key and identifier close all three only together
    def assess(plan: Plan) -> SimpleNamespace:
        hill = plan.site(HILL)
        kit = all(item.state.is_held for item in hill.checklist)
        key, identifier = bool(hill.permission.key_holder), "assumed" in hill.radio.identifier
        if kit or (key and identifier):
            return judged(())
        wanted = {
            FindingCode.OTHER_KIT: kit,
            FindingCode.KEY_HOLDER: key,
            FindingCode.RADIO_IDENTIFIER: identifier,
        }
        return judged(code for code, is_done in wanted.items() if not is_done)

    plan = three_sites()
    hill = plan.site(HILL)
    needed = tuple(replace(item, state=ItemState.NEEDED) for item in hill.checklist)
    lacking = replace(
        hill,
        checklist=tuple(replace(item, is_critical=False) for item in needed),
        permission=replace(hill.permission, key_holder=""),
    )
    mending = smallest_mending(plan.with_site(lacking), HILL, assess)  # type: ignore[arg-type]
    assert [step.code for step in mending.steps] == [FindingCode.OTHER_KIT]
    assert mending.reached is Verdict.GO


OF_THE_SITE = [
    fault
    for fault in FAULTS
    if fault.at_site == HILL
    and fault.ground is flat_ground
    and fault.found[0] not in (FindingCode.RULE_LIMIT, FindingCode.HAZARD_AREA)  # not its own
    and fault.number < 12
]
PAIRS = list(combinations(OF_THE_SITE, 2))[::7]


@pytest.mark.parametrize(
    "faults", PAIRS, ids=lambda pair: " and ".join(fault.what for fault in pair)
)
def test_of_two_faults_the_set_is_as_small_as_trying_every_set_finds(faults):
    # oracle: every subset of what can be mended, smallest first
    plan = sound_plan()
    for fault in faults:
        plan = fault.spoil(fault.given(plan))
    mending = smallest_mending(plan, HILL, ASSESS)
    bad = [f for f in ASSESS(plan).site(HILL).findings if f.verdict is not Verdict.GO]
    candidates = [f for f in bad if assume_mended(plan, f) is not None]

    def verdict_after(some) -> Verdict:
        tried = plan
        for finding in some:
            tried = assume_mended(tried, finding) or tried
        return ASSESS(tried).site(HILL).verdict

    sizes = [
        size
        for size in range(len(candidates) + 1)
        if any(verdict_after(some) is mending.reached for some in combinations(candidates, size))
    ]
    assert mending.reached is Verdict.GO
    assert len(mending.steps) == sizes[0]
