"""Speed of coverage against the plain compiled loop and against itself, in the same run.

Ratios are of processor time, so that other work on the machine does not count.
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter, process_time

import numpy as np
import pytest

from guyline.core.network.coverage import SiteCoverage, combine_coverage, site_coverage
from guyline.core.radio.sweep import SweepSite, coverage_loss_db
from guyline.core.terrain.grid import Grid
from reference.plain_path import compiled
from stories import HALL, three_sites

pytest.importorskip("numba")
pytestmark = pytest.mark.benchmark

CELLS_OUT = 666  # 1333 x 1333 cells of 30 m
TIMES_FASTER = 10
REQUIRED_DB = 10.0


def hills() -> np.ndarray:
    """Ground of 1333 x 1333 cells with relief at every scale, sea where it falls below zero."""
    rng = np.random.default_rng(7)
    height = np.zeros((1333, 1333))
    rows, cols = np.mgrid[0:1333, 0:1333]
    for wave_cells in (900, 400, 170, 80, 35, 15):
        angle, phase = rng.uniform(0, 2 * np.pi, 2)
        along = rows * np.cos(angle) + cols * np.sin(angle)
        height += 0.25 * wave_cells * np.sin(2 * np.pi * along / wave_cells + phase)
    return np.maximum(height, 0.0).astype(np.float32)


def site_on(height: np.ndarray) -> SweepSite:
    return SweepSite(
        height_amsl_m=height,
        cell_m=30.0,
        tx_row=float(CELLS_OUT),
        tx_col=float(CELLS_OUT),
        tx_agl_m=10.0,
        rx_agl_m=2.0,
        frequency_hz=868e6,
    )


def plain_seconds_per_cell(height: np.ndarray) -> float:
    """Time of the plain loop for cells as far away as those of a disc."""
    loss_db = compiled()
    line = height[CELLS_OUT, CELLS_OUT:].astype(np.float64)
    d_km = np.arange(line.size) * 0.030
    tx_m = line[0] + 10.0
    loss_db(d_km, line, 10, tx_m, line[10] + 2.0, 8500.0, 0.868, True)
    # A disc has as many cells at each distance as that distance: the mean cell lies at 2/3.
    picked = np.sqrt(np.linspace(0.001, 1.0, 300)) * CELLS_OUT
    start = process_time()
    for last in picked.astype(int):
        loss_db(d_km, line, last, tx_m, line[last] + 2.0, 8500.0, 0.868, True)
    return (process_time() - start) / picked.size


@pytest.mark.parametrize("ground", ["hills", "flat"])
def test_a_sweep_is_ten_times_faster_than_the_plain_compiled_loop(ground, record_property):
    height = hills() if ground == "hills" else np.zeros((1333, 1333), dtype=np.float32)
    site = site_on(height)
    coverage_loss_db(site, 300.0)  # compiled by now
    spent = []
    for _ in range(3):
        start = perf_counter()
        cells = coverage_loss_db(site, CELLS_OUT * 30.0)
        spent.append(perf_counter() - start)
    count = int(np.isfinite(cells.values).sum())
    start = perf_counter()
    coverage_loss_db(site, CELLS_OUT * 30.0, every=8)
    record_property("first_picture_s", round(perf_counter() - start, 4))
    record_property("seconds", round(min(spent), 3))
    record_property("cells_per_second", round(count / min(spent)))

    start = process_time()  # one thread against one, whatever else the machine does
    coverage_loss_db(site, CELLS_OUT * 30.0, threads=1)
    per_cell = (process_time() - start) / count
    record_property("cells_per_processor_second", round(1.0 / per_cell))
    ratio = plain_seconds_per_cell(height) / per_cell
    record_property("ratio", round(ratio, 1))
    assert ratio > TIMES_FASTER


def grid_of(height: np.ndarray) -> Grid:
    rows, cols = height.shape
    return Grid(
        ground_amsl_m=height,
        cell_m=30.0,
        west_m=-15.0 * cols,
        north_m=15.0 * rows,
        lat0_deg=-45.0,
        lon0_deg=-30.0,
    )


def covered(grid: Grid, x_m: float = 0.0, reach: int = CELLS_OUT, every: int = 1) -> SiteCoverage:
    plan = three_sites()
    return site_coverage(plan, plan.site(HALL), grid, (x_m, 0.0), reach * 30.0, every=every)


def least_processor_s(work: Callable[[], object], repeats: int = 4) -> float:
    spent = []
    for _ in range(repeats):
        start = process_time()
        work()
        spent.append(process_time() - start)
    return min(spent)


@pytest.mark.parametrize("ground", ["hills", "flat"])
def test_the_whole_model_costs_hardly_more_than_the_loss_alone(ground, record_property):
    height = hills() if ground == "hills" else np.zeros((1333, 1333), dtype=np.float32)
    grid, site = grid_of(height), site_on(height)
    wall = []

    def whole() -> None:
        start = perf_counter()
        combine_coverage(grid, [covered(grid)], REQUIRED_DB)
        wall.append(perf_counter() - start)

    whole()  # compiled by now
    loss_s = least_processor_s(lambda: coverage_loss_db(site, CELLS_OUT * 30.0))
    whole_s = least_processor_s(whole)
    count = int(np.isfinite(covered(grid).cells.values).sum())
    record_property("seconds", round(min(wall), 3))
    record_property("cells_per_second", round(count / min(wall)))
    record_property("cells_per_processor_second", round(count / whole_s))
    record_property("ratio_to_loss_alone", round(whole_s / loss_s, 2))
    ratio = plain_seconds_per_cell(height) * count / whole_s
    record_property("ratio", round(ratio, 1))
    assert whole_s < 1.6 * loss_s
    assert ratio > TIMES_FASTER


def test_a_frame_while_dragging_costs_a_small_part_of_the_whole_picture(record_property):
    # one site of five is dragged: it is swept anew, and all five compete for the cells
    grid = grid_of(hills()[:1000, :1000])

    def frame(every: int) -> Callable[[], object]:
        others = [covered(grid, x_m, every=every) for x_m in (-9e3, -4e3, 3e3, 8e3)]
        return lambda: combine_coverage(
            grid, [*others, covered(grid, 500.0, every=every)], REQUIRED_DB, every
        )

    coarse_s, whole_s = (least_processor_s(frame(every)) for every in (8, 1))
    record_property("frame_processor_ms", round(1000 * coarse_s, 1))
    record_property("ratio", round(whole_s / coarse_s, 1))
    assert whole_s > 4.0 * coarse_s


def test_the_cost_of_a_cell_hardly_grows_with_the_area(record_property):
    grid = grid_of(hills())
    covered(grid, reach=20)  # compiled by now
    per_cell = []
    for reach in (166, CELLS_OUT):
        spent = least_processor_s(lambda reach=reach: covered(grid, reach=reach))
        per_cell.append(spent / int(np.isfinite(covered(grid, reach=reach).sd_db).sum()))
    record_property("ratio", round(per_cell[1] / per_cell[0], 2))
    assert per_cell[1] < 1.6 * per_cell[0]  # 16 times the area


def test_the_cost_grows_with_the_sites_and_no_faster(record_property):
    grid = grid_of(hills()[:667, :667])
    places = np.linspace(-8e3, 8e3, 8)
    covered(grid, reach=20)  # compiled by now

    def whole(count: int) -> Callable[[], object]:
        return lambda: combine_coverage(
            grid, [covered(grid, float(x)) for x in places[:count]], REQUIRED_DB
        )

    one, eight = least_processor_s(whole(1)), least_processor_s(whole(8))
    record_property("ratio", round(eight / one, 2))
    assert eight < 10.0 * one
