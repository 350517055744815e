"""Cells, their places and what lies between them."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.terrain.grid import Grid


def grid_of(heights, cell_m=10.0, west_m=100.0, north_m=200.0):
    return Grid(
        ground_amsl_m=np.asarray(heights, dtype=np.float32),
        cell_m=cell_m,
        west_m=west_m,
        north_m=north_m,
        lat0_deg=0.0,
        lon0_deg=0.0,
    )


def test_edges_and_centres_follow_from_the_north_west_corner():
    grid = grid_of(np.zeros((3, 4)))
    assert (grid.west_m, grid.east_m, grid.south_m, grid.north_m) == (100.0, 140.0, 170.0, 200.0)
    assert grid.x_m.tolist() == [105.0, 115.0, 125.0, 135.0]
    assert grid.y_m.tolist() == [195.0, 185.0, 175.0]


def test_a_plane_is_given_back_between_the_centres():
    column, row = np.meshgrid(np.arange(6), np.arange(5))
    grid = grid_of(3.0 * column - 2.0 * row + 7.0)  # law: bilinear is exact on a plane
    x, y = np.random.default_rng(6).uniform((105.0, 155.0), (155.0, 195.0), (40, 2)).T
    expected = 3.0 * (x - 105.0) / 10.0 - 2.0 * (195.0 - y) / 10.0 + 7.0
    assert grid.height_amsl_m(x, y) == pytest.approx(expected, abs=1e-5)


def test_half_a_cell_of_rim_is_inside_and_the_rest_unknown():
    grid = grid_of([[1.0, 2.0], [3.0, 4.0]])
    assert grid.height_amsl_m(100.0, 200.0) == 1.0
    assert grid.height_amsl_m(120.0, 180.0) == 4.0
    assert np.isnan(grid.height_amsl_m([99.9, 120.1, 110.0], [190.0, 190.0, 200.1])).all()


def test_a_void_counts_only_where_it_has_weight():
    grid = grid_of([[1.0, np.nan], [3.0, 4.0]])
    assert grid.has_voids
    assert grid.height_amsl_m(105.0, 190.0) == 2.0
    assert np.isnan(grid.height_amsl_m(105.1, 190.0))
    assert grid.height_amsl_m(110.0, 185.0) == 3.5
