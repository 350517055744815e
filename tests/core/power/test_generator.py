"""Consumption of generators against published and remembered figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import Generator, Incident, Plan, PowerSource, SiteFunction, SiteId
from guyline.core.power.generator import (
    DIESEL_IDLE_L_PER_H_PER_W,
    DIESEL_L_PER_WH,
    consumption_l_per_h,
    fuel_use,
)
from guyline.services.site_power import SitePower

GALLON_L = 3.785411784
POWER = SitePower()
BATTERY = stories.solar().battery


@pytest.mark.parametrize(
    ("share", "gallons_per_h"), [(0.25, 0.6), (0.5, 0.9), (0.75, 1.3), (1.0, 1.6)]
)
def test_a_20_kw_diesel_set(share, gallons_per_h):
    # Published: approximate diesel consumption chart of a hire company, 20 kW, to 0.1 gal/h.
    litres = consumption_l_per_h(
        20e3, share * 20e3, idle_l_per_h_per_w=DIESEL_IDLE_L_PER_H_PER_W, l_per_wh=DIESEL_L_PER_WH
    )
    assert litres == pytest.approx(gallons_per_h * GALLON_L, abs=0.06 * GALLON_L)


@pytest.mark.parametrize(("output_w", "litres"), [(225.0, 0.26), (900.0, 0.66)])
def test_a_small_petrol_set(output_w, litres):
    # From memory: 2.1 L last 8 h at 225 W and 3.2 h at 900 W.
    assert consumption_l_per_h(900.0, output_w) == pytest.approx(litres, abs=0.006)


def test_a_node_of_one_watt_wastes_nearly_all_of_a_running_set():
    # From memory: 0.13 to 0.15 L/h for a 1 kVA set: about 7 Wh a litre.
    use = fuel_use(Generator(rated_w=1000.0, fuel_l=10.0), None, 24.0)
    assert use.l_per_day / 24.0 == pytest.approx(0.14, abs=0.01)
    assert 24.0 / use.l_per_day == pytest.approx(7.0, abs=0.5)


def test_nothing_needed_burns_nothing():
    use = fuel_use(Generator(rated_w=0.0, fuel_l=10.0), None, 0.0)
    assert use.days == float("inf")


# --- a panel beside the generator --------------------------------------------------------------


def beside(stc_w: float, fuel_l: float, function=SiteFunction.RELAY, **changes: object):
    power = stories.solar()
    power = replace(
        power,
        source=PowerSource.GENERATOR,
        panel=replace(power.panel, stc_w=stc_w),
        battery=replace(power.battery, capacity_wh=20.0),
        generator=Generator(rated_w=900.0, fuel_l=fuel_l, charger_w=50.0),
        **changes,
    )
    site = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power, function=function)
    plan = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=28))
    return POWER.assess(plan, site, 0.0)


def test_a_panel_beside_a_generator_saves_fuel_and_a_larger_one_more():  # law
    burnt = [beside(stc_w, 1.0).fuel_l_per_day for stc_w in (0.5, 1.0, 2.0, 5.0, 20.0)]
    assert burnt == sorted(burnt, reverse=True)
    assert burnt[-1] < 0.2 * burnt[0]


def test_fuel_is_counted_for_dark_weather_and_not_for_the_mean_month():
    # The panel brings the load on the mean day, and the generator must run nevertheless.
    known = beside(2.0, 1.0)
    assert known.yield_wh_per_day > 0.5 * known.load_wh_per_day
    mean_need = max(0.0, known.load_wh_per_day - known.yield_wh_per_day)
    by_mean = fuel_use(Generator(rated_w=900.0, fuel_l=1.0, charger_w=50.0), BATTERY, mean_need)
    assert known.fuel_l_per_day > by_mean.l_per_day


def test_more_fuel_is_never_less_likely_to_last_and_a_relay_counts_more_than_an_end_point():  # law
    chances = [beside(2.0, litres).survival_probability for litres in (0.001, 0.03, 0.1, 0.5, 3.0)]
    assert chances == sorted(chances)
    assert (chances[0], chances[-1]) == (0.0, 1.0)
    relay, leaf = beside(2.0, 1.0), beside(2.0, 1.0, SiteFunction.END_POINT)
    assert relay.fuel_l_per_day >= leaf.fuel_l_per_day


def test_the_chance_and_the_days_of_fuel_say_the_same():
    for litres in (0.02, 0.05, 0.1, 0.2, 0.4, 0.8):
        known = beside(2.0, litres)
        assert (known.fuel_days >= 28.0) is (known.survival_probability >= 0.99)
        assert known.lacks_power is (known.fuel_days < 28.0)
