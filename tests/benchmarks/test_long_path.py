"""Speed of a single long path against the plain loops, in the same run."""

from __future__ import annotations

from time import perf_counter

import numpy as np
import pytest

from guyline.core.radio.diffraction import delta_bullington_loss_db
from reference.plain_path import plain_delta_bullington_db

pytestmark = pytest.mark.benchmark


def best_seconds(work, repeats=5):
    spent = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return min(spent)


def test_a_path_of_5000_points_is_much_faster_than_the_plain_loop(record_property):
    d = np.linspace(0.0, 60e3, 5000)
    h = np.random.default_rng(1).normal(0.0, 1.0, d.size).cumsum() + 500.0
    tx, rx = h[0] + 10.0, h[-1] + 2.0
    km = (d / 1e3).tolist(), h.tolist()

    fast = best_seconds(lambda: delta_bullington_loss_db(d, h, tx, rx, 868e6))
    plain = best_seconds(
        lambda: plain_delta_bullington_db(*km, d.size - 1, tx, rx, 8500.0, 0.868, True), 2
    )
    record_property("ratio", round(plain / fast, 1))
    assert plain / fast > 8
