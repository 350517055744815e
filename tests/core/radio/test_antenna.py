"""Gain toward a neighbour.

Tables are rederived (the line source and the exact dipole computed apart, printed to 0.1 dB);
geometry is checked by laws.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from guyline.core.plan import Pattern
from guyline.core.radio.antenna import (
    DIPOLE_BEAMWIDTH_DEG,
    FLOOR_BELOW_PEAK_DB,
    beamwidth_elevation_deg,
    dipole_dbi,
    gain_toward_dbi,
    off_axis_deg,
    omni_array_dbi,
    omni_wanted_dbi,
    seen_from_tilted,
)
from guyline.core.radio.antenna_f1336 import omni_average_dbi

ELEVATIONS_DEG = st.floats(-90.0, 90.0)
AZIMUTHS_DEG = st.floats(-180.0, 180.0)
GAINS_DBI = st.floats(0.0, 13.0)
PATTERNS = st.sampled_from(list(Pattern))


@pytest.mark.parametrize(
    ("gain_dbi", "expected_dbi"),
    [
        (5.0, [4.1, 3.8, 2.2, -0.2, -8.4]),
        (8.0, [4.5, 3.1, -5.8, -12.0, -7.4]),  # -15.3 at 20 degrees, floored 20 dB under 8 dBi
        (10.0, [-0.2, -6.8, -4.4, -7.2, -9.2]),
    ],
)
def test_line_source_agrees_with_the_rederived_table(
    gain_dbi: float, expected_dbi: list[float]
) -> None:
    elevations_deg = [-8.53, -10.0, -15.0, -20.0, -30.0]
    assert omni_array_dbi(elevations_deg, gain_dbi) == pytest.approx(expected_dbi, abs=0.06)


@pytest.mark.parametrize(
    ("gain_dbi", "width_deg", "first_null_deg"),
    [(5.0, 32.5, 39.2), (8.0, 16.1, 18.5), (10.0, 10.2, 11.5)],
)
def test_line_source_is_as_wide_as_the_rederived_table_says(
    gain_dbi: float, width_deg: float, first_null_deg: float
) -> None:
    # the table's width is that of the row of elements alone, without the cosine of each element
    def row_db(elevation_deg: float) -> float:
        element_db = 20.0 * np.log10(np.cos(np.radians(elevation_deg)))
        return float(omni_array_dbi(elevation_deg, gain_dbi)) - gain_dbi - element_db

    half_deg = brentq(lambda t: row_db(t) + 3.0103, 0.1, 30.0)
    assert 2.0 * half_deg == pytest.approx(width_deg, abs=0.06)
    null = float(omni_array_dbi(first_null_deg, gain_dbi))
    assert null == pytest.approx(gain_dbi - FLOOR_BELOW_PEAK_DB)


def test_half_wave_dipole_agrees_with_the_rederived_values() -> None:
    expected_dbi = [1.96, 0.39, -0.85]
    assert dipole_dbi([10.0, 30.0, 39.0], 2.15) == pytest.approx(expected_dbi, abs=0.01)
    assert float(dipole_dbi(60.0, 2.15)) == pytest.approx(-5.4, abs=0.06)
    assert float(dipole_dbi(80.0, 2.15)) == pytest.approx(-15.0, abs=0.5)  # printed to 1 dB
    assert float(dipole_dbi(DIPOLE_BEAMWIDTH_DEG / 2)) == pytest.approx(2.15 - 3.0103, abs=0.01)


def test_town_under_the_hill_gets_less_from_ten_dbi_than_from_five() -> None:
    # rederived: 300 m below at 2 km is 8.53 degrees down
    five, eight, ten = (float(omni_wanted_dbi(-8.53, gain)) for gain in (5.0, 8.0, 10.0))
    assert five == pytest.approx(4.1, abs=0.06)
    assert eight == pytest.approx(4.5, abs=0.06)
    assert ten == pytest.approx(-0.2, abs=0.06)


@given(elevation_deg=ELEVATIONS_DEG, gain_dbi=GAINS_DBI)
def test_wanted_omni_gain_is_never_above_either_pattern(
    elevation_deg: float, gain_dbi: float
) -> None:
    wanted = float(omni_wanted_dbi(elevation_deg, gain_dbi))
    floor = gain_dbi - FLOOR_BELOW_PEAK_DB
    assert wanted <= max(float(omni_average_dbi(elevation_deg, gain_dbi)), floor) + 1e-9
    assert wanted <= max(float(omni_array_dbi(elevation_deg, gain_dbi)), floor) + 1e-9


@given(
    pattern=PATTERNS, elevation_deg=ELEVATIONS_DEG, azimuth_deg=AZIMUTHS_DEG, gain_dbi=GAINS_DBI
)
def test_gain_toward_any_direction_is_at_most_the_peak_gain(
    pattern: Pattern, elevation_deg: float, azimuth_deg: float, gain_dbi: float
) -> None:
    gain = float(gain_toward_dbi(pattern, gain_dbi, elevation_deg, azimuth_deg))
    assert np.isfinite(gain)
    assert gain <= gain_dbi + 1e-9


@given(pattern=PATTERNS, gain_dbi=GAINS_DBI, tilt_deg=st.floats(-20.0, 20.0))
def test_peak_gain_is_found_where_the_tilt_points(
    pattern: Pattern, gain_dbi: float, tilt_deg: float
) -> None:
    gain = float(gain_toward_dbi(pattern, gain_dbi, -tilt_deg, 0.0, tilt_deg))
    assert gain == pytest.approx(gain_dbi, abs=1e-6)


@given(pattern=PATTERNS, gain_dbi=GAINS_DBI, azimuth_deg=AZIMUTHS_DEG)
def test_array_of_directions_gives_the_scalar_answers(
    pattern: Pattern, gain_dbi: float, azimuth_deg: float
) -> None:
    elevations_deg = np.linspace(-90.0, 90.0, 37)
    together = gain_toward_dbi(pattern, gain_dbi, elevations_deg, azimuth_deg, 3.0, 90.0)
    alone = [
        float(gain_toward_dbi(pattern, gain_dbi, e, azimuth_deg, 3.0, 90.0))
        for e in elevations_deg
    ]
    assert together.shape == elevations_deg.shape
    assert together == pytest.approx(alone)


@given(elevation_deg=ELEVATIONS_DEG, azimuth_deg=AZIMUTHS_DEG)
def test_azimuth_has_no_effect_on_an_omnidirectional_antenna(
    elevation_deg: float, azimuth_deg: float
) -> None:
    for pattern in (Pattern.OMNI, Pattern.DIPOLE):
        ahead = float(gain_toward_dbi(pattern, 5.0, elevation_deg))
        aside = float(gain_toward_dbi(pattern, 5.0, elevation_deg, azimuth_deg))
        assert aside == pytest.approx(ahead)


@given(elevation_deg=ELEVATIONS_DEG, azimuth_deg=AZIMUTHS_DEG, tilt_deg=st.floats(-45.0, 45.0))
def test_leaning_an_antenna_keeps_the_angle_between_two_directions(
    elevation_deg: float, azimuth_deg: float, tilt_deg: float
) -> None:
    # law: a rotation; the boresight itself is seen at elevation 0, azimuth 0
    elevation, azimuth = seen_from_tilted(elevation_deg, azimuth_deg, tilt_deg)
    beam = np.radians(-tilt_deg)
    theta, phi = np.radians(elevation_deg), np.radians(azimuth_deg)
    cosine = np.sin(theta) * np.sin(beam) + np.cos(theta) * np.cos(beam) * np.cos(phi)
    assert np.cos(np.radians(off_axis_deg(elevation, azimuth))) == pytest.approx(cosine, abs=1e-9)


@pytest.mark.parametrize(
    ("pattern", "gain_dbi"), [(Pattern.DIPOLE, 2.15), (Pattern.YAGI, 9.0), (Pattern.PATCH, 8.0)]
)
def test_beamwidth_is_where_the_gain_is_down_three_db(pattern: Pattern, gain_dbi: float) -> None:
    half_deg = beamwidth_elevation_deg(pattern, gain_dbi) / 2.0
    assert float(gain_toward_dbi(pattern, gain_dbi, half_deg)) == pytest.approx(
        gain_dbi - 3.0, abs=0.02
    )


def test_sector_without_a_width_is_taken_as_65_degrees_wide() -> None:
    given_width = gain_toward_dbi(Pattern.SECTOR, 12.0, -10.0, 40.0, 0.0, 65.0)
    assert gain_toward_dbi(Pattern.SECTOR, 12.0, -10.0, 40.0) == given_width
    assert beamwidth_elevation_deg(Pattern.SECTOR, 12.0) == pytest.approx(30.09, abs=0.01)


@pytest.mark.parametrize("pattern", Pattern)
def test_unknown_direction_has_an_unknown_gain(pattern: Pattern) -> None:
    assert np.isnan(gain_toward_dbi(pattern, 9.0, np.nan))
    if pattern not in (Pattern.OMNI, Pattern.DIPOLE):
        assert np.isnan(gain_toward_dbi(pattern, 9.0, 0.0, np.nan))
