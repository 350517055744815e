"""The horizon of the demo's valley and hilltop, and of real ground by a plain loop."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from scipy.interpolate import RegularGridInterpolator

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


def test_the_horizon_of_real_ground_is_that_of_a_plain_loop(tmp_path):
    # rederived: geodesics one by one, another library's interpolation, the maximum by hand
    cbook = pytest.importorskip("matplotlib.cbook", reason="matplotlib carries the sample")
    with cbook.get_sample_data("jacksboro_fault_dem.npz") as sample:
        cells, west = sample["elevation"], float(sample["xmin"])
        north = max(float(sample["ymin"]), float(sample["ymax"]))
    step, (rows, columns) = 1 / 1200, cells.shape
    with rasterio.open(
        tmp_path / "ridges.tif", "w", driver="GTiff", width=columns, height=rows, count=1,
        dtype=cells.dtype, crs="EPSG:4326", transform=Affine(step, 0, west, 0, -step, north),
    ) as raster:  # fmt: skip
        raster.write(cells, 1)
    posts = (
        north - step / 2 - np.arange(rows)[::-1] * step,
        west + step / 2 + np.arange(columns) * step,
    )
    height = RegularGridInterpolator(posts, cells[::-1].astype(float))
    lat, lon = north - 0.14, west + 0.17
    eye = float(height((lat, lon))) + 2.0
    terrain = Terrain.open([TerrainSource(path="ridges.tif")], tmp_path)
    found = horizon_at(terrain, lat, lon, 2.0, farthest_m=11_000.0, count=36)
    for azimuth in range(0, 360, 30):
        expected = -90.0
        for distance in ray_distances_m(terrain.pitch_m(lat, lon), 11_000.0):
            there = direct(lat, lon, azimuth, float(distance))
            drop = float(distance) ** 2 / (2 * 6_371_000.0 / 0.87)
            rise = float(height(there)) - eye - drop
            expected = max(expected, math.degrees(math.atan2(rise, float(distance))))
        assert found.at(azimuth) == pytest.approx(expected, abs=0.01)


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
