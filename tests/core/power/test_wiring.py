"""Cables and fuses against worked values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import stories
from guyline.core.plan import PowerSystem
from guyline.core.power.wiring import (
    CURRENT_LIMIT_A,
    RESISTANCE_OHM_PER_KM,
    copper_ohm_per_km,
    fuse_a,
    longest_run_m,
    section_for_mm2,
    voltage_drop_v,
    wiring_of,
)


@pytest.mark.parametrize(
    ("voltage", "current", "length", "section", "drop", "percent"),
    [
        (12.0, 5.0, 10.0, 2.5, 0.798, 6.65),
        (12.0, 5.0, 10.0, 4.0, 0.495, 4.12),
        (12.0, 5.0, 10.0, 6.0, 0.330, 2.75),
        (12.0, 1.0, 20.0, 1.5, 0.532, 4.43),
    ],
)
def test_voltage_drop_in_metric_cables(voltage, current, length, section, drop, percent):
    # Rederived by hand from IEC 60228 resistances.
    lost = voltage_drop_v(current, length, copper_ohm_per_km(section))
    assert lost == pytest.approx(drop, abs=6e-4)
    assert 100.0 * lost / voltage == pytest.approx(percent, abs=6e-3)


def test_a_hot_cable_loses_more():
    # Rederived: 2.5 mm² at 50 °C: 0.892 V instead of 0.798.
    assert voltage_drop_v(5.0, 10.0, copper_ohm_per_km(2.5, 50.0)) == pytest.approx(
        0.892, abs=6e-4
    )


def test_voltage_drop_of_the_american_worked_example():
    # Published: NEC chapter 9 table 8, 12 AWG stranded 1.98 ohm/kft: 10 A, 50 ft: 1.98 V;
    # the other trade formula, 2 K I D / CM with K = 12.9: 1.975 V.
    ohm_per_km = 1.98 / 0.3048
    assert voltage_drop_v(10.0, 50.0 * 0.3048, ohm_per_km) == pytest.approx(1.98, abs=5e-4)
    assert pytest.approx(1.98, rel=5e-3) == 2 * 12.9 * 10 * 50 / 6530


@pytest.mark.parametrize(("ohm_per_km", "drop"), [(84.2, 0.253), (213.0, 0.639)])
def test_thin_usb_leads(ohm_per_km, drop):
    # Rederived: 24 and 28 AWG, 3 m, 0.5 A.
    assert voltage_drop_v(0.5, 3.0, ohm_per_km) == pytest.approx(drop, abs=6e-4)


@pytest.mark.parametrize(
    ("continuous", "fuse"), [(0.1, 1.0), (0.8, 1.0), (4.0, 5.0), (4.1, 7.5), (40.0, 50.0)]
)
def test_a_fuse_carries_the_current_and_a_quarter_more(continuous, fuse):
    assert fuse_a(continuous) == fuse


def test_no_fuse_is_named_beyond_the_largest():
    assert fuse_a(41.0) is None


@given(st.floats(0.05, 30.0), st.floats(5.0, 48.0), st.floats(0.5, 60.0))
def test_the_chosen_section_keeps_drop_and_current(current, voltage, length):
    section = section_for_mm2(current, voltage, length, 0.03)
    if section is None:
        reach = longest_run_m(current, voltage, 10.0, 0.03)
        assert reach is None or reach < length
        return
    lost = voltage_drop_v(current, length, copper_ohm_per_km(section, 50.0))
    assert lost <= 0.03 * voltage * (1.0 + 1e-9)
    assert current <= CURRENT_LIMIT_A[section]


def test_every_fuse_protects_the_cable_behind_it():
    wiring = wiring_of(stories.solar(), 60.0, -5.0)
    assert wiring is not None
    assert [run.name for run in wiring.runs] == [
        "panel to controller",
        "controller to battery",
        "battery to load",
    ]
    for run in wiring.runs:
        assert run.reach_m
        for section, longest in run.reach_m:
            assert longest > 0.0
            if run.fuse_a is not None:
                assert CURRENT_LIMIT_A[section] >= run.fuse_a


def test_a_thicker_cable_reaches_farther():
    for run in wiring_of(stories.solar(), 60.0, -5.0).runs:
        lengths = [longest for _, longest in run.reach_m]
        assert lengths == sorted(lengths)
        assert run.section_mm2(lengths[-1] + 1.0) is None
        assert run.section_mm2(0.1) == run.reach_m[0][0]


def test_cold_lifts_the_open_voltage():
    # Rederived: 22.5 V at 25 °C become 25.5 V at -20 °C with -0.3 %/K.
    warm = wiring_of(stories.solar(), 60.0, 25.0).panel_open_v
    cold = wiring_of(stories.solar(), 60.0, -20.0).panel_open_v
    assert cold / warm == pytest.approx(25.5 / 22.5, rel=2e-3)


def test_without_a_voltage_nothing_is_said():
    assert wiring_of(PowerSystem(), 60.0, 0.0) is None
    power = stories.solar()
    unknown = replace(power, battery=replace(power.battery, nominal_v=None))
    assert wiring_of(unknown, 60.0, 0.0) is None


def test_resistance_falls_with_section():
    values = list(RESISTANCE_OHM_PER_KM.values())
    assert values == sorted(values, reverse=True)
    assert set(RESISTANCE_OHM_PER_KM) == set(CURRENT_LIMIT_A)
