"""The horizon of the demo's valley and hilltop."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from guyline.core.plan import TerrainSource
from guyline.core.terrain.horizon import ray_distances_m
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame, direct, elevation_angle_deg, inverse
from guyline.services.horizon import _rays, horizon_at

DEMO = Path(__file__).parents[2] / "demo_projects" / "ullerby_sound"


@pytest.fixture(scope="module")
def sound():
    return Terrain.open([TerrainSource(path="terrain.tif")], DEMO)


def summit(terrain):
    b = terrain.bounds
    lat0, lon0 = (b.south_deg + b.north_deg) / 2, (b.west_deg + b.east_deg) / 2
    frame = LocalFrame(lat0, lon0)
    grid = terrain.grid(frame, -11e3, -8e3, 11e3, 8e3, 30.0)
    row, column = np.unravel_index(np.nanargmax(grid.ground_amsl_m), grid.ground_amsl_m.shape)
    lat, lon = frame.to_lat_lon(grid.x_m[column], grid.y_m[row])
    return float(lat), float(lon)


def test_the_highest_summit_stands_out_of_its_horizon(sound):
    horizon = horizon_at(sound, *summit(sound), 5.0)
    # the sea ends at the rim of the data; beyond it nothing is known
    assert np.all(horizon.elevation_deg < 0.0)
    assert np.all(horizon.known_to_m < 25_000.0)


def test_the_horizon_toward_a_summit_is_at_least_its_elevation(sound):
    top = summit(sound)
    radius = 6_371_000.0 / 0.87
    for azimuth, distance in ((200.0, 3_000.0), (260.0, 5_000.0), (310.0, 6_000.0)):
        place = direct(*top, azimuth, distance)
        eye = sound.height_amsl_m(*place) + 2.0
        way = inverse(*place, *top)
        seen = elevation_angle_deg(way.distance_m, eye, sound.height_amsl_m(*top), radius)
        found = horizon_at(sound, *place, 2.0).at(way.azimuth_deg)
        assert found > seen - 0.2  # rays lie 1 degree apart: the summit may stand between two
        assert found > 2.0


def test_rays_keep_their_azimuth_and_distance():
    distance = ray_distances_m(30.0, 40_000.0)
    lat, lon = _rays(-46.0, -129.0, np.array([0.0, 33.0, 217.0]), distance)
    for ray, azimuth in enumerate((0.0, 33.0, 217.0)):
        for i in (0, 7, 300, distance.size - 9, distance.size - 1):
            expected = direct(-46.0, -129.0, azimuth, distance[i])
            off = inverse(*expected, float(lat[ray, i]), float(lon[ray, i])).distance_m
            assert off < 1.0


def test_the_horizon_of_unknown_ground_is_unknown(sound):
    assert horizon_at(sound, 0.0, 0.0, 5.0) is None
