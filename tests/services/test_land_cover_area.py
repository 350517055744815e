"""Land cover of an area cut out of its tiles, held against another program's mosaic."""

from __future__ import annotations

import warnings
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.merge import merge

from cover_stories import write_tile
from guyline.core.plan import Plan, Surroundings, TerrainSource
from guyline.errors import JobCancelled, TerrainError
from guyline.services.elevation import Terrain
from guyline.services.job import Job
from guyline.services.land_cover import LandCover
from guyline.services.land_cover_area import CELLS_PER_DEG, cut_out, fetch_cover
from guyline.services.raster import Bounds
from guyline.services.terrain_tiles import WORLD_COVER, tiles_of

TODAY = date(2027, 5, 1)
BOX = Bounds(west_deg=-30.0502, south_deg=-45.5207, east_deg=-29.9601, north_deg=-45.4703)
TREES, HOUSES = 10, 50


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two tiles side by side: trees in the west, houses in the east."""
    folder = tmp_path_factory.mktemp("cover")
    west, east = tiles_of(WORLD_COVER, BOX)
    write_tile(folder, west, TREES)
    write_tile(folder, east, HOUSES)
    return folder


def test_an_area_on_two_tiles_is_cut_out_as_another_program_does(shelf: Path) -> None:
    """Independent implementation: rasterio.merge."""
    tiles = tiles_of(WORLD_COVER, BOX)
    path = cut_out(tiles, BOX, shelf, Job())
    with rasterio.open(path) as raster:
        ours, bounds = raster.read(1), raster.bounds
        assert raster.tags()["TIFFTAG_COPYRIGHT"] == WORLD_COVER.notice
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", PendingDeprecationWarning)  # its own, of its matrices
        theirs, _ = merge([shelf / tile.file_name for tile in tiles], bounds=tuple(bounds))
    np.testing.assert_array_equal(ours, theirs[0])
    assert bounds.left <= BOX.west_deg < BOX.east_deg <= bounds.right
    assert bounds.bottom <= BOX.south_deg < BOX.north_deg <= bounds.top
    assert bounds.right - BOX.east_deg < 1.01 / CELLS_PER_DEG
    assert {TREES, HOUSES} < set(np.unique(ours))


def test_the_area_serves_as_land_cover(shelf: Path) -> None:
    path = cut_out(tiles_of(WORLD_COVER, BOX), BOX, shelf, Job())
    cover = LandCover.open([TerrainSource(path=str(path))], shelf)
    assert cover.problems == ()
    west, east = cover.around(-45.5, -30.04), cover.around(-45.5, -29.97)
    assert west is not None
    assert east is not None
    assert (west.surroundings, east.surroundings) == (Surroundings.WOODLAND, Surroundings.SUBURB)
    terrain = Terrain.of_plan(Plan(land_cover_path=str(path)), shelf)
    assert terrain.problems == ()


def test_an_area_across_the_meridian_of_180_degrees_is_one_piece(tmp_path: Path) -> None:
    box = Bounds(west_deg=179.97, south_deg=-45.52, east_deg=180.03, north_deg=-45.48)
    west, east = tiles_of(WORLD_COVER, box)
    assert (west.west_deg, east.west_deg) == (177, -180)
    write_tile(tmp_path, west, TREES)
    write_tile(tmp_path, east, HOUSES)
    with rasterio.open(cut_out((west, east), box, tmp_path, Job())) as raster:
        cells = raster.read(1)
    assert 0 not in cells
    assert (cells[:, :360] == TREES).mean() > 0.9
    assert (cells[:, 360:] == HOUSES).mean() > 0.9


def test_where_a_tile_is_missing_the_cover_is_unknown(shelf: Path, tmp_path: Path) -> None:
    (west, _) = tiles_of(WORLD_COVER, BOX)
    (tmp_path / west.file_name).symlink_to(shelf / west.file_name)
    path = cut_out((west,), BOX, tmp_path, Job())
    cover = LandCover.open([TerrainSource(path=str(path))], tmp_path)
    assert cover.around(-45.5, -29.97) is None
    assert cover.around(-45.5, -30.04) is not None


def test_a_tile_of_another_shape_is_refused_and_nothing_is_left(tmp_path: Path) -> None:
    (tile, _) = tiles_of(WORLD_COVER, BOX)
    with rasterio.open(
        tmp_path / tile.file_name, "w", driver="GTiff", width=9, height=9, count=1, dtype="int16",
        crs="EPSG:4326", transform=rasterio.transform.Affine(1 / 3, 0, -33, 0, -1 / 3, -45),
    ) as raster:  # fmt: skip
        raster.write(np.zeros((1, 9, 9), dtype=np.int16))
    with pytest.raises(TerrainError, match="has not the cells"):
        cut_out((tile,), BOX, tmp_path, Job())
    assert [file.name for file in tmp_path.iterdir()] == [tile.file_name]


def test_a_cut_that_is_stopped_leaves_nothing_half_done(shelf: Path, tmp_path: Path) -> None:
    (west, _) = tiles_of(WORLD_COVER, BOX)
    (tmp_path / west.file_name).symlink_to(shelf / west.file_name)
    job = Job(lambda done, text: job.cancel())
    with pytest.raises(JobCancelled):
        cut_out((west,), BOX, tmp_path, job)
    assert [file.name for file in tmp_path.iterdir()] == [west.file_name]


def test_too_large_an_area_is_refused_before_anything_is_fetched(tmp_path: Path) -> None:
    wide = replace(BOX, west_deg=-40.0, east_deg=-20.0, south_deg=-50.0, north_deg=-40.0)
    with pytest.raises(TerrainError, match="too large"):
        fetch_cover(tiles_of(WORLD_COVER, wide), wide, tmp_path, TODAY)
    assert list(tmp_path.iterdir()) == []
