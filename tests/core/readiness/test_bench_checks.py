"""What was read back and measured on the bench, against the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import BenchRecord, Plan
from guyline.core.readiness.bench_checks import bench_findings, settings_of
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from stories import HILL, three_sites

AS_PLANNED = BenchRecord(
    identifier="HILL-01",
    frequency_hz=869_525_000.0,
    bandwidth_hz=125_000.0,
    spreading_factor=10,
    coding_rate=5,
    tx_power_dbm=14.0,
    channel_name="Flood one",
    key_identifier="K-07",
)


def plan() -> Plan:
    made = three_sites()
    profile = replace(made.radio_profile, channel_name="Flood one", key_identifier="K-07")
    return replace(made, radio_profile=profile)


def found(bench: BenchRecord) -> dict[FindingCode, Finding]:
    site = replace(plan().site(HILL), bench=bench)
    return {finding.code: finding for finding in bench_findings(plan(), site)}


def test_an_empty_record_says_nothing() -> None:
    assert found(BenchRecord()) == {}


def test_a_radio_set_as_planned_is_go() -> None:
    finding = found(AS_PLANNED)[FindingCode.READ_BACK]
    assert (finding.verdict, finding.value, finding.fact("read")) == (Verdict.GO, 0.0, "8")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"identifier": "HILL-02"}, "identifier HILL-02, planned HILL-01"),
        ({"frequency_hz": 868_100_000.0}, "frequency 868.1 MHz, planned 869.525 MHz"),
        ({"bandwidth_hz": 250_000.0}, "bandwidth 250 kHz, planned 125 kHz"),
        ({"spreading_factor": 9}, "spreading factor 9, planned 10"),
        ({"coding_rate": 8}, "coding rate denominator 8, planned 5"),
        ({"tx_power_dbm": 22.0}, "transmit power 22 dBm, planned 14 dBm"),
        ({"channel_name": "Flood two"}, "channel name Flood two, planned Flood one"),
        ({"key_identifier": "K-06"}, "key identifier K-06, planned K-07"),
    ],
)
def test_every_setting_that_differs_is_named_and_stops_the_site(change, told) -> None:
    finding = found(replace(AS_PLANNED, **change))[FindingCode.READ_BACK]
    assert (finding.verdict, finding.fact("wrong")) == (Verdict.NO_GO, told)


def test_a_frequency_may_differ_by_a_step_of_the_synthesiser() -> None:
    step = replace(AS_PLANNED, frequency_hz=869_525_061.0)
    assert found(step)[FindingCode.READ_BACK].verdict is Verdict.GO
    next_but_one = replace(AS_PLANNED, frequency_hz=869_527_000.0)
    assert found(next_but_one)[FindingCode.READ_BACK].verdict is Verdict.NO_GO


def test_every_setting_of_the_record_is_compared() -> None:
    assert {s[2] for s in settings_of(plan(), replace(plan().site(HILL), bench=AS_PLANNED))} == {
        *("HILL-01", 869.525, 125.0, 10, 5, 14.0, "Flood one", "K-07")
    }


@pytest.mark.parametrize(
    ("vswr", "verdict"), [(1.0, Verdict.GO), (2.0, Verdict.GO), (2.1, Verdict.NO_GO)]
)
def test_a_vswr_above_two_stops_the_site(vswr, verdict) -> None:
    assert found(BenchRecord(vswr=vswr))[FindingCode.VSWR].verdict is verdict


@pytest.mark.parametrize(
    ("hours", "verdict"), [(23.0, Verdict.CONDITIONS), (24.0, Verdict.GO), (48.0, Verdict.GO)]
)
def test_a_day_on_the_bench_is_asked_for(hours, verdict) -> None:
    assert found(BenchRecord(soak_hours=hours))[FindingCode.SOAK].verdict is verdict
