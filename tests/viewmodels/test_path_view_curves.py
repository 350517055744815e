"""The lines drawn of a profile keep what matters of it."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.earth import effective_radius_m
from guyline.core.network.path import assess_path, fresnel_radii_m, line_of_sight_m
from guyline.core.terrain.profile import Profile
from guyline.viewmodels.path_view_curves import (
    ground_curve,
    raised_by_curvature_m,
    round_step,
    sight_curves,
    worst_mark,
)


def profile_of(ground: np.ndarray, length_m: float = 20_000.0) -> Profile:
    n = ground.size
    return Profile(
        distance_m=np.linspace(0.0, length_m, n),
        ground_amsl_m=ground,
        lat_deg=np.full(n, 50.0),
        lon_deg=np.linspace(5.0, 5.2, n),
    )


def test_a_lone_summit_survives_thinning() -> None:
    ground = np.zeros(5000)
    ground[3217] = 90.0
    curve = ground_curve(profile_of(ground), 4 / 3, columns=400)
    assert curve.distance_m.size <= 402
    summit = raised_by_curvature_m(profile_of(ground), 4 / 3)[3217]
    assert curve.raised_m.max() == summit


def test_a_lone_void_survives_thinning() -> None:
    ground = np.zeros(5000)
    ground[1234] = np.nan
    assert np.isnan(ground_curve(profile_of(ground), 4 / 3, columns=400).raised_m).sum() == 1


def test_both_ends_are_always_drawn() -> None:
    curve = ground_curve(profile_of(np.arange(5000.0)), 4 / 3, columns=300)
    assert curve.distance_m[0] == 0.0
    assert curve.distance_m[-1] == 20_000.0


def test_a_window_draws_no_more_than_it_shows() -> None:
    curve = ground_curve(profile_of(np.zeros(5000)), 4 / 3, 400, (5_000.0, 6_000.0))
    step = 20_000.0 / 4999
    assert 5_000.0 - 2 * step <= curve.distance_m[0] <= 5_000.0
    assert 6_000.0 <= curve.distance_m[-1] <= 6_000.0 + 2 * step


def test_the_earth_bulges_by_its_worked_height_half_way() -> None:
    # rederived: 10 km * 10 km / (2 * 4/3 * 6371 km) = 5.886 m
    raised = raised_by_curvature_m(profile_of(np.zeros(2001)), 4 / 3)
    assert raised[1000] == pytest.approx(1e8 / (2 * effective_radius_m(4 / 3)), abs=1e-9)
    assert raised[1000] == pytest.approx(5.886, abs=0.001)


def test_the_drawn_zone_is_the_cores_zone() -> None:
    path = assess_path(profile_of(np.zeros(2001)), 10.0, 30.0, 868e6)
    drawn, d = sight_curves(path), path.profile.distance_m
    line, radius = line_of_sight_m(path), fresnel_radii_m(path)
    at = drawn.distance_m.size // 2  # a point of both: half way
    i = int(np.abs(d - drawn.distance_m[at]).argmin())
    assert drawn.line_m[at] == pytest.approx(line[i])
    assert drawn.zone_top_m[at] == pytest.approx(line[i] + radius[i])
    assert drawn.clear_bottom_m[at] == pytest.approx(line[i] - 0.6 * radius[i])


def test_the_worst_mark_reaches_from_the_ground_to_where_the_zone_must_be_free() -> None:
    ground = np.zeros(2001)
    ground[700] = 40.0
    path = assess_path(profile_of(ground), 10.0, 30.0, 868e6)
    mark = worst_mark(path)
    assert mark is not None
    assert path.worst is not None
    assert mark.distance_m == pytest.approx(7_000.0)
    assert mark.clear_m - mark.ground_m == pytest.approx(-path.worst.height_needed_m)


@pytest.mark.parametrize(
    ("span", "about", "step"), [(100.0, 5, 20.0), (14.5, 7, 2.0), (0.9, 4, 0.2), (8.0, 8, 1.0)]
)
def test_ticks_stand_at_round_numbers(span: float, about: int, step: float) -> None:
    assert round_step(span, about) == pytest.approx(step)
