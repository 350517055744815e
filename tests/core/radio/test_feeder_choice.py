"""Node at the antenna against node behind a feeder."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Feeder
from guyline.core.radio.feeder_choice import AT_ANTENNA, compare_mounting, feeder_figure
from guyline.errors import InputError

LONG = Feeder(length_m=10.0, k1_db_per_100ft=0.45322, k2_db_per_100ft=0.00836)  # RG-58C/U
JUMPER = AT_ANTENNA


def test_ten_metres_of_rg_58_against_a_jumper_agree_with_the_rederived_value() -> None:
    # rederived: 6.64 dB at 868 MHz, cable alone
    both = compare_mounting(LONG, JUMPER, 868e6, 20.0)
    assert both.indoors.cable_db - both.at_antenna.cable_db == pytest.approx(6.64, abs=0.006)
    assert both.gained_db == pytest.approx(6.64, abs=0.006)


@given(tx_power_dbm=st.floats(0.0, 30.0), length_m=st.floats(0.0, 50.0))
def test_power_at_the_antenna_and_power_lost_make_up_the_transmitter(
    tx_power_dbm: float, length_m: float
) -> None:
    feeder = Feeder(length_m=length_m, k1_db_per_100ft=0.19, k2_db_per_100ft=0.002)
    figure = feeder_figure(feeder, 868e6, tx_power_dbm)
    whole = 10.0 ** (tx_power_dbm / 10.0) / 1000.0
    assert figure.power_at_antenna_w + figure.power_lost_w == pytest.approx(whole)
    assert figure.power_lost_w >= 0.0


def test_unknown_length_is_refused() -> None:
    with pytest.raises(InputError, match="length or kind"):
        feeder_figure(Feeder(), 868e6, 20.0)
