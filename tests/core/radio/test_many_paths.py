"""Many paths at once are the single paths one by one."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from guyline.core.radio.diffraction import delta_bullington
from guyline.core.radio.many_paths import diffraction_losses_db
from guyline.errors import InputError


@pytest.mark.parametrize("seed", range(6))
def test_each_of_many_paths_has_the_loss_of_the_single_path(seed):
    # independent: the numpy functions of the link job, path by path
    rng = np.random.default_rng(seed)
    counts = rng.integers(2, 300, 120)
    starts = np.concatenate(([0], np.cumsum(counts)))
    distance = np.concatenate([rng.uniform(20, 120) * np.arange(n) for n in counts])
    relief_m = (0.0, 3.0, 30.0, 200.0, 1.0, 600.0)[seed]
    ground = np.concatenate(
        [100.0 + np.cumsum(rng.normal(0.0, relief_m / 8.0, n)) for n in counts]
    )
    clutter = np.where(rng.random(ground.size) < 0.3, 15.0, 0.0)
    clutter[starts[:-1]] = clutter[starts[1:] - 1] = 0.0
    tx, rx = rng.uniform(1, 60, (2, counts.size))
    kinds = rng.choice(["vertical", "horizontal"], counts.size).tolist()
    for top in (None, ground + clutter):
        found = diffraction_losses_db(
            starts, distance, ground, tx, rx, 868e6, polarisations=kinds, obstacle_amsl_m=top
        )
        for k, (a, b) in enumerate(pairwise(starts)):
            single = delta_bullington(
                distance[a:b],
                ground[a:b],
                ground[a] + tx[k],
                ground[b - 1] + rx[k],
                868e6,
                polarisation=kinds[k],
                obstacle_amsl_m=None if top is None else top[a:b],
            )
            assert found[k] == pytest.approx(single.loss_db, abs=1e-6)


def test_a_void_makes_its_own_path_unknown_and_no_other():
    distance = np.tile(30.0 * np.arange(20), 3)
    ground = np.full(60, 50.0)
    ground[27] = np.nan
    found = diffraction_losses_db(
        np.array([0, 20, 40, 60]), distance, ground, np.full(3, 5.0), np.full(3, 5.0), 868e6
    )
    assert np.isnan(found).tolist() == [False, True, False]
    assert found[0] == found[2]


def test_no_path_has_no_loss():
    nothing = np.zeros(0)
    found = diffraction_losses_db(np.array([0]), nothing, nothing, nothing, nothing, 868e6)
    assert found.size == 0


@pytest.mark.parametrize(
    ("agl_m", "hz", "kind"),
    [(-1.0, 868e6, "vertical"), (5.0, 0.0, "vertical"), (5.0, 868e6, "slanted")],
)
def test_paths_that_cannot_be_are_refused(agl_m, hz, kind):
    with pytest.raises(InputError) as refusal:
        diffraction_losses_db(
            np.array([0, 3]),
            30.0 * np.arange(3),
            np.zeros(3),
            np.array([agl_m]),
            np.array([5.0]),
            hz,
            polarisations=[kind],
        )
    assert refusal.value.advice
