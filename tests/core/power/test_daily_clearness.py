"""The transition matrices against the statistics worked out from the same tables."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.power.daily_clearness import (
    daily_distribution,
    matrix_of,
    state_centres,
    stationary_shares,
    transition_matrices,
)

# Rederived from the tables of Aguiar et al. 1988: long-run mean of each matrix, state centres.
STATIONARY_MEAN = (0.241, 0.334, 0.374, 0.429, 0.476, 0.526, 0.575, 0.620, 0.668, 0.728)


def test_every_row_is_a_distribution():
    matrices = transition_matrices()
    assert matrices.shape == (10, 10, 10)
    assert matrices.min() >= 0.0
    assert np.allclose(matrices.sum(axis=2), 1.0)


@pytest.mark.parametrize("number", range(10))
def test_long_run_means(number):
    mean = stationary_shares(number) @ state_centres(number)
    assert mean == pytest.approx(STATIONARY_MEAN[number], abs=6e-4)


@pytest.mark.parametrize("number", range(10))
def test_stationary_shares_stay_as_they_are(number):
    shares = stationary_shares(number)
    assert shares.sum() == pytest.approx(1.0)
    assert np.allclose(shares @ transition_matrices()[number], shares, atol=1e-9)


@pytest.mark.parametrize(
    ("mean", "number"),
    [(0.20, 0), (0.30, 0), (0.31, 0), (0.34, 2), (0.36, 2), (0.45, 3), (0.56, 6), (0.75, 9)],
)
def test_the_matrix_belongs_to_the_mean_and_the_noisy_one_is_never_taken(mean, number):
    assert matrix_of(mean) == number


@pytest.mark.parametrize("mean", [0.15, 0.3, 0.45, 0.6, 0.68])
def test_the_kinds_of_day_have_the_mean_that_was_asked_for(mean):
    clearness, share = daily_distribution(mean)
    assert share @ clearness == pytest.approx(mean, rel=0.02)
    assert clearness.min() >= 0.02
    assert clearness.max() <= 0.82
