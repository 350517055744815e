"""The link budget in both directions."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.link_budget import (
    REQUIRED_SNR_DB,
    Terminal,
    link_budget,
    noise_floor_dbm,
    required_snr_db,
    sensitivity_dbm,
)
from guyline.errors import InputError

decibels = st.floats(-30, 30)
terminals = st.builds(
    Terminal,
    tx_power_dbm=decibels,
    feeder_loss_db=st.floats(0, 10),
    antenna_gain_dbi=decibels,
    noise_figure_db=st.floats(0, 12),
)
HILL = Terminal(tx_power_dbm=14, feeder_loss_db=1.5, antenna_gain_dbi=5, noise_figure_db=6)
HALL = Terminal(tx_power_dbm=22, feeder_loss_db=0.5, antenna_gain_dbi=2, noise_figure_db=7)

# SX1276 data sheet as quoted in public code, spreading factors 7 to 12, HF band [dBm].
DATA_SHEET = {
    125e3: (-123, -126, -129, -132, -133, -136),
    250e3: (-120, -123, -125, -128, -130, -133),
    500e3: (-116, -119, -122, -125, -128, -130),
}


@pytest.mark.parametrize("bandwidth_hz", DATA_SHEET)
def test_sensitivity_is_near_the_data_sheet(bandwidth_hz):
    for factor, printed in zip(range(7, 13), DATA_SHEET[bandwidth_hz], strict=True):
        ours = sensitivity_dbm(bandwidth_hz, 7.0, required_snr_db(factor))
        assert ours == pytest.approx(printed, abs=1.6)


def test_sensitivity_is_the_printed_one():
    # Rederived: -174 + 10 log10(125000) + 6 - 15 = -132.03 dBm
    assert sensitivity_dbm(125e3, 6.0, required_snr_db(10)) == pytest.approx(-132.0309, abs=1e-4)


def test_the_noise_floor_is_thermal_noise_at_290_k():
    # Rederived: k T = 1.380649e-23 J/K * 290 K = -173.975 dBm/Hz, which the trade rounds to -174
    assert noise_floor_dbm(1.0, 0.0) == pytest.approx(-173.975, abs=0.03)


def test_every_step_of_a_budget_is_there():
    # Worked by hand: 14 - 1.5 + 5 = 17.5 dBm EIRP; - 140 + 2 - 0.5 = -121.0 dBm received;
    # floor -174 + 50.969 + 7 = -116.031 -> SNR -4.969; needs -15 -> margin 10.031.
    forward = link_budget(HILL, HALL, 140.0, 125e3, 10).forward
    assert forward.eirp_dbm == pytest.approx(17.5)
    assert forward.received_dbm == pytest.approx(-121.0)
    assert forward.snr_db == pytest.approx(-4.969, abs=5e-4)
    assert forward.sensitivity_dbm == pytest.approx(-131.031, abs=5e-4)
    assert forward.margin_db == pytest.approx(10.031, abs=5e-4)


def test_the_weaker_direction_limits():
    # Backward: 22 - 0.5 + 2 - 140 + 5 - 1.5 = -113.0 dBm against -132.031 -> 19.031 dB
    budget = link_budget(HILL, HALL, 140.0, 125e3, 10)
    assert budget.backward.margin_db == pytest.approx(19.031, abs=5e-4)
    assert budget.limiting == "forward"
    assert budget.margin_db == budget.forward.margin_db


def test_a_measured_path_of_108_km_is_explained():
    # Measured: hilltop to hut, 107.96 km, 868 MHz, spreading factor 7, 125 kHz, public data set
    # CampusIoT/datasets SaintEynard (ODbL-1.0): median signal power -122.3 and -123.3 dBm at two
    # gateways; power not stated, 14 dBm ERP class assumed (16.15 dBm EIRP).
    sender = Terminal(tx_power_dbm=14, feeder_loss_db=0, antenna_gain_dbi=2.15, noise_figure_db=6)
    path_db = free_space_loss_db(107_960.0, 868e6)
    assert path_db == pytest.approx(131.88, abs=0.006)
    received = link_budget(sender, replace(sender, tx_power_dbm=14), path_db, 125e3, 7).forward
    # Free space cannot be beaten; the antennas and sites of the data set take another 6 to 12 dB.
    assert -122.3 < received.received_dbm < -122.3 + 12


@given(terminals, terminals, st.floats(60, 180), st.integers(7, 12))
def test_exchanging_both_ends_exchanges_both_directions(near, far, loss_db, factor):
    budget = link_budget(near, far, loss_db, 125e3, factor)
    turned = link_budget(far, near, loss_db, 125e3, factor)
    assert turned.forward == budget.backward
    assert turned.backward == budget.forward
    assert turned.margin_db == budget.margin_db


@given(terminals, terminals, st.floats(60, 180), st.integers(7, 12), st.floats(0, 20))
def test_a_decibel_of_path_is_a_decibel_of_margin(near, far, loss_db, factor, more_db):
    budget = link_budget(near, far, loss_db, 250e3, factor)
    lossier = link_budget(near, far, loss_db + more_db, 250e3, factor)
    assert lossier.margin_db == pytest.approx(budget.margin_db - more_db)


@given(terminals, terminals, st.floats(60, 180), st.integers(7, 12))
def test_margin_over_sensitivity_is_margin_over_the_needed_ratio(near, far, loss_db, factor):
    forward = link_budget(near, far, loss_db, 125e3, factor).forward
    assert forward.margin_db == pytest.approx(forward.snr_db - REQUIRED_SNR_DB[factor])


@pytest.mark.parametrize("factor", [5, 13, 0])
def test_an_unknown_spreading_factor_is_refused(factor):
    with pytest.raises(InputError):
        required_snr_db(factor)


@pytest.mark.parametrize("bandwidth_hz", [0.0, -1.0, float("nan"), float("inf")])
def test_a_bandwidth_that_cannot_be_is_refused(bandwidth_hz):
    with pytest.raises(InputError):
        noise_floor_dbm(bandwidth_hz, 6.0)
