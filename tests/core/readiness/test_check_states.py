"""How the catalogue stands over a plan: held against the seeded faults and the answers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import ASKED, Gate, GateRecord, Link
from guyline.core.readiness.check_catalogue import CHECK_CATALOGUE
from guyline.core.readiness.check_states import CheckState, check_states
from guyline.services.assessment import Assessor
from seeded_faults import FAULTS, Fault, assessor, sound_plan
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites


def states(plan) -> dict[int, CheckState]:
    assessed = Assessor(DrawnTerrain()).assess(plan)
    return {state.check.number: state for state in check_states(assessed)}


def test_every_line_of_the_catalogue_has_its_state():
    assert list(states(three_sites())) == [check.number for check in CHECK_CATALOGUE]


def test_in_a_sound_plan_nothing_is_open_but_the_relay_that_all_hangs_on():
    opened = {n: state.open for n, state in states(sound_plan()).items() if state.open}
    assert opened == {23: (HILL,)}


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.number} {fault.what}")
def test_the_line_of_a_seeded_fault_is_open_where_it_was_put(fault: Fault):
    plan = fault.spoil(fault.given(sound_plan()))
    found = {s.check.number: s for s in check_states(assessor(fault.ground).assess(plan))}
    assert fault.at_site in found[fault.number].open


@pytest.mark.parametrize("gate", ASKED)
def test_a_question_nobody_answers_is_open_there_and_names_who_answers_elsewhere(gate):
    plan = three_sites()
    hill = plan.site(HILL)
    silent = tuple(record for record in hill.gate_records if record.gate is not gate)
    found = states(plan.with_site(replace(hill, gate_records=silent)))
    asked = [state for state in found.values() if state.check.gate is gate]
    for state in asked:
        assert state.open == (HILL,)
        assert state.good == (HALL, SHED)
        assert state.answered_by == ("Duty planner",)


def test_a_no_is_nobodys_yes():
    plan = three_sites()
    refused = replace(
        plan.site(HILL),
        gate_records=(GateRecord(gate=Gate.SAFETY, answered_by="Somebody else"),),
    )
    assert states(plan.with_site(refused))[24].answered_by == ("Duty planner",)


def test_a_detour_closes_the_line_of_the_single_point_of_failure():
    plan = three_sites()
    detour = replace(plan, links=(*plan.links, Link(from_id=HALL, to_id=SHED)))
    assert states(detour)[23].open == ()


def test_what_nothing_was_entered_for_is_neither_good_nor_open():
    state = states(three_sites())[7]  # no radio was read back
    assert (state.good, state.open) == ((), ())
