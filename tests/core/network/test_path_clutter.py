"""Trees and houses along a path count once, and not beside the antennas."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.network.budget_steps import budget_steps
from guyline.core.network.path import PathAssessment, assess_path
from guyline.core.network.path_clutter import clutter_on_path_m
from guyline.core.plan import ClutterBand, Plan, Site, Surroundings
from guyline.core.radio import p1812
from guyline.core.terrain.profile import Profile
from guyline.services.assessment import Assessor
from stories import HALL, HILL, DrawnTerrain, three_sites

STEP_M = 25.0
NORTH_DEG_PER_M = 1.0 / 111_194.9  # of a sphere of 6371 km, as the bands measure


def northward(clutter_m: np.ndarray, *, includes_trees: bool = False) -> Profile:
    """Return flat ground to the north of 46° N 8° E, with clutter on it."""
    distance = STEP_M * np.arange(len(clutter_m))
    return Profile(
        distance_m=distance,
        ground_amsl_m=np.full(distance.shape, 100.0),
        lat_deg=46.0 + distance * NORTH_DEG_PER_M,
        lon_deg=np.full(distance.shape, 8.0),
        clutter_m=np.asarray(clutter_m, dtype=float),
        includes_trees=np.full(distance.shape, includes_trees),
    )


def wood(start_m: float, end_m: float, height_m: float = 15.0) -> np.ndarray:
    distance = STEP_M * np.arange(201)
    return np.where((distance >= start_m) & (distance <= end_m), height_m, 0.0)


def crossed(clutter_m: np.ndarray, agl_m: float = 12.0) -> PathAssessment:
    return assess_path(northward(clutter_m), agl_m, agl_m, 868e6)


def loss_db(path: PathAssessment) -> float:
    assert path.diffraction_db is not None
    return path.diffraction_db


@given(
    low=st.floats(0.0, 40.0),
    more=st.floats(0.0, 20.0),
    start=st.floats(100.0, 2400.0),
    agl=st.floats(2.0, 40.0),
)
def test_higher_clutter_never_takes_less(low, more, start, agl):
    # law: an obstacle that grows never lets more through; 0.05 dB for the step between the
    # clear and the obstructed branch of Bullington's construction
    lower = loss_db(crossed(wood(start, start + 1000.0, low), agl))
    higher = loss_db(crossed(wood(start, start + 1000.0, low + more), agl))
    assert higher >= lower - 0.05


def test_the_part_of_the_clutter_is_the_difference_with_and_without():
    with_it, without = crossed(wood(2000, 3000)), crossed(np.zeros(201))
    assert without.clutter_db == 0.0
    assert with_it.clutter_db == pytest.approx(loss_db(with_it) - loss_db(without), abs=1e-9)
    assert with_it.clutter_db > 3.0


def test_clearance_is_measured_to_the_tops():
    bare, covered = crossed(np.zeros(201)), crossed(wood(2500, 2500))
    assert bare.worst is not None
    assert covered.worst is not None
    assert covered.worst.clutter_m == 15.0
    assert covered.worst.distance_m == 2500.0
    # rederived: 12 m line - 15 m wood - 2500^2 / (2 * 4/3 * 6371000) m of curvature
    assert covered.worst.clearance_m == pytest.approx(12.0 - 15.0 - 0.36787, abs=1e-4)


def test_what_stands_within_fifty_metres_of_an_antenna_is_left_out():
    # Rec. ITU-R P.452-18: bare ground within 50 m of either terminal
    near, far = wood(0, 50), wood(4950, 5000)
    assert not crossed(near).has_clutter
    assert not crossed(far).has_clutter
    assert crossed(wood(0, 75)).clutter_m[3] == 15.0


def test_a_surface_model_leaves_clutter_out():
    covered = northward(wood(2000, 3000), includes_trees=True)
    band = band_north(2000.0, 3000.0)
    assert not clutter_on_path_m(covered, [band]).any()
    assert assess_path(covered, 12.0, 12.0, 868e6, bands=[band]).clutter_db == 0.0


def band_north(start_m: float, end_m: float, **more: object) -> ClutterBand:
    return ClutterBand(
        from_lat_deg=46.0 + start_m * NORTH_DEG_PER_M,
        from_lon_deg=8.0,
        to_lat_deg=46.0 + end_m * NORTH_DEG_PER_M,
        to_lon_deg=8.0,
        **more,  # type: ignore[arg-type]
    )


def test_a_band_covers_its_line_and_its_half_width():
    found = clutter_on_path_m(northward(np.zeros(201)), [band_north(1000, 2000, half_width_m=60)])
    covered = STEP_M * np.flatnonzero(found)
    assert (covered[0], covered[-1]) == (950.0, 2050.0)
    assert set(found) == {0.0, 15.0}  # Rec. ITU-R P.1812 table 2: trees 15 m


def test_a_band_beside_the_path_changes_nothing():
    beside = replace(band_north(1000, 2000), from_lon_deg=8.002, to_lon_deg=8.002)  # 154 m east
    assert not clutter_on_path_m(northward(np.zeros(201)), [beside]).any()


def test_a_band_counts_instead_of_the_map_and_the_highest_of_several():
    felled = band_north(2000, 3000, kind=Surroundings.OPEN)
    row = band_north(2500, 2500, half_width_m=10.0, height_m=22.0)
    found = clutter_on_path_m(northward(wood(1500, 3500)), [felled, row])
    assert found[60] == 15.0  # the map, at 1500 m
    assert found[90] == 0.0  # the band, at 2250 m
    assert found[100] == 22.0


def test_a_band_across_the_date_line_is_one_piece():
    distance = STEP_M * np.arange(5)
    profile = Profile(
        distance_m=distance,
        ground_amsl_m=np.zeros(5),
        lat_deg=np.zeros(5),
        lon_deg=np.array([179.9995, 179.9998, -179.9999, -179.9996, -179.9]),
    )
    band = ClutterBand(from_lat_deg=0, from_lon_deg=179.999, to_lat_deg=0, to_lon_deg=-179.999)
    assert (clutter_on_path_m(profile, [band]) > 0.0).tolist() == [True] * 4 + [False]


@pytest.mark.parametrize("height_m", [5.0, 10.0, 20.0])
def test_clutter_in_p1812_takes_what_it_takes_in_the_planner(height_m):
    # independent path through the code: P.1812 at 50 % of time is free space plus
    # delta-Bullington over the same obstacles; ΔN 45 against k = 4/3 differs by up to 0.8 dB
    cover = wood(1000, 4000, height_m)
    path = crossed(cover)
    at_half = p1812.basic_loss_db(
        path.profile.distance_m, path.profile.ground_amsl_m, cover, np.full(201, 4),
        12.0, 12.0, 868e6, 50.0,
    )  # fmt: skip
    assert path.loss_db == pytest.approx(at_half, abs=0.8)


def over_a_wood(plan: Plan) -> tuple[Plan, Site]:
    """Return the plan with a wood that reaches from HILL a third of the way to HALL."""
    near, far = plan.site(HILL).position, plan.site(HALL).position
    assert near is not None
    assert far is not None
    band = ClutterBand(
        from_lat_deg=near.lat_deg,
        from_lon_deg=near.lon_deg,
        to_lat_deg=near.lat_deg + (far.lat_deg - near.lat_deg) / 3.0,
        to_lon_deg=near.lon_deg + (far.lon_deg - near.lon_deg) / 3.0,
        height_m=30.0,
    )
    return replace(plan, clutter=(band,)), plan.site(HILL)


def test_a_wood_on_the_way_is_a_step_of_its_own_in_the_budget():
    plan, _ = over_a_wood(three_sites())
    link = Assessor(DrawnTerrain()).assess(plan).links[0]
    assert link.path is not None
    (step,) = [
        s for s in budget_steps(link, forward=True) if s.name == "Trees and houses on the way"
    ]
    assert step.change_db == pytest.approx(-link.path.clutter_db, abs=1e-9)
    assert budget_steps(link, forward=True)[-1].level_dbm == pytest.approx(
        link.budget.forward.received_dbm, abs=0.3
    )


@pytest.mark.parametrize(
    "among", [{"surroundings": Surroundings.WOODLAND}, {"trees_m": 60.0}], ids=["P.2108", "P.833"]
)
def test_the_wood_an_antenna_stands_in_is_counted_at_the_antenna_alone(among):
    plan, hill = over_a_wood(three_sites())
    low = replace(hill, antenna_agl_m=6.0, **among)
    link = Assessor(DrawnTerrain()).assess(plan.with_site(low)).links[0]
    assert link.path is not None
    assert not link.path.has_clutter
    assert link.near_terms + link.far_terms


def test_a_second_wood_beyond_a_gap_still_counts():
    plan, hill = over_a_wood(three_sites())
    (first,) = plan.clutter
    lat, lon = first.to_lat_deg - first.from_lat_deg, first.to_lon_deg - first.from_lon_deg
    second = replace(
        first,
        from_lat_deg=first.to_lat_deg + 0.5 * lat,
        from_lon_deg=first.to_lon_deg + 0.5 * lon,
        to_lat_deg=first.to_lat_deg + 0.8 * lat,
        to_lon_deg=first.to_lon_deg + 0.8 * lon,
    )
    plan = replace(plan, clutter=(first, second)).with_site(
        replace(hill, antenna_agl_m=6.0, surroundings=Surroundings.WOODLAND)
    )
    link = Assessor(DrawnTerrain()).assess(plan).links[0]
    assert link.path is not None
    inside = np.flatnonzero(link.path.clutter_m) / len(link.path.clutter_m)
    from_hill = inside if link.link.from_id == HILL else 1.0 - inside
    assert from_hill.size
    assert from_hill.min() > 0.4


def test_an_antenna_above_the_roofs_keeps_the_clutter_of_its_path():
    plan, hill = over_a_wood(three_sites())
    high = replace(hill, antenna_agl_m=40.0, surroundings=Surroundings.WOODLAND)
    link = Assessor(DrawnTerrain()).assess(plan.with_site(high)).links[0]
    assert link.path is not None
    assert link.path.has_clutter
