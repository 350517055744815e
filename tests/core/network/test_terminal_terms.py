"""Losses at the ends of a link, and what is unknown where no Recommendation gives them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.network.terminal_terms import no_terms_because, terminal_terms
from guyline.core.plan import Fact, Plan, Roof, Site, SiteId, Surroundings
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.services.assessment import Assessor
from stories import HILL, DrawnTerrain, hall_to_hill, three_sites

SITE = Site(site_id=SiteId("A"), antenna_agl_m=2.0, surroundings=Surroundings.SUBURB)


def at_frequency(plan: Plan, frequency_hz: float, **hill: object) -> Plan:
    plan = replace(plan, radio_profile=replace(plan.radio_profile, frequency_hz=frequency_hz))
    return plan.with_site(replace(plan.site(HILL), **hill))


def test_a_handheld_in_the_hall_loses_the_entry_into_it_and_the_clutter_round_it() -> None:
    # Independent implementation: pycraf 2.1, building_entry_loss, 868 MHz traditional 14.22 dB,
    # efficient 31.21 dB; proplib-p2108 1.1.0, suburban R 10 m, antenna 2 m: 18.09 dB
    for roof, expected_db in ((Roof.ORDINARY, 14.22), (Roof.INSULATED, 31.21)):
        around, inside = terminal_terms(Plan(), replace(SITE, roof=roof), 868e6, 0.0)
        assert inside.loss_db == pytest.approx(expected_db, abs=0.01)
        assert around.loss_db == pytest.approx(18.09, abs=0.005)
        assert inside.spread is not None


def test_leaves_take_more_than_bare_trees_and_the_wood_is_not_counted_twice() -> None:
    # Rederived from the table of P.833-9: 100 m at 868 MHz 12.0 dB in leaf; bare 0.8 of it
    wood = replace(SITE, surroundings=Surroundings.WOODLAND, trees_m=100.0)
    (in_leaf,) = terminal_terms(Plan(), wood, 868e6, 0.0)
    (bare,) = terminal_terms(Plan(trees_in_leaf=Fact.NO), wood, 868e6, 0.0)
    assert in_leaf.loss_db == pytest.approx(12.0, abs=0.06)
    assert bare.loss_db == pytest.approx(0.8 * in_leaf.loss_db)
    assert ("in leaf" in in_leaf.name, "bare" in bare.name) == (True, True)


@pytest.mark.parametrize(
    ("frequency_hz", "hill", "words"),
    [
        (2.4e9, {"trees_m": 40.0}, "P.833 holds from 106 to 2117 MHz"),
        (30e6, {"roof": Roof.ORDINARY}, "P.2109 holds from 80 MHz"),
        (5.8e9, {"surroundings": Surroundings.TOWN}, "Terminal clutter at 5800 MHz"),
    ],
)
def test_beyond_the_range_of_a_recommendation_the_budget_is_unknown_and_says_why(
    frequency_hz: float, hill: dict[str, object], words: str
) -> None:
    plan = at_frequency(three_sites(), frequency_hz, **hill)
    assert words in no_terms_because(plan, plan.site(HILL), frequency_hz)
    link = hall_to_hill(plan)
    assert link.budget is None
    assert any(site_id == HILL and words in what for site_id, what in link.missing)
    findings = Assessor(DrawnTerrain()).assess(plan).site(HILL).findings
    inputs = next(f for f in findings if f.code is FindingCode.LINK_INPUTS)
    assert inputs.verdict is Verdict.NOT_ASSESSED
    assert words in inputs.fact("missing")


def test_within_every_range_nothing_stands_in_the_way() -> None:
    for frequency_hz in (433e6, 868e6, 2.1e9):
        every = replace(SITE, roof=Roof.INSULATED, trees_m=30.0)
        assert no_terms_because(Plan(), every, frequency_hz) == ""
