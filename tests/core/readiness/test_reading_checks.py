"""What the crew read on a link, as a finding."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from guyline.core.plan import Plan
from guyline.core.readiness.finding import Finding, FindingCode, RemedyAction, Verdict
from guyline.core.readiness.link_checks import link_findings
from guyline.services.wording import sentence
from stories import (
    HALL,
    HILL,
    READ_BACK,
    READ_THERE,
    SHED,
    DrawnTerrain,
    hall_to_hill,
    ridge,
    three_sites,
)

CODE = FindingCode.LINK_READING


def found(plan: Plan, ground_height_m: float = 0.0) -> dict[FindingCode, Finding]:
    link = hall_to_hill(plan, DrawnTerrain(ridge(ground_height_m)))
    return {f.code: f for f in link_findings(plan, plan.site(HALL), [link])}


def read(*readings) -> Plan:
    return replace(three_sites(), readings=readings)


def test_nothing_read_is_no_finding():
    assert CODE not in found(read())


def test_good_readings_both_ways_are_go_and_tell_what_was_heard():
    finding = found(read(READ_THERE, READ_BACK))[CODE]
    assert finding.verdict is Verdict.GO
    assert finding.remedy is None
    assert finding.evidence_on == date(2031, 5, 14)
    words = sentence(finding)
    assert "as read on 14 May 2031" in words
    assert f"{HILL} heard {HALL} at -90 dBm" in words
    assert "20 of 20 packets" in words
    assert "not read yet" not in words


def test_good_readings_settle_what_the_computation_left_to_be_verified():
    height_m = 22.0
    before = found(read(), height_m)
    assert before[FindingCode.LINK_CLEARANCE].verdict is Verdict.CONDITIONS
    after = found(read(READ_THERE, READ_BACK), height_m)
    assert {f.verdict for f in after.values()} == {Verdict.GO}


def test_one_direction_alone_settles_nothing():
    after = found(read(READ_THERE), 22.0)
    assert after[CODE].verdict is Verdict.GO
    assert f"The other direction, from {HILL}, is not read yet." in sentence(after[CODE])
    assert after[FindingCode.LINK_CLEARANCE].verdict is Verdict.CONDITIONS


def test_an_unsigned_reading_settles_nothing_and_says_so():
    after = found(read(READ_THERE, replace(READ_BACK, read_on=None)), 22.0)
    assert after[FindingCode.LINK_CLEARANCE].verdict is Verdict.CONDITIONS
    assert "lacks name or date" in sentence(after[CODE])


def test_a_bad_reading_is_no_go_however_well_the_link_was_computed():
    weak = replace(READ_BACK, snr_db=-19.0)
    after = found(read(READ_THERE, weak))
    assert after[FindingCode.LINK_MARGIN].verdict is Verdict.GO
    assert after[CODE].verdict is Verdict.NO_GO
    assert after[CODE].remedy.action is RemedyAction.MEASURE


def test_too_few_packets_are_no_go_and_said_to_be_too_few():
    finding = found(read(READ_THERE, replace(READ_BACK, packets_heard=17)))[CODE]
    assert finding.verdict is Verdict.NO_GO
    assert "17 of 20 packets, too few" in sentence(finding)
    assert "20 of 20 packets;" in sentence(finding)


def test_a_bad_reading_is_a_condition_where_another_link_works():
    plan = read(replace(READ_BACK, snr_db=-19.0))
    other = replace(hall_to_hill(plan), link=replace(hall_to_hill(plan).link, to_id=SHED))
    findings = link_findings(plan, plan.site(HALL), [hall_to_hill(plan), other])
    (finding,) = [f for f in findings if f.code is CODE]
    assert finding.verdict is Verdict.CONDITIONS


def test_packets_without_a_level_ask_for_the_level():
    bare = replace(READ_THERE, level_dbm=None, snr_db=None)
    finding = found(read(bare))[CODE]
    assert finding.verdict is Verdict.CONDITIONS
    assert finding.value is None
    assert finding.remedy.action is RemedyAction.ENTER


def test_every_number_of_a_reading_names_its_crew():
    working = found(read(READ_THERE, READ_BACK))[CODE].working
    level = next(q for q in working.inputs if q.name == f"level, {HALL} to {HILL}")
    assert level.source == "Crew 2 2031-05-14"
    assert np.isclose(level.value, -90.0)
