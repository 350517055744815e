"""Panel power and losses against pvlib and published factors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib import pvsystem, temperature

from guyline.core.plan import Chemistry, Controller
from guyline.core.power.daily_clearness import DailyClearness
from guyline.core.power.panel import (
    MISMATCH_AND_WIRING,
    SunTable,
    cell_c,
    chain_efficiency,
    monthly_yield_wh_per_day,
    open_circuit_v,
    panel_w,
    snow_factor,
)


def even_table(irradiance_w_m2: float) -> SunTable:
    """A sun that shines as much at every hour of every day, in proportion to clearness."""
    clearness = np.array([0.0, 1.0])
    poa = np.broadcast_to((clearness * irradiance_w_m2)[None, :, None], (12, 2, 24)).copy()
    return SunTable(clearness, poa, np.full(12, 0.8), tilt_deg=45.0, azimuth_deg=0.0)


def test_cell_temperature_is_that_of_faiman_in_pvlib():
    # Independent implementation: pvlib 0.16.1 temperature.faiman: 800 W/m², 20 °C, 1 m/s: 45.13.
    ours = cell_c(np.array([800.0]), 20.0)[0]
    assert ours == pytest.approx(45.13, abs=0.005)
    assert ours == pytest.approx(temperature.faiman(800.0, 20.0, 1.0), rel=1e-12)


def test_panel_power_is_that_of_pvwatts_in_pvlib():
    # Independent implementation: pvlib 0.16.1 pvsystem.pvwatts_dc.
    cell = float(cell_c(np.array([800.0]), 20.0)[0])
    ours = panel_w(100.0, np.array([800.0]), 20.0)[0]
    assert ours == pytest.approx(pvsystem.pvwatts_dc(800.0, cell, 100.0, -0.004), rel=1e-12)


def test_standard_conditions_give_rated_power_less_the_warmth_of_the_sun():
    power = panel_w(50.0, np.array([1000.0]), 25.0 - 1000.0 / (25.0 + 6.84))[0]
    assert power == pytest.approx(50.0)


def test_mismatch_and_wiring_fit_the_nrel_loss_defaults():
    # Published: NREL loss defaults in pvlib, without soiling, shading and availability.
    losses = pvsystem.pvwatts_losses(soiling=0, shading=0, availability=0)
    assert pytest.approx(1.0 - losses / 100.0, abs=0.01) == MISMATCH_AND_WIRING


def test_the_whole_chain_stands_around_the_efficiency_measured_on_a_real_system():
    # Measured: two years of an off-grid system with lead-acid battery: 62 % overall
    # (energybulletin.net/64424).
    pwm = chain_efficiency(Controller.PWM, Chemistry.AGM)
    mppt = chain_efficiency(Controller.MPPT, Chemistry.LIFEPO4)
    assert pwm < 0.62 < mppt


def test_snow_takes_less_from_a_steep_panel_and_nothing_above_freezing():
    assert snow_factor(10.0, 3.0) == 1.0
    assert snow_factor(60.0, -2.0) == pytest.approx(0.95)
    assert snow_factor(0.0, -2.0) == pytest.approx(0.30)


def test_cabin_worked_example():
    # Worked example: info of stratenergy.ca with its arithmetic set right: 492 Wh in 5 h of
    # sun need 98.4 W. A sun of 1000/4.8 W/m² all day is 5 h of full sun.
    hours = np.zeros(24)
    hours[10:15] = 1000.0
    cold = 25.0 - 1000.0 / (25.0 + 6.84)
    assert panel_w(98.4, hours, cold)[10:15].sum() == pytest.approx(492.0)


@given(st.floats(0.1, 0.6), st.floats(0.0, 0.2), st.floats(1.0, 300.0))
def test_a_clearer_month_never_brings_less(mean, clearer, stc_w):
    sun = even_table(400.0)
    dull = monthly_yield_wh_per_day(sun, DailyClearness.about(np.full(12, mean)), stc_w, 0.8)
    clear = monthly_yield_wh_per_day(
        sun, DailyClearness.about(np.full(12, mean + clearer)), stc_w, 0.8
    )
    assert (clear >= dull * 0.97).all()


def test_yield_grows_with_the_panel():
    sun = even_table(400.0)
    one = monthly_yield_wh_per_day(sun, DailyClearness.about(np.full(12, 0.4)), 10.0, 0.8)
    assert np.allclose(
        monthly_yield_wh_per_day(sun, DailyClearness.about(np.full(12, 0.4)), 30.0, 0.8), 3.0 * one
    )


def test_a_panel_in_the_sun_shows_its_open_voltage_and_in_the_dull_less():
    # Rederived: at 1000 W/m² and cells of 25 °C the label holds, 1.22 x 18 V.
    cool = 25.0 - 1000.0 / (25.0 + 6.84)
    assert open_circuit_v(18.0, 1000.0, cool) == pytest.approx(1.22 * 18.0)
    # Law: less light, less voltage; warmer cells, less voltage; no light, none.
    dull = [open_circuit_v(18.0, g, 10.0) for g in (0.0, 20.0, 100.0, 500.0)]
    assert dull == sorted(dull)
    assert dull[0] == 0.0
    assert open_circuit_v(18.0, 500.0, 30.0) < open_circuit_v(18.0, 500.0, 10.0)
    # Common practice, no source: a tenth of full sun still gives 85 to 90 % of the voltage.
    assert 0.85 < open_circuit_v(18.0, 100.0, 25.0) / (1.22 * 18.0) < 0.90
