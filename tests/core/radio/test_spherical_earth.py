"""Diffraction over a smooth Earth."""

from __future__ import annotations

from math import log10

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.spherical_earth import (
    LAND,
    SEA,
    spherical_earth_loss_db,
    surface_admittance,
)
from reference.plain_path import plain_spherical_db

heights = st.floats(0.5, 500.0)
distances = st.floats(100.0, 200e3)

# Rederived for Rec. ITU-R P.1812, section 4.3.2, by an implementation that reproduces all 63
# published results; land, vertical, a = 8500 km, wavelength 0.2998 / f; printed to 0.001 dB.
LOSSES = [
    (5, 2, 2, 29.699, 29.259),
    (10, 10, 2, 23.423, 23.020),
    (10, 10, 10, 9.816, 9.431),
    (20, 10, 10, 19.484, 19.164),
    (40, 30, 30, 14.403, 14.184),
    (60, 50, 10, 34.545, 34.596),
]


@pytest.mark.parametrize(("km", "h1_m", "h2_m", "at_868_db", "at_915_db"), LOSSES)
def test_loss_is_the_printed_one(km, h1_m, h2_m, at_868_db, at_915_db):
    for ghz, expected_db in ((0.868, at_868_db), (0.915, at_915_db)):
        loss_db = spherical_earth_loss_db(
            km * 1e3, h1_m, h2_m, ghz * 1e9, 8.5e6, path_wavelength_m=0.2998 / ghz
        )
        assert loss_db == pytest.approx(expected_db, abs=5.6e-4)  # rounded by way of 4 decimals


@given(distances, heights, heights, st.floats(1e8, 3e9), st.booleans())
def test_loss_is_that_of_the_plain_reading(d_m, h1_m, h2_m, frequency_hz, is_vertical):
    plain = plain_spherical_db(d_m / 1e3, h1_m, h2_m, 8500.0, frequency_hz / 1e9, is_vertical)
    polarisation = "vertical" if is_vertical else "horizontal"
    loss_db = spherical_earth_loss_db(
        d_m, h1_m, h2_m, frequency_hz, 8.5e6, polarisation=polarisation
    )
    assert loss_db == pytest.approx(plain, abs=1e-6)


@given(distances, heights, heights)
def test_both_ends_may_be_exchanged(d_m, h1_m, h2_m):
    there = spherical_earth_loss_db(d_m, h1_m, h2_m, 868e6, 8.5e6)
    assert spherical_earth_loss_db(d_m, h2_m, h1_m, 868e6, 8.5e6) == pytest.approx(there, abs=1e-6)


@given(distances, heights, heights)
def test_a_higher_antenna_never_loses_more(d_m, h1_m, h2_m):
    low = spherical_earth_loss_db(d_m, h1_m, h2_m, 868e6, 8.5e6)
    assert spherical_earth_loss_db(d_m, 1.1 * h1_m, h2_m, 868e6, 8.5e6) <= low + 1e-9


@pytest.mark.parametrize("polarisation", ["horizontal", "vertical"])
@pytest.mark.parametrize("ghz", [0.12, 0.433, 0.868])
def test_pycraf_finds_the_same_loss_over_the_sea(pycraf, ghz, polarisation):
    # Independent implementation: pycraf 2.1, loss_diffraction (P.452-16) over a flat profile
    # beyond the horizon. It weighs land with 1 - 0.01 * fraction, so its sea path holds 0.99 of
    # the land loss besides: sea = (its sea path - its land path) + 0.01 land.
    u, cnv, pathprof = pycraf
    km = np.linspace(0.0, 70.0, 351)

    def theirs_db(sea_percent):
        path = pathprof.PathProp(
            ghz * u.GHz,
            290 * u.K,
            1013 * u.hPa,
            0 * u.deg,
            50 * u.deg,
            1 * u.deg,
            50 * u.deg,
            20 * u.m,
            10 * u.m,
            200 * u.m,
            50 * u.percent,
            omega=sea_percent * u.percent,
            hprof_dists=km * u.km,
            hprof_heights=np.zeros(351) * u.m,
            hprof_bearing=90 * u.deg,
            hprof_backbearing=-90 * u.deg,
            delta_N=39.3239 / u.km,
            N0=325 * cnv.dimless,
            polarization=("horizontal", "vertical").index(polarisation),
        )
        return pathprof.loss_diffraction(path)[0].to_value(cnv.dB)

    def ours_db(sea_fraction):
        return spherical_earth_loss_db(
            70e3, 20, 10, ghz * 1e9, 8.5e6, polarisation=polarisation, sea_fraction=sea_fraction
        )

    sea_db = theirs_db(100.0) - theirs_db(0.0) + 0.01 * ours_db(0.0)
    assert ours_db(1.0) == pytest.approx(sea_db, abs=0.01)


def test_a_sea_path_lies_between_land_and_sea():
    def loss_db(sea_fraction):
        return spherical_earth_loss_db(60e3, 10, 10, 95e6, 8.5e6, sea_fraction=sea_fraction)

    # P.1812 eq. (29): the first terms are weighted by the fractions.
    assert loss_db(0.3) == pytest.approx(0.7 * loss_db(0.0) + 0.3 * loss_db(1.0))
    assert loss_db(1.0) < loss_db(0.0) - 1.0


def test_antennas_on_the_ground_have_the_least_height_gain():
    # P.1812 eq. (36): the height gain is never below 2 + 20 log10 K.
    k = surface_admittance(LAND, 0.868, 8500.0, "vertical")
    beta = (1 + 1.6 * k**2 + 0.67 * k**4) / (1 + 4.5 * k**2 + 1.53 * k**4)
    x = 21.88 * beta * (0.868 / 8500**2) ** (1 / 3) * 10
    distance_db = 20 * log10(x) + 5.6488 * x**1.425
    expected_db = distance_db - 2 * (2 + 20 * log10(k))
    assert spherical_earth_loss_db(10e3, 0.0, 0.0, 868e6, 8.5e6) == pytest.approx(expected_db)


def test_vertical_waves_are_taken_up_better_by_the_sea():
    # P.1812 eq. (30b): the vertical admittance is the horizontal one times |er + j 18 s / f|.
    ratio = surface_admittance(SEA, 0.1, 8500, "vertical") / surface_admittance(
        SEA, 0.1, 8500, "horizontal"
    )
    assert ratio == pytest.approx((80**2 + (18 * 5 / 0.1) ** 2) ** 0.5)
