"""The smallest set of mendings, held against trying every set."""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, combinations

import pytest

from guyline.core.plan import Fact, ItemState, Permission, Plan
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.core.readiness.mending import assume_mended, smallest_mending
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
