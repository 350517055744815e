"""Feeder loss against data-sheet points and the standing-wave formula's values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.feeder import (
    ARRESTOR_LOSS_DB,
    JOINT_LOSS_DB,
    cable_loss_db,
    feeder_loss_db,
    loss_with_swr_db,
    mismatch_loss_db,
)
from guyline.errors import InputError

# published constants per 100 ft and the loss they give, dB per 100 m at 433, 868, 900, 915 MHz;
# from makers' data sheets and a published table of k1/k2, values printed to 0.1 dB
CABLES = {
    "10 mm low-loss foam": (0.122290, 0.000260, [8.7, 12.6, 12.8, 12.9]),
    "6 mm low-loss foam": (0.242080, 0.000330, [17.0, 24.3, 24.8, 25.0]),
    "5 mm low-loss foam": (0.35602, 0.000475, [25.0, 35.8, 36.4, 36.8]),
    "15 mm low-loss foam": (0.07563, 0.00026, [5.5, 8.1, 8.2, 8.3]),
    "RG-174": (0.76172, 0.00955, [65.6, 100.8, 103.2, 104.3]),
    "RG-58 solid core": (0.34190, 0.00377, [28.7, 43.8, 44.8, 45.2]),
    "RG-58 C/U": (0.45322, 0.00836, [42.8, 67.6, 69.3, 70.1]),
    "RG-213": (0.18993, 0.00216, [16.0, 24.5, 25.1, 25.3]),
    "half-inch hard line": (0.06432, 0.00019, [4.7, 6.8, 6.9, 7.0]),
}
LOSSES_DB = st.floats(0.0, 40.0)
SWRS = st.floats(1.0, 20.0)


@pytest.mark.parametrize("name", CABLES)
def test_cable_loss_agrees_with_the_published_points(name: str) -> None:
    k1, k2, expected_db = CABLES[name]
    frequencies_hz = np.array([433e6, 868e6, 900e6, 915e6])
    assert cable_loss_db(100.0, k1, k2, frequencies_hz) == pytest.approx(expected_db, abs=0.06)


@pytest.mark.parametrize(
    ("k1", "k2", "per_100m_db", "per_100ft_db"),
    [
        (0.122290, 0.000260, 12.80, 3.90),
        (0.242080, 0.000330, 24.80, 7.56),
        (0.18993, 0.00216, 25.06, 7.64),
        (0.34190, 0.00377, 44.8, 13.65),
        (0.45322, 0.00836, 69.3, 21.12),
    ],
)
def test_cable_loss_at_900_mhz_agrees_per_metre_and_per_foot(
    k1: float, k2: float, per_100m_db: float, per_100ft_db: float
) -> None:
    assert cable_loss_db(100.0, k1, k2, 900e6) == pytest.approx(per_100m_db, abs=0.05)
    assert cable_loss_db(30.48, k1, k2, 900e6) == pytest.approx(per_100ft_db, abs=0.006)


@pytest.mark.parametrize(
    ("matched_db", "swr", "expected_db"), [(3.0, 2.0, 3.389), (1.0, 2.0, 1.196), (3.0, 3.0, 3.968)]
)
def test_loss_with_a_standing_wave_agrees_with_the_rederived_values(
    matched_db: float, swr: float, expected_db: float
) -> None:
    assert loss_with_swr_db(matched_db, swr) == pytest.approx(expected_db, abs=0.0006)


@pytest.mark.parametrize(("swr", "expected_db"), [(1.5, 0.177), (2.0, 0.512), (3.0, 1.249)])
def test_mismatch_loss_agrees_with_the_handbook_values(swr: float, expected_db: float) -> None:
    assert mismatch_loss_db(swr) == pytest.approx(expected_db, abs=0.0006)


def test_joints_and_arrestor_add_to_the_cable() -> None:
    bare = feeder_loss_db(10.0, 0.18993, 0.00216, 868e6, joints=0)
    full = feeder_loss_db(10.0, 0.18993, 0.00216, 868e6, joints=3, has_arrestor=True)
    assert bare == pytest.approx(2.45, abs=0.006)
    assert full - bare == pytest.approx(3 * JOINT_LOSS_DB + ARRESTOR_LOSS_DB)


def test_nothing_between_radio_and_antenna_loses_nothing() -> None:
    assert feeder_loss_db(0.0, 0.2, 0.001, 868e6, joints=0) == 0.0


@given(matched_db=LOSSES_DB, swr=SWRS)
def test_standing_wave_never_makes_a_line_better(matched_db: float, swr: float) -> None:
    assert loss_with_swr_db(matched_db, swr) - matched_db >= -1e-9
    assert loss_with_swr_db(matched_db, 1.0) == pytest.approx(matched_db, abs=1e-9)


@given(matched_db=LOSSES_DB, swr=SWRS)
def test_lossier_line_loses_more_into_the_same_mismatch(matched_db: float, swr: float) -> None:
    assert loss_with_swr_db(matched_db + 0.5, swr) > loss_with_swr_db(matched_db, swr)


@given(length_m=st.floats(0.0, 100.0), frequency_hz=st.floats(100e6, 2e9))
def test_cable_loss_is_proportional_to_length_and_grows_with_frequency(
    length_m: float, frequency_hz: float
) -> None:
    loss = cable_loss_db(length_m, 0.2, 0.001, frequency_hz)
    assert cable_loss_db(2.0 * length_m, 0.2, 0.001, frequency_hz) == pytest.approx(2.0 * loss)
    assert cable_loss_db(length_m, 0.2, 0.001, 1.1 * frequency_hz) >= loss


@given(swr=st.floats(0.0, 0.99))
def test_standing_wave_ratio_under_one_is_refused(swr: float) -> None:
    with pytest.raises(InputError, match="standing-wave ratio is"):
        loss_with_swr_db(1.0, swr)


def test_negative_length_is_refused() -> None:
    with pytest.raises(InputError, match="feeder is -1 m long"):
        feeder_loss_db(-1.0, 0.2, 0.001, 868e6)
