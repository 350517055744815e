"""Speed of the coverage sweep against the plain compiled loop, in the same run."""

from __future__ import annotations

from time import perf_counter, process_time

import numpy as np
import pytest

from guyline.core.radio.sweep import SweepSite, coverage_loss_db
from reference.plain_path import compiled

pytest.importorskip("numba")
pytestmark = pytest.mark.benchmark

CELLS_OUT = 666  # 1333 x 1333 cells of 30 m
TIMES_FASTER = 10


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
