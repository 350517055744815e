"""Distances for people. Limits and distances rederived from the rules' formulae."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.exposure import (
    ExposureRule,
    exposure_distance_m,
    exposure_distances,
    exposure_limit_w_m2,
    fcc_exempt_distance_m,
)
from guyline.core.units import w_from_dbm
from guyline.errors import InputError

# EIRP, frequency; distance by ICNIRP and FCC plain, FCC exempt, Safety Code 6 plain; trade 4.7
CASES = [
    (16.15, 868.3e6, 0.027, 0.024, None, 0.035),
    (29.15, 869.5e6, 0.123, 0.106, 0.212, 0.156),
    (30.0, 915e6, 0.132, 0.114, 0.228, 0.170),
    (36.0, 915e6, 0.263, 0.228, 0.455, 0.338),
    (38.17, 866e6, 0.347, 0.301, 0.601, 0.443),
]
POWERS_W = st.floats(0.001, 50.0)


@pytest.mark.parametrize(
    ("rule", "at_868_w_m2", "at_915_w_m2", "tolerance"),
    [
        (ExposureRule.ICNIRP, 4.34, 4.575, 0.001),
        (ExposureRule.ICNIRP_LOCAL, 19.5, 20.4, 0.06),
        (ExposureRule.FCC, 5.79, 6.10, 0.006),
        (ExposureRule.CANADA, 2.67, 2.77, 0.006),
    ],
)
def test_limits_agree_with_the_rederived_table(
    rule: ExposureRule, at_868_w_m2: float, at_915_w_m2: float, tolerance: float
) -> None:
    assert exposure_limit_w_m2(rule, 868e6) == pytest.approx(at_868_w_m2, abs=tolerance)
    assert exposure_limit_w_m2(rule, 915e6) == pytest.approx(at_915_w_m2, abs=tolerance)


@pytest.mark.parametrize(("eirp_dbm", "f_hz", "icnirp_m", "fcc_m", "exempt_m", "canada_m"), CASES)
def test_distances_agree_with_the_rederived_table(
    eirp_dbm: float,
    f_hz: float,
    icnirp_m: float,
    fcc_m: float,
    exempt_m: float | None,
    canada_m: float,
) -> None:
    eirp_w = w_from_dbm(eirp_dbm)
    expected = {
        ExposureRule.ICNIRP: icnirp_m,
        ExposureRule.FCC: fcc_m,
        ExposureRule.CANADA: canada_m,
    }
    for rule, distance_m in expected.items():
        limit = exposure_limit_w_m2(rule, f_hz)
        assert exposure_distance_m(eirp_w, limit) == pytest.approx(distance_m, abs=0.0011)
        with_ground = exposure_distance_m(eirp_w, limit, with_ground_reflection=True)
        assert with_ground == pytest.approx(1.6 * exposure_distance_m(eirp_w, limit))
    exempt = fcc_exempt_distance_m(eirp_w, f_hz)
    assert exempt == (None if exempt_m is None else pytest.approx(exempt_m, abs=0.0011))


def test_fcc_exemption_agrees_with_the_published_example() -> None:
    # published: 444 MHz at 1 m exempts 5.683 W ERP
    eirp_w = 5.683 * 10**0.215
    assert fcc_exempt_distance_m(eirp_w, 444e6) == pytest.approx(1.0, abs=0.0005)


@pytest.mark.parametrize(
    ("eirp_w", "printed_m"), [(0.04, 0.5), (0.82, 0.5), (1.0, 0.5), (4.0, 1.0), (6.6, 1.5)]
)
def test_sheet_prints_half_a_metre_and_a_whole_one_at_four_watts(
    eirp_w: float, printed_m: float
) -> None:
    assert exposure_distances(eirp_w, 868e6).printed_m == printed_m


@given(eirp_w=POWERS_W, duty=st.floats(0.0, 1.0))
def test_power_density_at_the_distance_is_the_limit(eirp_w: float, duty: float) -> None:
    distance = exposure_distance_m(eirp_w, 4.34, duty)
    assert eirp_w * duty == pytest.approx(4.34 * 4.0 * 3.141592653589793 * distance**2)


@given(eirp_w=POWERS_W, frequency_hz=st.floats(400e6, 1500e6))
def test_printed_distance_is_beyond_every_rule(eirp_w: float, frequency_hz: float) -> None:
    distances = exposure_distances(eirp_w, frequency_hz)
    assert all(distances.printed_m >= 1.5 * distance for _, distance in distances.by_rule_m)
    assert distances.printed_m >= 1.5 * (distances.fcc_exempt_m or 0.0)


def test_values_outside_the_rules_are_refused() -> None:
    with pytest.raises(InputError):
        exposure_limit_w_m2(ExposureRule.FCC, 5e9)
    with pytest.raises(InputError):
        exposure_distance_m(1.0, 4.34, duty_fraction=1.5)
    with pytest.raises(InputError):
        exposure_distances(float("nan"), 868e6)
