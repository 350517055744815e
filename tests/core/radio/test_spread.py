"""The margin as a distribution: arithmetic by law, calibration on simulated truth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.building_entry import Construction
from guyline.core.radio.diffraction import delta_bullington_loss_db
from guyline.core.radio.spread import (
    HEIGHT_CORRELATION_M,
    MarginSpread,
    Spread,
    SpreadCause,
    building_spread,
    chain_probability,
    clutter_spread,
    gain_spread,
    location_spread,
    model_spread,
    relative_error_ratio,
    sensitivity_spread,
    terrain_spread,
    woodland_spread,
)
from guyline.core.units import Numbers

FREQUENCY_HZ = 868e6
SDS_DB = st.floats(0.1, 15.0)
MARGINS_DB = st.floats(-40.0, 40.0)


def normal(mean_db: float, sd_db: float) -> MarginSpread:
    return MarginSpread(
        nominal_db=mean_db, spreads=(Spread(cause=SpreadCause.MODEL, sd_db=sd_db),)
    )


@pytest.mark.parametrize(
    ("sd_db", "at_90_db", "at_95_db", "at_99_db"),
    [(2, 2.6, 3.3, 4.7), (5.5, 7.0, 9.0, 12.8), (8, 10.3, 13.2, 18.6), (12, 15.4, 19.7, 27.9)],
)
def test_margin_for_a_probability_agrees_with_the_normal_table(
    sd_db: float, at_90_db: float, at_95_db: float, at_99_db: float
) -> None:
    # rederived: quantiles 1.282, 1.645, 2.326 of the normal distribution, printed to 0.1 dB
    for percent, margin_db in ((90, at_90_db), (95, at_95_db), (99, at_99_db)):
        assert normal(margin_db, sd_db).probability == pytest.approx(percent / 100, abs=0.006)


def test_independent_spreads_add_as_squares() -> None:
    # rederived: 5.5 and 8 dB make 9.7 dB
    both = MarginSpread(
        nominal_db=12.4,
        spreads=(
            Spread(cause=SpreadCause.CLUTTER, sd_db=5.5),
            Spread(cause=SpreadCause.MODEL, sd_db=8.0),
        ),
    )
    assert both.sd_db == pytest.approx(9.7, abs=0.06)
    assert both.probability == pytest.approx(0.90, abs=0.006)
    assert both.shares()[0][0] is SpreadCause.MODEL


@pytest.mark.parametrize(
    ("cell_m", "expected_db"),
    [(30, 1.40), (50, 1.62), (90, 1.91), (100, 1.96), (200, 2.38), (500, 3.08)],
)
def test_location_spread_agrees_with_the_rederived_table(
    cell_m: float, expected_db: float
) -> None:
    # rederived from P.1812: printed to 0.01 dB for 868 and 915 MHz together
    assert location_spread(868e6, 2.0, 5.0, cell_m).sd_db == pytest.approx(expected_db, abs=0.011)


def test_mast_ten_metres_above_the_clutter_has_no_location_spread() -> None:
    assert location_spread(868e6, 25.0, 15.0).sd_db == 0.0
    assert location_spread(868e6, 20.0, 15.0).sd_db == pytest.approx(
        location_spread(868e6, 15.0, 15.0).sd_db / 2.0
    )


@given(diffraction_db=st.floats(0.0, 60.0))
def test_obstructed_paths_carry_the_wider_spread(diffraction_db: float) -> None:
    sd = model_spread(diffraction_db).sd_db
    assert model_spread(0.0).sd_db <= sd <= model_spread(diffraction_db + 1.0).sd_db <= 8.0
    assert model_spread(6.0).sd_db == pytest.approx(8.0)


@given(mean_db=MARGINS_DB, sd_db=SDS_DB, more_db=st.floats(0.1, 10.0))
def test_more_margin_is_more_probable_and_more_spread_draws_to_one_half(
    mean_db: float, sd_db: float, more_db: float
) -> None:
    here = normal(mean_db, sd_db).probability
    assert normal(mean_db + more_db, sd_db).probability >= here
    assert abs(normal(mean_db, sd_db + more_db).probability - 0.5) <= abs(here - 0.5)


@given(sds_db=st.lists(SDS_DB, min_size=1, max_size=6))
def test_shares_add_up_to_one_with_the_greatest_first(sds_db: list[float]) -> None:
    causes = list(SpreadCause)
    margin = MarginSpread(
        nominal_db=10.0,
        spreads=tuple(Spread(cause=c, sd_db=sd) for c, sd in zip(causes, sds_db, strict=False)),
    )
    parts = [part for _, part in margin.shares()]
    assert sum(parts) == pytest.approx(1.0)
    assert parts == sorted(parts, reverse=True)


@given(mean_db=MARGINS_DB, sd_db=SDS_DB, percent=st.floats(1.0, 99.0))
def test_band_is_central_about_the_mean(mean_db: float, sd_db: float, percent: float) -> None:
    low, high = normal(mean_db, sd_db).band_db(percent)
    assert (low + high) / 2.0 == pytest.approx(mean_db, abs=1e-9)
    assert low <= mean_db <= high


def test_without_any_spread_the_margin_alone_decides() -> None:
    assert MarginSpread(nominal_db=0.1, spreads=()).probability == 1.0
    assert MarginSpread(nominal_db=-0.1, spreads=()).probability == 0.0
    assert MarginSpread(nominal_db=1.0, spreads=()).shares() == ()


def test_chain_of_hops_is_the_product() -> None:
    assert chain_probability([0.9, 0.9, 0.8]) == pytest.approx(0.648)


def test_error_of_the_line_vanishes_at_the_ends_and_is_root_three_halves_in_the_middle() -> None:
    # rederived: three independent errors, the middle against the mean of both ends
    ratio = relative_error_ratio(np.linspace(0.0, 20e3, 401))
    assert ratio[[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert ratio[200] == pytest.approx(np.sqrt(1.5), abs=1e-6)


def test_perfect_elevation_data_adds_nothing() -> None:
    distance_m, ground_m = _ridge(np.random.default_rng(1))
    tx, rx = ground_m[0] + 5.0, ground_m[-1] + 5.0
    spread = terrain_spread(distance_m, ground_m, tx, rx, FREQUENCY_HZ, 0.0)
    assert (spread.sd_db, spread.shift_db) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_every_cause_says_what_it_rests_on() -> None:
    spreads = (
        location_spread(868e6, 2.0),
        model_spread(3.0),
        gain_spread(),
        sensitivity_spread(),
        clutter_spread(),
        building_spread(Construction.TRADITIONAL, 868e6),
        woodland_spread(10.0),
    )
    assert all(spread.basis and spread.confidence for spread in spreads)
    assert len({spread.cause for spread in spreads}) == len(spreads)


def test_ninety_percent_band_covers_ninety_percent_of_simulated_truth() -> None:
    """Draw what the data hide: the true ground, the model's error, gains and receivers.

    The band and the probability are made from the data alone; the truth from the drawn ground.
    """
    random = np.random.default_rng(20)
    inside, chances, worked = [], [], []
    for _ in range(1500):
        distance_m, data_m = _ridge(random)
        sd_m = random.uniform(1.0, 6.0)
        true_m = data_m + sd_m * _height_error(random, distance_m)
        agl_m = random.uniform(2.0, 12.0, 2)
        predicted = _margin_db(distance_m, data_m, agl_m)
        diffraction_db = _loss_db(distance_m, data_m, agl_m)
        ends_m = data_m[[0, -1]] + agl_m
        margin = MarginSpread(
            nominal_db=predicted,
            spreads=(
                terrain_spread(distance_m, data_m, *ends_m, FREQUENCY_HZ, sd_m),
                model_spread(diffraction_db),
                gain_spread(),
                sensitivity_spread(),
            ),
        )
        true_diffraction_db = _loss_db(distance_m, true_m, agl_m)
        errors_db = random.normal(
            0.0, [model_spread(true_diffraction_db).sd_db, gain_spread().sd_db]
        )
        truth = _margin_db(distance_m, true_m, agl_m) + errors_db.sum() + random.uniform(-1.5, 1.5)
        low, high = margin.band_db(90.0)
        inside.append(low <= truth <= high)
        chances.append(margin.probability)
        worked.append(truth >= 0.0)
    assert np.mean(inside) == pytest.approx(0.90, abs=0.03)
    assert np.mean(worked) == pytest.approx(np.mean(chances), abs=0.03)


def _ridge(random: np.random.Generator) -> tuple[Numbers, Numbers]:
    """Return a made-up path: two hills, a ridge between them of any height, rolling ground."""
    length_m = random.uniform(4e3, 30e3)
    distance_m = np.linspace(0.0, length_m, 121)
    t = distance_m / length_m
    ridge_m = random.uniform(0.0, 160.0) * np.exp(-(((t - random.uniform(0.25, 0.75)) / 0.1) ** 2))
    ends_m = random.uniform(40.0, 160.0) * np.exp(-((t / 0.05) ** 2))
    ends_m += random.uniform(40.0, 160.0) * np.exp(-(((1.0 - t) / 0.05) ** 2))
    rolling_m = 4.0 * np.sin(2.0 * np.pi * (t * random.uniform(2.0, 6.0) + random.uniform()))
    return distance_m, np.asarray(ridge_m + ends_m + rolling_m)


def _height_error(random: np.random.Generator, distance_m: Numbers) -> Numbers:
    # random waves: their correlation is exp(-(x / l)^2) for wave numbers of sd sqrt(2) / l
    waves = random.normal(0.0, np.sqrt(2.0) / HEIGHT_CORRELATION_M, 60)
    phases = random.uniform(0.0, 2.0 * np.pi, 60)
    return np.asarray(np.cos(np.outer(distance_m, waves) + phases).sum(axis=1) / np.sqrt(30.0))


def _loss_db(distance_m: Numbers, ground_m: Numbers, agl_m: Numbers) -> float:
    tx, rx = ground_m[[0, -1]] + agl_m
    return float(delta_bullington_loss_db(distance_m, ground_m, tx, rx, FREQUENCY_HZ))


def _margin_db(distance_m: Numbers, ground_m: Numbers, agl_m: Numbers) -> float:
    """Return a margin that is sometimes enough: free space against 148 dB."""
    free_space_db = 32.45 + 20.0 * np.log10(868.0 * distance_m[-1] / 1e3)
    return float(130.0 - free_space_db - _loss_db(distance_m, ground_m, agl_m))
