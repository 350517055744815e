"""The picture of the ground says what the heights say."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.terrain.grid import Grid
from guyline.viewmodels.ground_view_relief import (
    FIRST_LAND,
    SHADES,
    TINTS,
    VOID,
    WATER,
    contour_interval_m,
    contour_levels,
    hillshade,
    relief_of,
)


def grid_of(heights: np.ndarray, cell_m: float = 30.0) -> Grid:
    return Grid(
        ground_amsl_m=heights.astype(np.float32),
        cell_m=cell_m,
        west_m=-1000.0,
        north_m=2000.0,
        lat0_deg=50.0,
        lon0_deg=5.0,
    )


def cone(n: int = 200, top_m: float = 300.0, cell_m: float = 30.0) -> np.ndarray:
    at = (np.arange(n) - (n - 1) / 2) * cell_m
    x, y = np.meshgrid(at, at)
    return np.maximum(0.0, top_m - 0.12 * np.hypot(x, y))


def test_voids_water_and_land_have_indices_of_their_own() -> None:
    heights = cone()
    heights[:5, :5] = np.nan
    index = relief_of(grid_of(heights)).index[::-1]  # back to rows from the north
    assert (index[:5, :5] == VOID).all()
    assert index[0, 100] == WATER
    land = index[heights > 0]
    assert land.min() >= FIRST_LAND
    assert land.max() < FIRST_LAND + TINTS * SHADES


def test_rows_run_from_south_to_north_in_the_image() -> None:
    heights = np.full((60, 60), 10.0)
    heights[0, :] = 0.0  # the northernmost row is sea
    index = relief_of(grid_of(heights)).index
    assert (index[-1] == WATER).all()
    assert (index[0] != WATER).all()


def test_light_comes_from_the_upper_left() -> None:
    light = hillshade(cone().astype(np.float32), 30.0)
    n = light.shape[0]
    north_west, south_east = light[n // 2 - 20, n // 2 - 20], light[n // 2 + 20, n // 2 + 20]
    flat = light[2, 2]
    assert north_west > flat > south_east
    assert flat == pytest.approx(np.sin(np.radians(45.0)))  # law: level ground, sun 45 degrees up


def test_contours_of_a_cone_are_circles_of_the_right_radius() -> None:
    relief = relief_of(grid_of(cone()))
    middle = (-1000.0 + 3000.0, 2000.0 - 3000.0)
    contour = next(c for c in relief.contours if c.height_m == 2 * relief.interval_m)
    radius = np.hypot(contour.points_m[:, 0] - middle[0], contour.points_m[:, 1] - middle[1])
    # law: the cone is 300 m high and falls 0.12 m a metre
    assert radius == pytest.approx((300.0 - contour.height_m) / 0.12, abs=0.5 * 30.0)


def test_the_shore_lies_where_land_meets_water_and_not_at_the_edge_of_data() -> None:
    heights = cone()
    heights[:, :30] = np.nan
    shore = np.concatenate(relief_of(grid_of(heights)).shore)
    edge = -1000.0 + 30 * 30.0
    assert shore[:, 0].min() >= edge
    radius = np.hypot(shore[:, 0] - 2000.0, shore[:, 1] + 1000.0)
    assert radius == pytest.approx(300.0 / 0.12, abs=30.0)


@pytest.mark.parametrize(
    ("span_m", "interval_m"), [(650.0, 50.0), (140.0, 10.0), (28.0, 2.0), (0.0, 1.0)]
)
def test_contour_intervals_are_customary(span_m: float, interval_m: float) -> None:
    assert contour_interval_m(span_m) == interval_m


def test_heights_on_contours_keep_their_distance() -> None:
    relief = relief_of(grid_of(cone()))
    for spacing in (400.0, 900.0):
        levels = contour_levels(relief.contours, spacing)
        assert levels
        at = np.array([(level.x_m, level.y_m) for level in levels])
        apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
        np.fill_diagonal(apart, np.inf)
        assert apart.min() > spacing
        assert all(-90.0 <= level.angle_deg <= 90.0 for level in levels)


def test_all_sea_and_all_void_make_a_picture_too() -> None:
    sea = relief_of(grid_of(np.zeros((50, 40))))
    assert (sea.index == WATER).all()
    void = relief_of(grid_of(np.full((50, 40), np.nan)))
    assert (void.index == VOID).all()
    assert void.contours == ()
