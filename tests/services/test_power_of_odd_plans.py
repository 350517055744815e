"""Power at the ends of the Earth, with nothing, with too little and with too much."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest

import stories
from guyline.core.plan import (
    Chemistry,
    Controller,
    Fact,
    Incident,
    Plan,
    PowerSource,
    PowerSystem,
    SiteId,
)
from guyline.core.power.assessment import PowerAssessment
from guyline.services.answers import power_answer
from guyline.services.site_power import SitePower

POWER = SitePower()
WINTER_SOUTH, SUMMER_SOUTH = date(2031, 6, 10), date(2031, 12, 10)
SHOWN = (
    "days_without_sun",
    "survival_probability",
    "loss_of_load_probability",
    "shortfall_wh_per_day",
    "cures",
)


def solar(stc_w: float = 10.0, capacity_wh: float = 77.0, **changes: object) -> PowerSystem:
    """A small system of which climate and tilt are the program's to find."""
    power = stories.solar()
    assert power.panel is not None
    assert power.battery is not None
    return replace(
        power,
        panel=replace(power.panel, stc_w=stc_w, tilt_deg=None, azimuth_deg=None),
        battery=replace(power.battery, capacity_wh=capacity_wh),
        **{"clearness": None, "coldest_c": 5.0, **changes},
    )


def assess(
    power: PowerSystem,
    lat_deg: float = -38.0,
    lon_deg: float = 145.0,
    start: date | None = WINTER_SOUTH,
    days: int | None = 14,
) -> PowerAssessment:
    site = stories.complete_site(SiteId("X"), lat_deg, lon_deg, power=power)
    plan = Plan(incident=Incident(start_on=start, mission_days=days))
    known = POWER.assess(plan, site, 0.0)
    shown = power_answer(known)
    assert set(SHOWN) <= set(shown)
    json.dumps(shown, allow_nan=False)
    chance = known.survival_probability
    assert chance is None or 0.0 <= chance <= 1.0
    return known


def with_battery(power: PowerSystem, **changes: object) -> PowerSystem:
    return replace(power, battery=replace(power.battery, **changes))


def test_at_the_equator_no_season_is_dark():  # law
    june, december = (assess(solar(), 0.3, 10.0, start) for start in (WINTER_SOUTH, SUMMER_SOUTH))
    assert june.survival_probability == december.survival_probability == 1.0
    assert 0.5 < june.yield_wh_per_day / december.yield_wh_per_day < 2.0


@pytest.mark.parametrize(("lat", "lon", "faces"), [(52.0, 10.0, 180.0), (-44.0, 172.0, 0.0)])
def test_the_panel_is_advised_to_face_the_equator_and_winter_brings_less(lat, lon, faces):  # law
    june, december = (assess(solar(), lat, lon, s) for s in (WINTER_SOUTH, SUMMER_SOUTH))
    assert june.panel_azimuth_deg == faces
    winter, summer = (december, june) if lat > 0.0 else (june, december)
    assert winter.yield_wh_per_day < summer.yield_wh_per_day


def test_in_the_polar_night_the_panel_brings_nothing_and_the_battery_all():  # law
    dark = assess(solar(coldest_c=5.0), 70.5, 28.0, SUMMER_SOUTH, days=30)
    assert dark.yield_wh_per_day == 0.0
    assert dark.survival_probability == 0.0
    # Without any charge the battery lasts its days without sun, give or take the temperature.
    assert dark.hours_to_outage / 24.0 == pytest.approx(dark.days_without_sun, rel=0.25)
    assert "panel" not in {cure.kind for cure in dark.cures}
    assert assess(solar(), 70.5, 28.0, WINTER_SOUTH).survival_probability > 0.99


@pytest.mark.parametrize(("lat", "lon"), [(84.0, -60.0), (-80.0, 0.0), (-40.0, -130.0)])
def test_far_from_any_record_the_answer_is_unknown_until_entered(lat, lon):
    lost = assess(solar(coldest_c=None), lat, lon)
    assert lost.lacks_power is None
    assert [lost.survival_probability, lost.yield_wh_per_day] == [None, None]
    assert lost.missing
    told = assess(solar(clearness=0.4, coldest_c=2.0), lat, lon, start=date(2031, 3, 10))
    assert told.survival_probability is not None


