"""The transition matrices against the statistics worked out from the same tables."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.power.daily_clearness import (
    DailyClearness,
    draw_days,
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
    kinds = DailyClearness.about(np.full(12, mean)).kinds(7)
    assert kinds.mean() == pytest.approx(mean, rel=0.02)
    assert kinds.min() >= 0.02
    assert kinds.max() <= 0.82
    assert (np.diff(kinds) >= 0.0).all()


def test_drawn_days_have_mean_spread_and_memory_of_the_source():
    # Published: coefficient of variation 0.31 at 15 places, lag-one correlation 0.29 to 0.30
    # (Graham et al. 1988; mean over 16 hourly files).
    days = DailyClearness.about(np.full(12, 0.45))
    june = np.full(300, 6, dtype=np.int64)
    drawn = draw_days(days, june, 400, seed=1, month_sd=0.0)
    assert drawn.mean() == pytest.approx(0.45, rel=0.01)
    assert drawn.std() / drawn.mean() == pytest.approx(0.36, abs=0.06)
    before, after = drawn[:, :-1].ravel(), drawn[:, 1:].ravel()
    assert np.corrcoef(before, after)[0, 1] == pytest.approx(0.29, abs=0.02)


def test_years_differ_by_the_spread_between_years():
    days = DailyClearness.about(np.full(12, 0.45))
    june = np.full(30, 6, dtype=np.int64)
    apart = draw_days(days, june, 4000, seed=1, month_sd=0.07, climate_sd=0.10).mean(axis=1)
    alike = draw_days(days, june, 4000, seed=1, month_sd=0.0).mean(axis=1)
    spread = np.sqrt(apart.std() ** 2 - alike.std() ** 2) / 0.45
    assert spread == pytest.approx(np.hypot(0.07, 0.10), abs=0.02)


def test_the_same_seed_gives_the_same_days_and_another_one_others():
    days = DailyClearness.about(np.full(12, 0.45))
    months = np.array([5] * 10 + [6] * 10, dtype=np.int64)
    one, same = (draw_days(days, months, 50, seed=3) for _ in range(2))
    assert np.array_equal(one, same)
    assert not np.array_equal(one, draw_days(days, months, 50, seed=4))


def test_a_month_without_sun_stays_dark():
    night = DailyClearness(np.full(12, 0.02), np.array([0.1, 0.5, 0.9]), np.zeros((12, 3)))
    assert night.kinds(12).max() == 0.02
