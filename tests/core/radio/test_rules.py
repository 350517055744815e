"""Power, band and airtime against an entered rule; numbers rederived from the rules' texts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import RadioRule
from guyline.core.radio.rules import (
    Emission,
    RuleAnswer,
    band_check,
    bandwidth_check,
    density_check,
    dwell_check,
    max_tx_power_dbm,
    needs_confirmation,
    power_check,
    power_in_bandwidth_dbm,
    rule_path,
)
from guyline.errors import InputError

ERP_25_MW = RadioRule(name="25 mW ERP", limit_dbm=14.0, limit_kind="ERP")
ERP_500_MW = RadioRule(
    name="869.4-869.65 MHz",
    limit_dbm=27.0,
    limit_kind="ERP",
    duty_fraction=0.1,
    source="a standard",
    confidence="A",
    checked_on=date(2026, 1, 1),
    low_hz=869.4e6,
    high_hz=869.65e6,
    max_bandwidth_hz=250e3,
    max_dwell_s=36.0,
)
EIRP_1_W = RadioRule(name="1 W EIRP", limit_dbm=30.0, limit_kind="EIRP")
EIRP_16_DBM = RadioRule(name="16 dBm EIRP", limit_dbm=16.0, limit_kind="EIRP")
CONDUCTED_1_W = RadioRule(
    name="1 W conducted",
    limit_dbm=30.0,
    limit_kind="conducted",
    gain_allowance_dbi=6.0,
    psd_limit_dbm=8.0,
    psd_bandwidth_hz=3e3,
)
LEVELS_DBM = st.floats(-10.0, 36.0)
GAINS_DBI = st.floats(-3.0, 15.0)
LOSSES_DB = st.floats(0.0, 10.0)
RULES = st.sampled_from([ERP_25_MW, ERP_500_MW, EIRP_1_W, EIRP_16_DBM, CONDUCTED_1_W])


def emission(
    tx_power_dbm: float | None = 14.0,
    feeder_loss_db: float | None = 0.0,
    gain_dbi: float | None = 2.15,
    frequency_hz: float = 869.525e6,
    bandwidth_hz: float = 125e3,
) -> Emission:
    return Emission(
        tx_power_dbm=tx_power_dbm,
        feeder_loss_db=feeder_loss_db,
        gain_dbi=gain_dbi,
        frequency_hz=frequency_hz,
        bandwidth_hz=bandwidth_hz,
    )


@pytest.mark.parametrize(
    ("gain_dbi", "expected_dbm"),
    [
        (2.15, [15.0, 28.0, 28.9, 14.9, 30]),
        (5, [12.2, 25.2, 26.0, 12.0, 30]),
        (6, [11.2, 24.2, 25.0, 11.0, 30]),
        (8, [9.2, 22.2, 23.0, 9.0, 29]),
        (10, [7.2, 20.2, 21.0, 7.0, 27]),
        (12, [5.2, 18.2, 19.0, 5.0, 25]),
    ],
)
def test_most_power_at_the_radio_agrees_with_the_rederived_table(
    gain_dbi: float, expected_dbm: list[float]
) -> None:
    # 1 dB of feeder; the last column is conducted with 6 dBi allowed; no radio gives over 30 dBm
    rules = (ERP_25_MW, ERP_500_MW, EIRP_1_W, EIRP_16_DBM, CONDUCTED_1_W)
    powers = [max_tx_power_dbm(rule, 1.0, gain_dbi) for rule in rules]
    assert powers == pytest.approx(expected_dbm, abs=0.06)


@pytest.mark.parametrize(
    ("bandwidth_khz", "expected_dbm"), [(62.5, 21.2), (125, 24.2), (250, 27.2), (500, 30.2)]
)
def test_power_that_a_density_of_8_dbm_in_3_khz_allows_agrees_with_the_rederived_values(
    bandwidth_khz: float, expected_dbm: float
) -> None:
    density = power_in_bandwidth_dbm(expected_dbm, bandwidth_khz * 1e3, 3e3)
    assert density == pytest.approx(8.0, abs=0.06)


def test_erp_and_eirp_differ_by_the_gain_of_a_dipole() -> None:
    # 25 mW ERP = 14 dBm ERP = 16.15 dBm EIRP
    dipole = emission()
    assert dipole.erp_dbm == pytest.approx(14.0)
    assert dipole.eirp_dbm == pytest.approx(16.15)
    assert power_check(ERP_25_MW, dipole).answer is RuleAnswer.WITHIN


def test_antenna_swap_takes_a_node_over_the_limit() -> None:
    check = power_check(ERP_25_MW, emission(gain_dbi=5.0))
    assert check.answer is RuleAnswer.OVER
    assert check.over == pytest.approx(2.85)


def test_without_a_rule_every_answer_is_limit_not_entered() -> None:
    checks = [
        power_check(None, emission()),
        density_check(None, emission()),
        band_check(None, emission()),
        bandwidth_check(None, emission()),
        dwell_check(None, 1.0),
        density_check(ERP_25_MW, emission()),
        band_check(ERP_25_MW, emission()),
    ]
    assert {check.answer for check in checks} == {RuleAnswer.NOT_ENTERED}
    assert rule_path(None) == "limit not entered"


def test_unknown_power_feeder_or_gain_is_not_known_and_never_within() -> None:
    for node in (emission(None), emission(feeder_loss_db=None), emission(gain_dbi=None)):
        assert power_check(ERP_25_MW, node).answer is RuleAnswer.UNKNOWN
    assert power_check(CONDUCTED_1_W, emission(gain_dbi=None)).answer is RuleAnswer.UNKNOWN
    assert power_check(ERP_25_MW, emission(float("nan"))).answer is RuleAnswer.UNKNOWN


def test_signal_of_250_khz_fills_its_sub_band_and_leaves_no_room_for_drift() -> None:
    full = emission(bandwidth_hz=250e3)
    assert band_check(ERP_500_MW, full, drift_ppm=0.0).answer is RuleAnswer.WITHIN
    assert band_check(ERP_500_MW, full).answer is RuleAnswer.OVER
    assert band_check(ERP_500_MW, emission()).answer is RuleAnswer.WITHIN
    assert bandwidth_check(ERP_500_MW, full).answer is RuleAnswer.WITHIN
    assert bandwidth_check(ERP_500_MW, emission(bandwidth_hz=500e3)).answer is RuleAnswer.OVER


@pytest.mark.parametrize(
    ("frequency_hz", "beyond_khz"), [(869.4e6, 62.5), (869.65e6, 62.5), (869.525e6, -62.5)]
)
def test_signal_is_measured_against_both_edges_of_the_band(
    frequency_hz: float, beyond_khz: float
) -> None:
    check = band_check(ERP_500_MW, emission(frequency_hz=frequency_hz), drift_ppm=0.0)
    assert check.value == pytest.approx(beyond_khz)


def test_packet_longer_than_the_longest_transmission_is_over() -> None:
    assert dwell_check(ERP_500_MW, 40.0).answer is RuleAnswer.OVER


def test_rule_path_tells_limit_source_and_who_confirms() -> None:
    assert rule_path(ERP_500_MW) == (
        "869.4-869.65 MHz, 27 dBm ERP, at most 10 % of an hour, at most 36 s at a time, "
        "source: a standard"
    )
    assert rule_path(EIRP_1_W).endswith("source: not stated, confirm with your regulator")
    assert needs_confirmation(EIRP_1_W)


def test_no_answer_and_no_line_calls_anything_legal() -> None:
    words = [answer.value for answer in RuleAnswer]
    words += [rule_path(rule) for rule in (None, ERP_25_MW, ERP_500_MW, CONDUCTED_1_W)]
    assert not any("legal" in word.lower() or "allowed" in word.lower() for word in words)


@given(rule=RULES, feeder_db=LOSSES_DB, gain_dbi=GAINS_DBI)
def test_most_power_is_within_and_a_tenth_more_is_over(
    rule: RadioRule, feeder_db: float, gain_dbi: float
) -> None:
    power = max_tx_power_dbm(rule, feeder_db, gain_dbi, hardware_dbm=99.0)
    assert power_check(rule, emission(power, feeder_db, gain_dbi)).answer is RuleAnswer.WITHIN
    assert power_check(rule, emission(power + 0.1, feeder_db, gain_dbi)).answer is RuleAnswer.OVER


@given(power_dbm=LEVELS_DBM, bandwidth_hz=st.floats(1e3, 1e6))
def test_density_is_never_more_than_the_whole_power(power_dbm: float, bandwidth_hz: float) -> None:
    assert power_in_bandwidth_dbm(power_dbm, bandwidth_hz, 3e3) <= power_dbm
    check = density_check(CONDUCTED_1_W, emission(power_dbm, bandwidth_hz=bandwidth_hz))
    assert check.value is not None
    assert check.value <= power_dbm + 1e-9


def test_unknown_kind_of_limit_is_refused() -> None:
    rule = RadioRule(name="odd", limit_dbm=10.0, limit_kind="PEP")
    with pytest.raises(InputError, match="no kind of power limit"):
        power_check(rule, emission())


@given(
    gain_dbi=st.floats(-3.0, 15.0),
    feeder_db=st.floats(0.0, 10.0),
    bandwidth_hz=st.sampled_from([62.5e3, 125e3, 250e3, 500e3]),
    kind=st.sampled_from(["EIRP", "ERP", "conducted"]),
)
def test_most_power_with_a_bandwidth_keeps_power_and_density_and_fills_one_of_them(
    gain_dbi: float, feeder_db: float, bandwidth_hz: float, kind: str
) -> None:
    rule = replace(CONDUCTED_1_W, limit_kind=kind, limit_dbm=24.0)
    power = max_tx_power_dbm(rule, feeder_db, gain_dbi, 99.0, bandwidth_hz)
    now = emission(power, feeder_db, gain_dbi, bandwidth_hz=bandwidth_hz)
    checks = (power_check(rule, now), density_check(rule, now))
    assert all(check.answer is RuleAnswer.WITHIN for check in checks)
    assert max(check.over for check in checks) == pytest.approx(0.0, abs=1e-6)
