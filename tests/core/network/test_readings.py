"""Readings of a link held against its plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from guyline.core.network.link import LinkAssessment
from guyline.core.network.readings import (
    BAND_90,
    agreement_of,
    held_readings,
    is_proven,
    link_works,
)
from guyline.core.plan import Link, Plan
from stories import HALL, HILL, READ_BACK, READ_THERE, SHED, hall_to_hill, three_sites


@pytest.fixture
def plan() -> Plan:
    return three_sites()


@pytest.fixture
def link(plan: Plan) -> LinkAssessment:
    return hall_to_hill(plan)


def test_a_reading_is_held_against_the_direction_it_was_read_in(plan, link):
    plan = replace(plan, readings=(READ_BACK,))
    (held,) = held_readings(plan, link)
    assert held.planned_dbm == link.budget.backward.received_dbm
    assert held.difference_db == pytest.approx(-90.0 - link.budget.backward.received_dbm)


def test_the_margin_is_the_lower_of_level_and_signal_to_noise(plan, link):
    # law; signal-to-noise ratios needed: SX1276 data sheet table 13, in link_budget
    sensitivity = link.budget.forward.sensitivity_dbm
    needed = {7: -7.5, 8: -10.0, 9: -12.5, 10: -15.0, 11: -17.5, 12: -20.0}
    snr_needed = needed[plan.radio_profile.spreading_factor]
    quiet = replace(READ_THERE, level_dbm=sensitivity + 5.0, snr_db=9.0)
    noisy = replace(READ_THERE, level_dbm=-60.0, snr_db=snr_needed + 3.0)
    for reading, margin_db in ((quiet, 5.0), (noisy, 3.0)):
        (held,) = held_readings(replace(plan, readings=(reading,)), link)
        assert held.margin_db == pytest.approx(margin_db)


def test_without_a_figure_the_margin_is_unknown_and_proves_nothing(plan, link):
    bare = replace(READ_THERE, level_dbm=None, snr_db=None)
    plan = replace(plan, readings=(bare, replace(READ_BACK, level_dbm=None, snr_db=None)))
    assert [held.margin_db for held in held_readings(plan, link)] == [None, None]
    assert not is_proven(plan, link)
    assert link_works(plan, link) is link_works(three_sites(), link)


def test_the_newest_reading_of_a_direction_counts(plan, link):
    old = replace(READ_THERE, level_dbm=-120.0, read_on=date(2031, 5, 1))
    undated = replace(READ_THERE, level_dbm=-121.0, read_on=None)
    for order in ((READ_THERE, old, undated), (undated, old, READ_THERE)):
        (held,) = held_readings(replace(plan, readings=order), link)
        assert held.reading == READ_THERE


def test_both_directions_signed_prove_a_link_that_could_not_be_computed(plan):
    unknown = LinkAssessment(
        link=Link(from_id=HALL, to_id=HILL), missing=((HILL, "antenna height"),)
    )
    assert link_works(plan, unknown) is None
    assert link_works(replace(plan, readings=(READ_THERE,)), unknown) is None
    both = replace(plan, readings=(READ_THERE, READ_BACK))
    assert link_works(both, unknown) is True
    assert is_proven(both, unknown)
    unsigned = replace(plan, readings=(READ_THERE, replace(READ_BACK, read_by=" ")))
    assert link_works(unsigned, unknown) is None


def test_one_bad_direction_is_enough_to_say_no(plan, link):
    assert link_works(plan, link) is True
    weak = replace(READ_BACK, snr_db=-19.0)
    assert link_works(replace(plan, readings=(weak,)), link) is False
    lossy = replace(READ_BACK, packets_heard=17)
    assert link_works(replace(plan, readings=(READ_THERE, lossy)), link) is False
    enough = replace(READ_BACK, packets_heard=18)
    assert link_works(replace(plan, readings=(READ_THERE, enough)), link) is True


def test_no_packets_sent_is_no_share_of_anything():
    assert replace(READ_THERE, packets_sent=0, packets_heard=0).delivered is None


def test_agreement_is_mean_and_standard_deviation_of_read_less_planned(plan, link):
    planned = link.budget.forward.received_dbm, link.budget.backward.received_dbm
    plan = replace(
        plan,
        readings=(
            replace(READ_THERE, level_dbm=planned[0] - 4.0),
            replace(READ_BACK, level_dbm=planned[1] + 1.0),
        ),
    )
    agreement = agreement_of(held_readings(plan, link))
    assert agreement.count == 2
    assert agreement.mean_db == pytest.approx(-1.5)
    assert agreement.sd_db == pytest.approx(np.std([-4.0, 1.0], ddof=1))


def test_what_lies_outside_the_planned_spread_is_counted(plan, link):
    spread = link.spread
    expected = link.budget.forward.received_dbm + spread.mean_db - spread.nominal_db
    for off_sd, inside in ((BAND_90 - 0.01, 1), (BAND_90 + 0.01, 0), (-BAND_90 - 0.01, 0)):
        far_off = replace(READ_THERE, level_dbm=expected + off_sd * spread.sd_db)
        agreement = agreement_of(held_readings(replace(plan, readings=(far_off,)), link))
        assert (agreement.inside_90, agreement.with_spread) == (inside, 1)
    assert agreement_of(()) is None


def test_readings_leave_with_their_site_and_follow_its_name(plan):
    plan = replace(plan, readings=(READ_THERE, READ_BACK))
    assert plan.without_sites([SHED]).readings == (READ_THERE, READ_BACK)
    assert plan.without_sites([HILL]).readings == ()
    renamed = plan.renaming_site(HILL, "TOP").readings
    assert [(r.talker_id, r.listener_id) for r in renamed] == [(HALL, "TOP"), ("TOP", HALL)]
