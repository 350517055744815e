"""Sun and irradiance against published positions, handbook examples and pvlib."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pvlib import irradiance, solarposition

from guyline.core.power.daily_clearness import DailyClearness
from guyline.services.sun_and_weather import (
    MEAN_DAYS,
    clear_sky_clearness,
    daily_diffuse_fraction,
    daily_extraterrestrial_wh_m2,
    declination_rad,
    hourly_share,
    proposed_azimuth_deg,
    proposed_tilt_deg,
    sun_table,
    sunset_hour_angle_rad,
    tilted_sky_factor,
)


def test_the_librarys_sun_stands_where_the_published_example_has_it():
    # Worked example: NREL/TP-560-34302 (SPA), 2003-10-17 12:30:30 UTC-7.
    when = pd.DatetimeIndex(["2003-10-17 12:30:30-07:00"])
    sun = solarposition.get_solarposition(
        when, 39.742476, -105.1786, 1830.14, pressure=82000, temperature=11
    )
    assert sun["apparent_zenith"].iloc[0] == pytest.approx(50.11162, abs=1e-4)
    assert sun["azimuth"].iloc[0] == pytest.approx(194.34024, abs=1e-4)


@pytest.mark.parametrize(
    ("lat_deg", "day", "wh_m2"),
    [
        (43.0, 105, 33.8e6 / 3600.0),  # Duffie & Beckman, example 1.10.1, 33.8 MJ/m²
        (0.0, 80, 10509.0),  # rederived by hand, and the next three
        (52.0, 344, 1811.0),
        (-27.5, 162, 5584.0),
        (60.0, 344, 639.0),
    ],
)
def test_extraterrestrial_energy_of_a_day(lat_deg, day, wh_m2):
    ours = daily_extraterrestrial_wh_m2(lat_deg, np.array([day]))[0]
    assert ours == pytest.approx(wh_m2, rel=2e-3)


def test_declination_of_the_handbook_example():
    # Worked example: Duffie & Beckman 1.6.1, 13 February: -14 degrees.
    assert np.degrees(declination_rad(np.array([44]))[0]) == pytest.approx(-14.0, abs=0.06)


def test_polar_night_and_polar_day():
    assert daily_extraterrestrial_wh_m2(80.0, np.array([344]))[0] == 0.0
    assert sunset_hour_angle_rad(80.0, np.array([162]))[0] == pytest.approx(np.pi)
    night = sun_table(80.0, 10.0, 0.0, 80.0, 180.0)
    assert night.poa_w_m2[11].max() == 0.0
    assert np.isfinite(night.poa_w_m2).all()


def test_hourly_shares_make_a_day_at_the_equator_symmetric():
    hours = np.radians((np.arange(24) + 0.5) * 15.0 - 180.0)
    shape = hourly_share(hours, np.pi / 2.0)
    assert np.allclose(shape, shape[::-1])
    assert shape[:6].max() == 0.0


def test_daily_diffuse_share_goes_from_all_to_a_clear_skys():
    # Law, and the constants of Erbs et al. 1982: 0.143 in winter, 0.175 otherwise.
    winter, summer = np.radians(70.0), np.radians(110.0)
    assert daily_diffuse_fraction(0.02, winter) == pytest.approx(1.0, abs=0.01)
    assert daily_diffuse_fraction(0.8, winter) == pytest.approx(0.143)
    assert daily_diffuse_fraction(0.8, summer) == pytest.approx(0.175)


@pytest.mark.parametrize(
    ("horizon", "factor"), [((), 0.8536), ((10.0,), 0.7647), ((20.0,), 0.6582)]
)
def test_sky_seen_by_a_tilted_panel(horizon, factor):
    # Rederived by integration; without horizon (1 + cos 45°) / 2.
    assert tilted_sky_factor(45.0, 180.0, horizon * 36) == pytest.approx(factor, abs=1e-4)


def test_sky_seen_by_a_flat_panel_over_half_a_horizon():
    # Rederived: 20° over one half of the circle: 0.9415.
    half = (20.0,) * 180 + (0.0,) * 180
    assert tilted_sky_factor(0.0, 180.0, half) == pytest.approx(0.9415, abs=1e-3)


# Rederived with pvlib from the hourly TMY3 of Greensboro (36.1 N): kWh/m²/day on the
# horizontal plane and on a plane of 51° south with Hay & Davies, January to December.
GREENSBORO_GHI = (2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24)
GREENSBORO_POA = (3.80, 4.37, 4.87, 5.13, 4.68, 4.83, 4.84, 5.01, 4.72, 4.61, 3.77, 3.93)
# The same from the PVGIS typical year at 45 N 8 E, 60° south.
PIEDMONT_GHI = (1.54, 2.39, 3.82, 4.05, 4.83, 7.21, 6.62, 5.76, 4.52, 2.87, 2.02, 1.49)
PIEDMONT_POA = (3.26, 3.92, 4.93, 3.89, 4.05, 5.47, 5.19, 5.32, 5.34, 4.26, 4.08, 3.60)


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "height_m", "tilt_deg", "ghi", "poa"),
    [
        (36.1, -79.95, 270.0, 51.0, GREENSBORO_GHI, GREENSBORO_POA),
        (45.0, 8.0, 250.0, 60.0, PIEDMONT_GHI, PIEDMONT_POA),
    ],
)
def test_months_on_a_tilted_panel_against_hourly_files(
    lat_deg, lon_deg, height_m, tilt_deg, ghi, poa
):
    outside = daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS)
    sun = sun_table(lat_deg, lon_deg, height_m, tilt_deg, 180.0)
    days = DailyClearness.about(1000.0 * np.array(ghi) / outside)
    ours = np.array(
        [sun.mean_day_w_m2(month, days.kinds(month)).sum() / 1000.0 for month in range(1, 13)]
    )
    assert ours.mean() == pytest.approx(np.mean(poa), rel=0.04)
    assert (np.abs(ours / np.array(poa) - 1.0) < 0.10).all()


def test_clear_days_against_pvlibs_own_summing():
    # Independent implementation: pvlib 0.16.1 Location.get_clearsky, minute by minute:
    # 27.47 S, 21 June 3835 Wh/m²; our mean day of June is the 11th.
    outside = daily_extraterrestrial_wh_m2(-27.47, MEAN_DAYS)[5]
    ours = clear_sky_clearness(-27.47, 153.0, 0.0)[5] * outside
    assert ours == pytest.approx(3835.0, rel=0.03)


def test_the_panel_of_the_southern_hemisphere_faces_north():
    assert proposed_azimuth_deg(-30.0) == 0.0
    assert proposed_azimuth_deg(30.0) == 180.0
    assert proposed_tilt_deg(-30.0) == proposed_tilt_deg(30.0) == 45.0
    assert proposed_tilt_deg(85.0) == 90.0
    assert proposed_tilt_deg(0.0) == 15.0


@pytest.mark.parametrize("lat_deg", [-35.0, 35.0])
def test_the_proposed_direction_brings_more_winter_sun_than_its_opposite(lat_deg):
    month = 6 if lat_deg < 0.0 else 12
    tilt, faces = proposed_tilt_deg(lat_deg), proposed_azimuth_deg(lat_deg)
    good = sun_table(lat_deg, 20.0, 0.0, tilt, faces).mean_day_w_m2(month, np.array([0.5]))
    wrong = sun_table(lat_deg, 20.0, 0.0, tilt, 180.0 - faces).mean_day_w_m2(
        month, np.array([0.5])
    )
    assert good.sum() > 2.0 * wrong.sum()


def test_both_hemispheres_have_the_same_sun_half_a_year_apart():
    north = sun_table(40.0, 0.0, 0.0, 55.0, 180.0).poa_w_m2[5].sum()
    south = sun_table(-40.0, 0.0, 0.0, 55.0, 0.0).poa_w_m2[11].sum()
    assert south == pytest.approx(north, rel=0.08)  # the Earth is nearer the sun in January


def test_a_wall_on_the_equator_side_takes_the_beam_of_winter():
    # Rule of the trade, with the sun's height from pvlib: at 51.5 N the noon sun of December
    # stands at 15°, so 20° of horizon in the south take all of the beam.
    wall = tuple(20.0 if 90 <= a <= 270 else 0.0 for a in range(0, 360, 10))
    open_sun = sun_table(51.5, 0.0, 0.0, 66.0, 180.0).poa_w_m2[11]
    walled = sun_table(51.5, 0.0, 0.0, 66.0, 180.0, wall).poa_w_m2[11]
    bright, dull = -1, 2
    assert walled[bright].sum() < 0.25 * open_sun[bright].sum()
    assert walled[dull].sum() > 0.5 * open_sun[dull].sum()


@settings(max_examples=20, deadline=None)
@given(st.floats(-65, 65), st.floats(0, 90), st.floats(0, 359), st.floats(0, 40))
def test_a_higher_horizon_never_brings_more_sun(lat_deg, tilt_deg, azimuth_deg, elevation):
    lat_deg, elevation = round(lat_deg), round(elevation)
    flat = sun_table(lat_deg, 0.0, 0.0, round(tilt_deg), round(azimuth_deg))
    walled = sun_table(lat_deg, 0.0, 0.0, round(tilt_deg), round(azimuth_deg), (elevation,) * 36)
    assert (walled.poa_w_m2 <= flat.poa_w_m2 + 0.5).all()


def test_the_angle_of_incidence_that_pvlib_gives_is_the_handbooks():
    # Worked example: Duffie & Beckman 1.6.1: 43 N, 13 February 10:30 solar time, slope 45°,
    # azimuth 15° west of south: 35°.
    lat, declination, hour = (
        np.radians(43.0),
        declination_rad(np.array([44]))[0],
        np.radians(-22.5),
    )
    zenith = solarposition.solar_zenith_analytical(lat, hour, declination)
    azimuth = solarposition.solar_azimuth_analytical(lat, hour, declination, zenith)
    angle = irradiance.aoi(45.0, 195.0, np.degrees(zenith), np.degrees(azimuth))
    assert angle == pytest.approx(35.0, abs=0.5)
