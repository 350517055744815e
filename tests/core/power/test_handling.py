"""Ventilation against published values; classes of transport by size."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Battery, Chemistry
from guyline.core.power.handling import handling_of, opening_cm2, ventilation_m3_h

LITHIUM = Battery(chemistry=Chemistry.LIFEPO4, capacity_wh=76.8, nominal_v=12.8)


@pytest.mark.parametrize(
    ("gas_ma_per_ah", "m3_h"), [(5.0, 34.71), (50.0, 347.13), (200.0, 1388.52)]
)
def test_ventilation_of_a_station_battery(gas_ma_per_ah, m3_h):
    # Worked example: EN 50272-2 as published for 95 nickel-cadmium cells of 1450 Ah.
    assert ventilation_m3_h(95, gas_ma_per_ah, 1450.0) == pytest.approx(m3_h, abs=0.01)


def test_ventilation_of_a_small_lead_battery():
    # Rederived with the standard's rounded factor: 12 V 100 Ah boost: 0.24 m³/h, 6.7 cm².
    air = ventilation_m3_h(6, 8.0, 100.0, factor=0.05)
    assert air == pytest.approx(0.24, abs=1e-9)
    assert opening_cm2(air) == pytest.approx(6.7, abs=0.05)
    lead = Battery(chemistry=Chemistry.AGM, capacity_wh=1200.0, nominal_v=12.0)
    assert handling_of(lead).opening_cm2 == pytest.approx(6.7, abs=0.05)


@pytest.mark.parametrize(
    ("capacity_wh", "word"), [(76.8, "hand luggage"), (140.0, "approval"), (1280.0, "Not")]
)
def test_lithium_in_the_air_by_size(capacity_wh, word):
    # Published: batteriestransport.org 2024: 100 and 160 Wh.
    assert word in handling_of(replace(LITHIUM, capacity_wh=capacity_wh)).air


@pytest.mark.parametrize(("capacity_wh", "word"), [(76.8, "small battery"), (1280.0, "class 9")])
def test_lithium_on_the_road_by_size(capacity_wh, word):
    assert word in handling_of(replace(LITHIUM, capacity_wh=capacity_wh)).road


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_every_chemistry_has_its_lines(chemistry):
    handling = handling_of(replace(LITHIUM, chemistry=chemistry))
    assert handling.air.endswith(".")
    assert handling.road.endswith(".")
    assert any("damaged" in line for line in handling.cautions)
    assert (handling.opening_cm2 is None) == (chemistry is not Chemistry.AGM)


def test_a_battery_of_unknown_size_has_no_class():
    assert handling_of(replace(LITHIUM, capacity_wh=None)) is None


def test_heavy_and_freezing_batteries_say_so():
    lead = Battery(chemistry=Chemistry.AGM, capacity_wh=1200.0, nominal_v=12.0)
    frost = " ".join(handling_of(lead, -20.0).cautions)
    assert "two persons" in frost
    assert "Freezes" in frost
    assert "Freezes" not in " ".join(handling_of(lead, 0.0).cautions)
    assert "two persons" not in " ".join(handling_of(LITHIUM, -20.0).cautions)
