"""One fault at a time is put into a plan that has none; exactly that fault is found.

The faults are those of the catalogue of what goes wrong (general terms, published site-visit logs
and common practice). Every finding the catalogue names is provoked at least once.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import ASKED, Gate, Link
from guyline.core.readiness.check_catalogue import CHECK_CATALOGUE, questions_of
from guyline.core.readiness.finding import FindingCode, Verdict
from seeded_faults import (
    CONSEQUENCES,
    FAULTS,
    Fault,
    assessor,
    bad_codes,
    sound_plan,
    steep_ground,
)
from stories import HALL, HILL, SHED, Ground, flat_ground


@pytest.mark.parametrize("ground", [flat_ground, steep_ground])
def test_the_plan_has_no_fault_before_one_is_put_in(ground: Ground) -> None:
    assert bad_codes(assessor(ground).assess(sound_plan())) == set()


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.number} {fault.what}")
def test_exactly_the_seeded_fault_is_found(fault: Fault) -> None:
    given = fault.given(sound_plan())
    assert bad_codes(assessor(fault.ground).assess(given)) == set()
    assessment = assessor(fault.ground).assess(fault.spoil(given))
    assert bad_codes(assessment) - CONSEQUENCES == set(fault.found) - CONSEQUENCES
    site = assessment.site(fault.at_site)
    assert fault.found[0] in {f.code for f in site.findings if f.verdict is not Verdict.GO}


def test_every_finding_of_the_catalogue_is_provoked_by_a_fault() -> None:
    named = {(check.number, code) for check in CHECK_CATALOGUE for code in check.codes}
    provoked = {(fault.number, code) for fault in FAULTS for code in fault.found}
    assert named - provoked == set()


def test_the_catalogue_has_thirty_lines_and_none_is_left_unmet() -> None:
    assert [check.number for check in CHECK_CATALOGUE] == list(range(1, 31))
    for check in CHECK_CATALOGUE:
        assert check.codes or check.question or check.elsewhere, check.complaint
        assert bool(check.question) == (check.gate is not None)


def test_every_question_of_the_catalogue_is_read_where_somebody_answers_it() -> None:
    assessment = assessor(flat_ground).assess(sound_plan())
    for check in CHECK_CATALOGUE:
        if not check.question:
            continue
        assert check.gate in ASKED
        assert check.question in questions_of(check.gate)
        (answer,) = [
            f
            for f in assessment.site(HILL).findings
            if f.code is FindingCode.GATE_ANSWER and f.gate is check.gate
        ]
        assert check.question in answer.working.formula


@pytest.mark.parametrize("gate", ASKED)
def test_a_question_that_nobody_answers_keeps_the_site_from_go(gate: Gate) -> None:
    plan = sound_plan()
    hill = plan.site(HILL)
    silent = tuple(record for record in hill.gate_records if record.gate is not gate)
    plan = plan.with_site(replace(hill, gate_records=silent))
    assessment = assessor(flat_ground).assess(plan)
    assert bad_codes(assessment) - CONSEQUENCES == {FindingCode.GATE_ANSWER}
    assert assessment.site(HILL).verdict is Verdict.NOT_ASSESSED


def test_a_single_point_of_failure_is_a_weak_spot_until_there_is_another_way() -> None:
    # line 23 of the catalogue
    plan = sound_plan()
    weak = assessor(flat_ground).assess(plan).network.weak_spots
    assert [spot.site_id for spot in weak] == [HILL]
    detour = replace(plan, links=(*plan.links, Link(from_id=HALL, to_id=SHED)))
    assert assessor(flat_ground).assess(detour).network.weak_spots == ()
