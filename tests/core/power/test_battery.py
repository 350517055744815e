"""Usable energy, sizing and Peukert against published worked examples."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Battery, Chemistry, Fact
from guyline.core.power.battery import (
    AGED_HEALTH,
    CHEMISTRIES,
    UNTESTED_HEALTH,
    capacity_factor,
    charge_above_floor,
    discharge_hours,
    health_fraction,
    required_capacity_wh,
    usable_battery_wh,
)

NEW = Battery(chemistry=Chemistry.LIFEPO4, capacity_wh=100.0, health_fraction=1.0)


def test_lead_acid_worked_example_at_4_c():
    # Worked example: batteries-solar.blogspot.com, simplified IEEE method:
    # 1000 Wh/d x 2.5 d / 0.5 x 1.30 = 6500 Wh = 541.7 Ah at 12 V.
    wanted_wh = required_capacity_wh(1000.0, 2.5, 0.5, temperature_factor=1.0 / 1.30)
    assert wanted_wh == pytest.approx(6500.0, rel=1e-3)
    assert wanted_wh / 12.0 == pytest.approx(541.7, abs=0.05)


def test_lithium_worked_example():
    # Worked example: sugarkube power system design: 300 Wh x 2 d / 0.8 = 750 Wh = 62.5 Ah.
    assert required_capacity_wh(300.0, 2.0, 0.8) == pytest.approx(750.0)
    assert required_capacity_wh(300.0, 2.0, 0.8) / 12.0 == pytest.approx(62.5)


def test_large_battery_worked_example():
    # Worked example: Western Australian battery guide: 18 kWh x 2.5 d / 0.8 = 56 kWh.
    assert required_capacity_wh(18e3, 2.5, 0.8) == pytest.approx(56e3, abs=500.0)


def test_microwave_repeater_worked_example():
    # Worked example: Applied Photovoltaics p. 141: 100 W at 24 V, 15 days: 4.17 A; 1501 Ah.
    wanted_wh = required_capacity_wh(2400.0, 15.0, 1.0)
    assert pytest.approx(4.17, abs=0.005) == 100.0 / 24.0
    assert wanted_wh / 24.0 == pytest.approx(1501.0, abs=1.5)


def test_a_cold_lithium_iron_battery_needs_more():
    # Rederived: 3 Wh/d x 5 d / (0.8 x 0.8 x 0.8 x 0.95) = 30.8 Wh.
    wanted_wh = required_capacity_wh(
        3.0, 5.0, 0.8, temperature_factor=0.8, health_fraction=0.8, discharge_efficiency=0.95
    )
    assert wanted_wh == pytest.approx(30.8, abs=0.05)


@pytest.mark.parametrize(
    ("battery_c", "multiplier"), [(25.0, 1.0), (15.0, 1 / 0.895), (10.0, 1.19)]
)
def test_lead_acid_factors_are_the_printed_multipliers(battery_c, multiplier):
    # Published: IEEE 485 multipliers as two worksheets print them; 15.6 °C has 1.11.
    factor = capacity_factor(Chemistry.AGM, battery_c)
    assert 1.0 / factor == pytest.approx(multiplier, rel=5e-3)


@pytest.mark.parametrize(("battery_c", "multiplier"), [(15.6, 1.11), (4.4, 1.30), (-1.1, 1.40)])
def test_lead_acid_factors_between_the_rows_fit_the_worksheets(battery_c, multiplier):
    # Published: the same worksheets, between our rows: linear interpolation within 2 %.
    assert 1.0 / capacity_factor(Chemistry.AGM, battery_c) == pytest.approx(multiplier, rel=0.02)


def test_lithium_iron_keeps_what_the_cell_data_say():
    # Published: data of a 100 Ah LFP cell: 80 Ah at 0 °C, 70 Ah at -20 °C.
    assert capacity_factor(Chemistry.LIFEPO4, 0.0) == pytest.approx(0.80)
    assert capacity_factor(Chemistry.LIFEPO4, -20.0) == pytest.approx(0.70)


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_nothing_is_counted_on_below_the_discharge_range(chemistry):
    lowest_c = CHEMISTRIES[chemistry].discharge_from_c
    assert capacity_factor(chemistry, lowest_c - 0.1) == 0.0
    assert capacity_factor(chemistry, lowest_c) > 0.0


@given(st.sampled_from(list(Chemistry)), st.floats(-60, 25), st.floats(0, 30))
def test_a_warmer_battery_never_gives_less(chemistry, battery_c, warmer_k):
    assert capacity_factor(chemistry, min(25.0, battery_c + warmer_k)) >= capacity_factor(
        chemistry, battery_c
    )


def test_usable_energy_multiplies_depth_cold_and_age():
    old = replace(NEW, health_fraction=0.7)
    assert usable_battery_wh(old, 0.0) == pytest.approx(100.0 * 0.8 * 0.8 * 0.7)


def test_a_power_bank_gives_85_percent_of_its_label():
    # Common practice, from memory: boost converter efficiency.
    bank = Battery(
        chemistry=Chemistry.NMC, capacity_wh=74.0, health_fraction=1.0, is_power_bank=True
    )
    assert usable_battery_wh(bank, 25.0) == pytest.approx(62.9)


def test_capacity_that_nobody_entered_stays_unknown():
    assert usable_battery_wh(replace(NEW, capacity_wh=None), 20.0) is None


def test_an_untested_battery_counts_less_than_a_tested_one():
    unknown = Battery(chemistry=Chemistry.AGM, capacity_wh=84.0)
    assert health_fraction(unknown) == UNTESTED_HEALTH
    assert health_fraction(replace(unknown, is_tested=Fact.YES)) == AGED_HEALTH
    assert health_fraction(replace(unknown, health_fraction=0.93)) == 0.93


def test_charge_counts_from_the_floor_and_not_from_empty():
    assert charge_above_floor(NEW, 1.0) == pytest.approx(1.0)
    assert charge_above_floor(NEW, 0.6) == pytest.approx(0.5)
    assert charge_above_floor(NEW, 0.1) == 0.0


@pytest.mark.parametrize(
    ("current_a", "hours", "given_ah"), [(10.0, 9.33, 93.3), (20.0, None, 87.1)]
)
def test_peukert_with_a_20_hour_rating(current_a, hours, given_ah):
    # Rederived: 100 Ah at 20 h, exponent 1.1.
    lasts_h = discharge_hours(100.0, 20.0, current_a, 1.1)
    assert lasts_h * current_a == pytest.approx(given_ah, abs=0.05)
    if hours is not None:
        assert lasts_h == pytest.approx(hours, abs=0.005)


def test_peukert_in_the_one_ampere_form():
    # Worked example: electrotechnik.net, t = Cp / I^k with Cp = 100, k = 1.2, 5 A: 14.5 h;
    # Cp is the capacity at 1 A, which empties it in 100 h.
    assert discharge_hours(100.0, 100.0, 5.0, 1.2) == pytest.approx(14.5, abs=0.05)
