"""Loss and clearance over profiles whose answers are known without a computer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.network.path import (
    assess_path,
    fresnel_radii_m,
    line_of_sight_m,
    raised_ground_m,
)
from guyline.core.terrain.profile import Profile


def profile(ground_m: np.ndarray, length_m: float = 10_000.0, **more: object) -> Profile:
    n = len(ground_m)
    nowhere = np.zeros(n)
    return Profile(
        distance_m=np.linspace(0.0, length_m, n),
        ground_amsl_m=np.asarray(ground_m, float),
        lat_deg=nowhere,
        lon_deg=nowhere,
        **more,  # type: ignore[arg-type]
    )


def test_mid_path_bulge_of_10_km_is_1_47_m_at_four_thirds_and_2_94_m_at_two_thirds():
    # worked example: trade tables of Earth bulge, d1 d2 / (2 k a) = 5000^2 / (2 k 6371000)
    path = assess_path(profile(np.zeros(1001)), 10.0, 10.0, 868e6)
    assert raised_ground_m(path, 4 / 3)[500] == pytest.approx(1.47, abs=0.005)
    assert raised_ground_m(path, 2 / 3)[500] == pytest.approx(2.94, abs=0.005)


def test_a_single_ridge_is_the_worst_point_and_its_clearance_is_exact():
    ground = np.zeros(1001)
    ground[400] = 60.0
    path = assess_path(profile(ground), 100.0, 100.0, 868e6)
    assert path.worst is not None
    assert path.worst.distance_m == pytest.approx(4000.0)
    # rederived: 100 m line - 60 m ridge - 4000 * 6000 / (2 * 4/3 * 6371000) m of curvature
    assert path.worst.clearance_m == pytest.approx(40.0 - 1.41265, abs=1e-4)
    # rederived: F1 = sqrt(0.345383 m * 4000 * 6000 / 10000)
    assert path.worst.fresnel_radius_m == pytest.approx(28.7910, abs=1e-3)
    assert path.worst.height_needed_m == 0.0


def test_raising_both_antennas_by_the_height_needed_clears_six_tenths_of_the_zone():
    ground = np.zeros(1001)
    ground[500] = 80.0
    low = assess_path(profile(ground), 60.0, 60.0, 868e6)
    assert low.worst is not None
    lift = low.worst.height_needed_m
    assert lift > 0
    high = assess_path(profile(ground), 60.0 + lift, 60.0 + lift, 868e6)
    assert high.worst is not None
    assert high.worst.clearance_ratio == pytest.approx(0.6, abs=1e-9)


def test_the_zone_closes_at_both_antennas_and_the_line_joins_them():
    path = assess_path(profile(np.linspace(5.0, 25.0, 101)), 10.0, 20.0, 868e6)
    assert fresnel_radii_m(path)[[0, -1]] == pytest.approx([0.0, 0.0])
    assert line_of_sight_m(path)[[0, -1]] == pytest.approx([15.0, 45.0])


def test_a_void_makes_loss_and_clearance_unknown_and_is_named():
    ground = np.zeros(101)
    ground[31:41] = np.nan
    path = assess_path(profile(ground), 10.0, 10.0, 868e6)
    assert path.loss_db is None
    assert path.worst is None
    assert path.void_ranges_m == ((3100.0, 4000.0),)


def test_clearance_within_the_height_error_of_the_data_is_said():
    ground = np.zeros(1001)
    ground[500] = 80.0
    base = profile(ground, height_sd_m=4.0)
    bare = assess_path(base, 60.0, 60.0, 868e6)
    assert bare.worst is not None
    needed = 60.0 + bare.worst.height_needed_m
    assert assess_path(base, needed + 3.0, needed + 3.0, 868e6).inside_data_error
    assert not assess_path(base, needed + 5.0, needed + 5.0, 868e6).inside_data_error
    unknown = replace(base, height_sd_m=None)
    assert not assess_path(unknown, needed, needed, 868e6).inside_data_error


def test_path_is_the_same_from_its_other_end():
    rng = np.random.default_rng(3)
    base = profile(rng.uniform(0.0, 120.0, 301))
    there = assess_path(base, 12.0, 30.0, 868e6)
    back = assess_path(base.reversed(), 30.0, 12.0, 868e6)
    assert there.loss_db is not None
    assert back.loss_db == pytest.approx(there.loss_db, abs=1e-9)
    assert there.worst is not None
    assert back.worst is not None
    assert back.worst.clearance_ratio == pytest.approx(there.worst.clearance_ratio, abs=1e-9)


def test_voids_at_both_ends_are_ranges_of_their_own():
    ground = np.array([np.nan, 1.0, 2.0, np.nan, np.nan])
    assert profile(ground, 4000.0).void_ranges_m() == ((0.0, 0.0), (3000.0, 4000.0))
