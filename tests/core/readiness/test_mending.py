"""The smallest set of mendings, held against trying every set."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import chain, combinations

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
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.core.readiness.mending import smallest_mending
from guyline.services.assessment import Assessor
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites

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


FAULTS = {
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


@pytest.mark.parametrize("code", FAULTS, ids=str)
def test_each_kind_of_fault_can_be_assumed_mended_and_then_the_site_is_go(code):
    mending = smallest_mending(FAULTS[code], HILL, ASSESS)
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
