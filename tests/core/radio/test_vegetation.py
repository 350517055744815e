"""Woodland round one end, Rec. ITU-R P.833-9. Rederived from its table: no public set exists."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.vegetation import Foliage, woodland_loss_db
from guyline.errors import InputError


def test_loss_at_the_rows_of_the_table_agrees_with_the_rederived_values() -> None:
    depths_m = [5, 10, 20, 30, 50, 100, 200, 500]
    at_949_db = [0.84, 1.65, 3.19, 4.64, 7.27, 12.55, 19.15, 25.43]
    at_466_db = [0.59, 1.16, 2.25, 3.26, 5.10, 8.76, 13.26, 17.36]
    assert woodland_loss_db(depths_m, 949e6) == pytest.approx(at_949_db, abs=0.006)
    assert woodland_loss_db(depths_m, 466.475e6) == pytest.approx(at_466_db, abs=0.006)


def test_loss_between_the_rows_agrees_with_the_rederived_values() -> None:
    expected_db = [0.8, 1.6, 3.1, 7.0, 12.0, 18.3]
    loss = woodland_loss_db([5, 10, 20, 50, 100, 200], 868e6)
    assert loss == pytest.approx(expected_db, abs=0.06)


def test_leaves_make_a_fifth_either_way() -> None:
    in_leaf = float(woodland_loss_db(60.0, 868e6))
    assert float(woodland_loss_db(60.0, 868e6, Foliage.BARE)) == pytest.approx(0.8 * in_leaf)
    assert float(woodland_loss_db(60.0, 868e6, Foliage.WET_LEAF)) == pytest.approx(1.2 * in_leaf)


@given(depth_m=st.floats(0.0, 2000.0), frequency_hz=st.floats(106e6, 2.1e9))
def test_deeper_wood_loses_more_but_never_more_than_its_greatest_loss(
    depth_m: float, frequency_hz: float
) -> None:
    loss = woodland_loss_db(np.array([depth_m, depth_m + 1.0, 1e6]), frequency_hz)
    assert 0.0 <= loss[0] <= loss[1] <= loss[2] < 34.2


@pytest.mark.parametrize(("depth_m", "frequency_hz"), [(-1.0, 868e6), (10.0, 5e9), (10.0, 50e6)])
def test_values_outside_the_table_are_refused(depth_m: float, frequency_hz: float) -> None:
    with pytest.raises(InputError) as refusal:
        woodland_loss_db(depth_m, frequency_hz)
    assert refusal.value.advice
