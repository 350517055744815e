"""Names and addresses of the tiles that cover an area."""

from __future__ import annotations

from guyline.services.raster import Bounds
from guyline.services.terrain_tiles import (
    GLO_30,
    SRTM_TYPE,
    TILE_SETS,
    WORLD_COVER,
    box_round,
    grown,
    tiles_of,
)


def box(west, south, east, north):
    return Bounds(west_deg=west, south_deg=south, east_deg=east, north_deg=north)


def test_tiles_are_named_by_their_south_west_corner():
    # patterns of the buckets' own documentation
    (tile,) = tiles_of(GLO_30, box(-2.9, 54.1, -2.1, 54.9))
    assert tile.url == (
        "https://copernicus-dem-30m.s3.amazonaws.com/"
        "Copernicus_DSM_COG_10_N54_00_W003_00_DEM/Copernicus_DSM_COG_10_N54_00_W003_00_DEM.tif"
    )
    (tile,) = tiles_of(SRTM_TYPE, box(-2.9, 54.1, -2.1, 54.9))
    assert tile.url == "https://elevation-tiles-prod.s3.amazonaws.com/skadi/N54/N54W003.hgt.gz"
    assert tile.file_name == "N54W003.hgt.gz"
    (tile,) = tiles_of(SRTM_TYPE, box(174.1, -41.9, 174.9, -41.1))
    assert tile.file_name == "S42E174.hgt.gz"


def test_wider_tiles_have_corners_at_multiples_of_their_side():
    (tile,) = tiles_of(WORLD_COVER, box(-2.9, 54.1, -0.1, 56.9))
    assert tile.url == (
        "https://esa-worldcover.s3.eu-central-1.amazonaws.com/v200/2021/map/"
        "ESA_WorldCover_10m_2021_v200_N54W003_Map.tif"
    )
    (tile,) = tiles_of(WORLD_COVER, box(-2.0, 55.0, -1.0, 56.0))
    assert (tile.south_deg, tile.west_deg) == (54, -3)
    assert len(tiles_of(WORLD_COVER, box(-0.5, 56.5, 0.5, 57.5))) == 4


def test_an_area_over_the_equator_and_greenwich_takes_four_tiles():
    names = [tile.file_name for tile in tiles_of(SRTM_TYPE, box(-0.1, -0.1, 0.1, 0.1))]
    assert names == ["N00W001.hgt.gz", "N00E000.hgt.gz", "S01W001.hgt.gz", "S01E000.hgt.gz"]


def test_an_area_over_the_180th_meridian_is_numbered_on_both_sides():
    tiles = tiles_of(SRTM_TYPE, box(179.5, -41.9, 180.5, -41.1))
    assert [tile.west_deg for tile in tiles] == [179, -180]


def test_an_area_without_extent_takes_its_tile_and_the_pole_no_more_than_there_is():
    assert len(tiles_of(SRTM_TYPE, box(8.0, 46.0, 8.0, 46.0))) == 1
    assert [t.south_deg for t in tiles_of(SRTM_TYPE, box(8.1, 89.5, 8.2, 90.0))] == [89]


def test_a_box_round_places_takes_the_short_way_round_the_globe():
    found = box_round(((-41.0, 179.9), (-42.0, -179.9)))
    assert abs(found.west_deg - 179.9) < 1e-9
    assert abs(found.east_deg - 180.1) < 1e-9
    assert box_round(()) is None


def test_a_margin_is_as_wide_east_as_north():
    found = grown(box(10.0, 60.0, 10.0, 60.0), 11_100.0)
    assert abs(found.north_deg - 60.1) < 1e-9
    assert abs(found.east_deg - 10.2) < 1e-3  # a degree is half as wide at 60 degrees
    assert grown(box(0.0, 89.99, 1.0, 90.0), 50_000.0).north_deg == 90.0


def test_every_set_says_whose_it_is_and_what_a_missing_tile_means():
    for tile_set in TILE_SETS:
        assert tile_set.notice
        assert tile_set.licence
        assert tile_set.missing_means
        assert tile_set.url.startswith("https://")
