"""Surroundings proposed from a map of land cover."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from guyline.core.plan import Fact, Plan, Surroundings, TerrainSource
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame
from guyline.services.land_cover import LandCover

CELL_DEG = 1 / 12_000  # 10 m to the south, as the product has it


def cover_map(path, classes):
    transform = Affine(CELL_DEG, 0.0, 8.0, 0.0, -CELL_DEG, 46.02)
    with rasterio.open(
        path, "w", driver="GTiff", width=classes.shape[1], height=classes.shape[0], count=1,
        dtype="uint8", crs="EPSG:4326", transform=transform, nodata=0,
    ) as raster:  # fmt: skip
        raster.write(classes, 1)
    return LandCover.open([TerrainSource(path=path.name, description="Map")], path.parent)


def place(row, column):
    return 46.02 - (row + 0.5) * CELL_DEG, 8.0 + (column + 0.5) * CELL_DEG


@pytest.mark.parametrize(
    ("code", "surroundings"),
    [  # legend of the ESA WorldCover product
        (10, Surroundings.WOODLAND),
        (30, Surroundings.OPEN),
        (50, Surroundings.SUBURB),
        (60, Surroundings.BARE),
        (80, Surroundings.WATER),
        (95, Surroundings.WOODLAND),
    ],
)
def test_a_class_of_the_map_becomes_surroundings(tmp_path, code, surroundings):
    cover = cover_map(tmp_path / "m.tif", np.full((240, 240), code, dtype=np.uint8))
    around = cover.around(*place(100, 100))
    assert around.surroundings is surroundings
    assert around.share == 1.0
    assert around.source == "Map"


def test_the_commonest_kind_wins_and_its_share_is_told(tmp_path):
    classes = np.full((240, 240), 30, dtype=np.uint8)
    classes[:, 101:] = 10  # trees from the next column on
    cover = cover_map(tmp_path / "m.tif", classes)
    edge = cover.around(*place(100, 100))
    assert edge.surroundings is Surroundings.OPEN
    assert 0.5 < edge.share < 0.8
    assert cover.around(*place(100, 120)).surroundings is Surroundings.WOODLAND


def test_classes_are_never_mixed_into_others(tmp_path):
    # halfway between grass (30) and built-up (50) there are no crops (40)
    classes = np.full((240, 240), 10, dtype=np.uint8)
    classes[::2] = 80
    cover = cover_map(tmp_path / "m.tif", classes)
    found = {cover.around(46.01 + i * CELL_DEG / 7, 8.01).surroundings for i in range(14)}
    assert found == {Surroundings.WOODLAND, Surroundings.WATER}


def test_outside_the_map_and_where_it_has_no_class_nothing_is_proposed(tmp_path):
    cover = cover_map(tmp_path / "m.tif", np.zeros((240, 240), dtype=np.uint8))
    assert cover.around(*place(100, 100)) is None
    assert cover.around(10.0, 10.0) is None
    assert LandCover.open([], Path()).around(10.0, 10.0) is None


def test_a_map_that_is_not_there_is_a_problem_and_no_failure(tmp_path):
    (problem,) = LandCover.open([TerrainSource(path="gone.tif")], tmp_path).problems
    assert "gone.tif is not there" in problem


def test_heights_along_a_path_follow_the_classes(tmp_path):
    classes = np.full((240, 240), 30, dtype=np.uint8)
    classes[:, 60:120], classes[:, 120:180], classes[:, 180:] = 10, 50, 80
    cover = cover_map(tmp_path / "m.tif", classes)
    lat, lon = np.array([place(100, column) for column in (30, 90, 150, 210)]).T
    # Rec. ITU-R P.1812 table 2, from memory: open 0, trees 15, suburban 10, water 0 m
    assert cover.clutter_m(lat, lon).tolist() == [0.0, 15.0, 10.0, 0.0]


def test_where_no_map_knows_nothing_stands(tmp_path):
    cover = cover_map(tmp_path / "m.tif", np.zeros((240, 240), dtype=np.uint8))
    assert cover.clutter_m(np.array([46.01, 10.0]), np.array([8.01, 8.01])).tolist() == [0.0, 0.0]


@pytest.mark.parametrize("includes_trees", [Fact.YES, Fact.NO, Fact.UNKNOWN])
def test_a_profile_has_the_map_and_whether_its_ground_includes_trees(tmp_path, includes_trees):
    cover_map(tmp_path / "cover.tif", np.full((240, 240), 10, dtype=np.uint8))
    with rasterio.open(tmp_path / "cover.tif") as raster:
        ground = {**raster.profile, "dtype": "float32", "nodata": -9999.0}
    with rasterio.open(tmp_path / "ground.tif", "w", **ground) as raster:
        raster.write(np.full((1, 240, 240), 7.0, dtype=np.float32))
    plan = Plan(
        terrain_sources=(TerrainSource(path="ground.tif", includes_trees=includes_trees),),
        land_cover_path="cover.tif",
    )
    profile = Terrain.of_plan(plan, tmp_path).profile(*place(50, 50), *place(150, 150))
    assert (profile.clutter_m == 15.0).all()
    assert profile.includes_trees.all() == (includes_trees is Fact.YES)
    assert (profile.reversed().includes_trees == profile.includes_trees[::-1]).all()


@pytest.mark.parametrize("includes_trees", [Fact.NO, Fact.YES])
def test_a_grid_has_the_map_where_its_ground_does_not_include_trees(tmp_path, includes_trees):
    # law: each cell holds what the map says at its centre
    classes = np.random.default_rng(1).choice([0, 10, 30, 50, 80], (240, 240)).astype(np.uint8)
    cover_map(tmp_path / "map.tif", classes)
    cover_map(tmp_path / "ground.tif", np.full((240, 240), 90, dtype=np.uint8))
    source = TerrainSource(path="ground.tif", includes_trees=includes_trees)
    plan = Plan(terrain_sources=(source,), land_cover_path="map.tif")
    frame = LocalFrame(46.01, 8.01)
    grid = Terrain.of_plan(plan, tmp_path).grid(frame, -400.0, -300.0, 300.0, 500.0, 23.0)
    lat, lon = frame.to_lat_lon(*np.meshgrid(grid.x_m, grid.y_m))
    expected = LandCover.open([TerrainSource(path="map.tif")], tmp_path).clutter_m(
        lat.ravel(), lon.ravel()
    )
    if includes_trees is Fact.YES:
        assert grid.includes_trees.all()
        assert not grid.clutter_m.any()
    else:
        assert grid.includes_trees is None
        assert set(np.unique(grid.clutter_m)) == {0.0, 10.0, 15.0}
        # every sixteenth place is exact, the rest a centimetre off: a cell may fall otherwise
        assert (grid.clutter_m.ravel() == expected).mean() > 0.995


def test_a_grid_without_a_map_has_no_clutter(tmp_path):
    cover_map(tmp_path / "ground.tif", np.full((240, 240), 90, dtype=np.uint8))
    plan = Plan(terrain_sources=(TerrainSource(path="ground.tif"),))
    terrain = Terrain.of_plan(plan, tmp_path)
    grid = terrain.grid(LocalFrame(46.01, 8.01), -400.0, -300.0, 300.0, 500.0, 23.0)
    assert grid.clutter_m is None


def test_a_map_that_is_not_there_is_a_problem_and_the_ground_serves(tmp_path):
    terrain = Terrain.of_plan(Plan(land_cover_path="nowhere.tif"), tmp_path)
    (problem,) = terrain.problems
    assert "nowhere.tif" in problem