@pytest.mark.parametrize("lacking", ["battery", "panel"])
def test_a_solar_site_without_battery_or_panel_is_unknown_and_says_so(lacking):
    known = assess(replace(solar(), **{lacking: None}))
    assert known.lacks_power is None
    assert lacking in known.missing
    assert [getattr(known, name) for name in SHOWN[1:3]] == [None, None]


def test_nothing_lasts_with_a_battery_of_nothing_or_an_empty_one():
    assert assess(solar(capacity_wh=0.0)).survival_probability == 0.0
    assert assess(with_battery(solar(), charge_fraction=0.0)).survival_probability == 0.0
    assert assess(solar(stc_w=0.0), days=60).survival_probability == 0.0


def test_a_longer_mission_is_never_likelier_to_pass():  # law, within the drawing
    chances = [
        assess(solar(3.0, 30.0), days=days).survival_probability for days in (1, 3, 14, 30, 60)
    ]
    for shorter, longer in pairwise(chances):
        assert longer <= shorter + 0.02
    assert chances[-1] < chances[0]


@pytest.mark.parametrize("battery_wh", [10.0, 30.0, 77.0])
def test_more_panel_is_never_worse(battery_wh):  # law, exact: the same weather for all
    sizes = (0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 40.0)
    chances = [assess(solar(w, battery_wh), days=30).survival_probability for w in sizes]
    assert chances == sorted(chances)
    assert chances[0] < chances[-1]


@pytest.mark.parametrize("panel_w", [1.0, 2.0, 5.0])
def test_more_battery_is_never_worse(panel_w):  # law, exact: the same weather for all
    sizes = (5.0, 10.0, 20.0, 40.0, 80.0, 200.0)
    chances = [assess(solar(panel_w, wh), days=30).survival_probability for wh in sizes]
    assert chances == sorted(chances)
    assert chances[0] < chances[-1]


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_every_chemistry_is_answered_and_primary_cells_take_no_sun(chemistry):
    power = with_battery(solar(), chemistry=chemistry, nominal_v=None)
    known = assess(power, days=60)
    assert known.survival_probability is not None
    assert (known.yield_wh_per_day > 0.0) is chemistry.is_rechargeable


def test_a_power_bank_nobody_tried_is_unknown_at_a_load_that_may_let_it_switch_off():
    bank = with_battery(
        solar(), chemistry=Chemistry.NMC, nominal_v=3.7, is_power_bank=True, is_tested=Fact.NO
    )
    light = replace(bank, converter_quiescent_w=0.0, panel=replace(bank.panel, stc_w=20.0))
    assert any("power bank" in name for name in assess(light).missing)
    tried = with_battery(light, is_tested=Fact.YES)
    assert assess(tried).lacks_power is not None


def test_direct_usb_brings_less_than_a_controller_and_pwm_less_than_mppt():  # law
    def brings(controller: Controller) -> float:
        power = solar()
        return assess(
            replace(power, panel=replace(power.panel, controller=controller))
        ).yield_wh_per_day

    assert brings(Controller.DIRECT_USB) < brings(Controller.PWM) < brings(Controller.MPPT)


@pytest.mark.parametrize(
    ("start", "days", "name"), [(None, 14, "start"), (WINTER_SOUTH, None, "")]
)
def test_without_start_or_length_of_the_mission_no_chance_is_named(start, days, name):
    known = assess(solar(), start=start, days=days)
    assert known.survival_probability is None
    assert known.lacks_power is None
    assert any(name in missing for missing in known.missing)


@pytest.mark.parametrize("source", list(PowerSource))
def test_every_source_is_answered_or_says_what_is_missing(source):
    known = assess(replace(solar(), source=source), days=60)
    assert (known.lacks_power is None) is bool(known.missing)
