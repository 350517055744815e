"""Consumption of generators against published and remembered figures."""

from __future__ import annotations

import pytest

from guyline.core.plan import Generator
from guyline.core.power.generator import (
    DIESEL_IDLE_L_PER_H_PER_W,
    DIESEL_L_PER_WH,
    consumption_l_per_h,
    fuel_use,
)

GALLON_L = 3.785411784


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
