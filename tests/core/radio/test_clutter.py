"""Clutter around a terminal, Rec. ITU-R P.2108-1."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.clutter import (
    ClutterKind,
    statistical_clutter_loss_db,
    terminal_clutter_loss_db,
)
from guyline.errors import InputError

WATER, OPEN, SUBURBAN = ClutterKind.WATER, ClutterKind.OPEN, ClutterKind.SUBURBAN
URBAN, WOODLAND, DENSE = ClutterKind.URBAN, ClutterKind.WOODLAND, ClutterKind.DENSE_URBAN
KINDS = st.sampled_from(list(ClutterKind))


@pytest.mark.parametrize(
    ("f_ghz", "agl_m", "street_m", "clutter_m", "kind", "expected_db"),
    [
        (1.5, 2, 27, 10, WATER, 16.0),
        (1.5, 2, 27, 10, SUBURBAN, 20.5),
        (1.5, 2, 27, 15, URBAN, 24.5),
        (1.5, 2, 27, 20, DENSE, 27.1),
        (0.9, 2.3, 30, 10, OPEN, 13.7),
        (3, 3, 15, 15, DENSE, 29.0),
        (0.03, 2.1, 24.5, 9.8, SUBURBAN, 5.7),
        (1.7, 30, 24.5, 9.8, SUBURBAN, 0.0),
    ],
)
def test_terminal_loss_agrees_with_the_published_test_data(
    f_ghz: float,
    agl_m: float,
    street_m: float,
    clutter_m: float,
    kind: ClutterKind,
    expected_db: float,
) -> None:
    # published: height-gain test data of the P.2108 reference implementation, printed to 0.1 dB
    loss = terminal_clutter_loss_db(kind, agl_m, f_ghz * 1e9, clutter_m, street_m)
    assert float(loss) == pytest.approx(expected_db, abs=0.051)


@pytest.mark.parametrize(
    ("kind", "at_868_db", "at_915_db"),
    [
        (OPEN, [17.65, 14.97, 11.20, 6.45, 2.08, 0], [17.76, 15.07, 11.27, 6.49, 2.09, 0]),
        (SUBURBAN, [18.60, 18.09, 16.97, 14.18, 7.42, 0], [18.82, 18.32, 17.20, 14.40, 7.58, 0]),
        (
            URBAN,
            [22.42, 22.11, 21.46, 19.95, 16.97, 14.18],
            [22.65, 22.34, 21.69, 20.18, 17.20, 14.40],
        ),
        (
            WOODLAND,
            [22.42, 22.11, 21.46, 19.95, 16.97, 14.18],
            [22.65, 22.34, 21.69, 20.18, 17.20, 14.40],
        ),
        (
            DENSE,
            [24.92, 24.71, 24.26, 23.27, 21.46, 19.95],
            [25.15, 24.94, 24.49, 23.50, 21.69, 20.18],
        ),
    ],
)
def test_terminal_loss_at_868_and_915_mhz_agrees_with_the_rederived_table(
    kind: ClutterKind, at_868_db: list[float], at_915_db: list[float]
) -> None:
    heights_m = [1.5, 2.0, 3.0, 5.0, 8.0, 10.0]
    assert terminal_clutter_loss_db(kind, heights_m, 868e6) == pytest.approx(at_868_db, abs=0.006)
    assert terminal_clutter_loss_db(kind, heights_m, 915e6) == pytest.approx(at_915_db, abs=0.006)


@pytest.mark.parametrize(
    ("f_ghz", "d_km", "percent", "expected_db"),
    [
        (0.5, 0.25, 50, 17.4),
        (0.5, 0.25, 1, 3.9),
        (0.5, 0.25, 99, 30.9),
        (26.6, 15.8, 45, 32.5),
        (3.5, 1, 99.9, 42.8),
    ],
)
def test_statistical_loss_agrees_with_the_published_test_data(
    f_ghz: float, d_km: float, percent: float, expected_db: float
) -> None:
    loss = statistical_clutter_loss_db(d_km * 1e3, f_ghz * 1e9, percent)
    assert float(loss) == pytest.approx(expected_db, abs=0.051)


def test_statistical_loss_at_868_mhz_agrees_with_the_rederived_table() -> None:
    percents = [10, 50, 90, 95, 99]
    table = {
        250.0: [10.71, 18.27, 25.83, 27.98, 32.00],
        500.0: [17.22, 23.40, 29.51, 30.97, 33.69],
        1000.0: [19.15, 24.34, 29.51, 30.97, 33.69],
        5000.0: [19.25, 24.38, 29.51, 30.97, 33.69],
    }
    for distance_m, expected_db in table.items():
        assert statistical_clutter_loss_db(distance_m, 868e6, percents) == pytest.approx(
            expected_db, abs=0.006
        )


def test_both_sections_agree_with_the_reference_implementation_on_a_grid() -> None:
    # independent implementation: proplib-p2108 1.1.0
    p2108 = pytest.importorskip("ITS.ITU.PSeries.P2108", reason="proplib-p2108 is not installed")
    theirs = p2108.ClutterType
    kinds = {
        WATER: theirs.WaterSea,
        OPEN: theirs.OpenRural,
        SUBURBAN: theirs.Suburban,
        URBAN: theirs.Urban,
        WOODLAND: theirs.TreesForest,
        DENSE: theirs.DenseUrban,
    }
    for kind, their_kind in kinds.items():
        for agl_m in (0.5, 1.5, 4.0, 9.0, 14.0, 25.0):
            for f_ghz in (0.07, 0.433, 0.868, 0.915, 2.4):
                ours = float(terminal_clutter_loss_db(kind, agl_m, f_ghz * 1e9, 12.0, 20.0))
                want = p2108.HeightGainTerminalCorrectionModel(
                    f_ghz, agl_m, 20.0, 12.0, their_kind
                )
                assert ours == pytest.approx(max(want, 0.0), abs=0.011)
    for d_km in (0.25, 0.6, 1.0, 3.0, 40.0):
        for percent in (1.0, 10.0, 50.0, 90.0, 99.0):
            ours = float(statistical_clutter_loss_db(d_km * 1e3, 868e6, percent))
            want = p2108.TerrestrialStatisticalModel(0.868, d_km, percent)
            # its inverse normal is a rational approximation, good to 4.5e-4 of 6 dB
            assert ours == pytest.approx(want, abs=0.003)


@given(kind=KINDS, agl_m=st.floats(0.5, 40.0), frequency_hz=st.floats(0.1e9, 3e9))
def test_raising_an_antenna_never_adds_clutter_loss(
    kind: ClutterKind, agl_m: float, frequency_hz: float
) -> None:
    lower, higher = terminal_clutter_loss_db(kind, [agl_m, agl_m + 0.5], frequency_hz)
    assert lower >= higher >= 0.0


@given(kind=KINDS, agl_m=st.lists(st.floats(0.5, 40.0), min_size=1, max_size=8))
def test_array_of_heights_gives_the_scalar_answers(kind: ClutterKind, agl_m: list[float]) -> None:
    together = terminal_clutter_loss_db(kind, agl_m, 868e6)
    assert together == pytest.approx(
        [float(terminal_clutter_loss_db(kind, h, 868e6)) for h in agl_m]
    )


@given(distance_m=st.floats(250.0, 50e3), percent=st.floats(1.0, 98.0))
def test_statistical_loss_grows_with_distance_and_with_the_percentage_of_places(
    distance_m: float, percent: float
) -> None:
    here = float(statistical_clutter_loss_db(distance_m, 868e6, percent))
    assert float(statistical_clutter_loss_db(distance_m, 868e6, percent + 1.0)) > here
    median = statistical_clutter_loss_db(np.array([distance_m, 1.1 * distance_m]), 868e6)
    assert median[1] >= median[0]


@pytest.mark.parametrize(
    "call",
    [
        lambda: terminal_clutter_loss_db(OPEN, 0.0, 868e6),
        lambda: terminal_clutter_loss_db(OPEN, 2.0, 5e9),
        lambda: statistical_clutter_loss_db(100.0, 868e6),
        lambda: statistical_clutter_loss_db(1000.0, 433e6),
        lambda: statistical_clutter_loss_db(1000.0, 868e6, 100.0),
    ],
)
def test_values_outside_the_recommendation_are_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.advice
