"""The horizon against shapes of known angle, with the Earth's curvature by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from guyline.core.terrain.grid import Grid
from guyline.core.terrain.horizon import (
    OPTICAL_RADIUS_M,
    horizon_of_grid,
    horizon_of_rays,
    ray_distances_m,
)

CELL_M = 50.0


def ground(height_of, reach_m=6_000.0):
    """Return a grid whose middle cell lies on the origin."""
    side = 2 * int(reach_m / CELL_M) + 1
    edge = side * CELL_M / 2.0
    x = -edge + (np.arange(side) + 0.5) * CELL_M
    heights = height_of(x[None, :], -x[:, None])
    return Grid(
        ground_amsl_m=np.broadcast_to(heights, (side, side)).astype(np.float32),
        cell_m=CELL_M,
        west_m=-edge,
        north_m=edge,
        lat0_deg=0.0,
        lon0_deg=0.0,
    )


def angle_deg(rise_m, distance_m):
    return math.degrees(math.atan2(rise_m - distance_m**2 / (2 * OPTICAL_RADIUS_M), distance_m))


def test_a_cone_stands_as_high_as_its_tip():
    # law: tan e = (H - d^2 / 2 a) / d; tip on a post 4 km east of north by 0
    cone = ground(lambda x, y: np.maximum(0.0, 500.0 - 0.5 * np.hypot(x, y - 4_000.0)))
    horizon = horizon_of_grid(cone, 0.0, 0.0, 0.0, 5_500.0)
    assert horizon.elevation_deg[0] == pytest.approx(angle_deg(500.0, 4_000.0), abs=0.005)
    assert horizon.distance_m[0] == 4_000.0
    # its foot is 1000 m wide on either side: asin(1/4) = 14.5 degrees
    assert horizon.elevation_deg[13] > 0.0 > horizon.elevation_deg[16]


def test_a_ridge_sinks_with_the_cosine_of_the_azimuth():
    # law: a level crest 2 km east is d / cos away toward d, so tan e = (H - s^2 / 2 a) / s
    ridge = ground(lambda x, y: np.maximum(0.0, 300.0 - np.abs(x - 2_000.0)) + 0.0 * y)
    horizon = horizon_of_grid(ridge, 0.0, 0.0, 0.0, 5_500.0)
    for azimuth in (90, 60, 120, 45):
        slant = 2_000.0 / math.sin(math.radians(azimuth))
        expected = angle_deg(300.0, slant)
        # between two samples of a ray the crest is missed by up to 25 m: 0.7 degrees at 2 km
        assert expected - 0.71 < horizon.elevation_deg[azimuth] <= expected + 1e-6
    assert horizon.elevation_deg[90] == pytest.approx(angle_deg(300.0, 2_000.0), abs=1e-4)


def test_level_ground_lies_below_the_eye_by_the_dip_of_the_horizon():
    # law: least angle of tangency, sqrt(2 h / a) = 0.0523 degrees for 3 m, at sqrt(2 h a) = 6.6 km
    horizon = horizon_of_rays(
        np.zeros((4, 400)), np.linspace(50.0, 20_000.0, 400), 3.0, OPTICAL_RADIUS_M
    )
    dip = math.degrees(math.sqrt(2 * 3.0 / OPTICAL_RADIUS_M))
    assert horizon.elevation_deg == pytest.approx([-dip] * 4, abs=1e-4)
    assert horizon.distance_m == pytest.approx([math.sqrt(6.0 * OPTICAL_RADIUS_M)] * 4, abs=30)


def test_light_is_bent_by_an_eighth_of_the_earth():
    # worked value of geodesy: refraction coefficient 0.13, radius 6371 km / 0.87 = 7323 km
    assert pytest.approx(7_323_000, abs=500) == OPTICAL_RADIUS_M


def test_a_higher_eye_never_sees_a_higher_horizon():
    random = np.random.default_rng(5).uniform(0.0, 400.0, (36, 100))
    distance = ray_distances_m(50.0, 5_000.0)
    low = horizon_of_rays(random, distance, 100.0)
    high = horizon_of_rays(random, distance, 150.0)
    assert np.all(high.elevation_deg < low.elevation_deg)


def test_beyond_a_void_the_horizon_is_a_lower_bound():
    heights = np.zeros((2, 10))
    heights[1, 4:] = np.nan
    horizon = horizon_of_rays(heights, np.arange(1.0, 11.0) * 100.0, 5.0)
    assert horizon.known_to_m.tolist() == [1000.0, 400.0]
    assert not np.isnan(horizon.elevation_deg).any()


def test_a_direction_of_which_nothing_is_known_is_unknown():
    horizon = horizon_of_rays(np.full((3, 10), np.nan), np.arange(1.0, 11.0), 0.0)
    assert np.isnan(horizon.elevation_deg).all()
    assert np.isnan(horizon.distance_m).all()
    assert horizon.known_to_m.tolist() == [0.0, 0.0, 0.0]


def test_any_azimuth_can_be_asked_and_north_closes_the_circle():
    horizon = horizon_of_rays(np.array([[10.0], [20.0], [30.0], [40.0]]), np.array([100.0]), 0.0)
    east, south = horizon.at(90.0), horizon.at(180.0)
    assert horizon.at(135.0) == pytest.approx((east + south) / 2)
    assert horizon.at(360.0) == horizon.at(0.0)
    assert horizon.at(np.array([315.0])) == pytest.approx(
        [(horizon.at(270.0) + horizon.at(0)) / 2]
    )


def test_rays_are_sampled_at_the_pitch_and_then_in_proportion():
    distance = ray_distances_m(30.0, 40_000.0)
    assert distance[0] == 30.0
    assert distance[-1] >= 40_000.0
    step = np.diff(distance)
    assert np.all(step <= np.maximum(30.0, 0.005 * distance[:-1]) + 1e-6)
    assert ray_distances_m(30.0, 90.0).tolist() == [30.0, 60.0, 90.0]
