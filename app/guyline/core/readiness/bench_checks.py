"""Does the radio on the bench do what the plan says?"""

from __future__ import annotations

import math

from guyline.core.plan import Gate, Plan, Site
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

MOST_VSWR = 2.0  # common practice, no source: mismatch loss 0.51 dB
LEAST_SOAK_HOURS = 24.0  # common practice, no source
FREQUENCY_STEP = 1e-6  # of the frequency; transceivers set it in steps of some tens of hertz

Setting = tuple[str, float | str | None, float | str | None, str]
"""Name, planned, read back, unit."""


def bench_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Findings about what was read back and measured; () for what was not done yet.

    That nothing was done yet is told by the gate of the bench test, which people answer.
    """
    return (*_read_back(plan, site), *_vswr(site), *_soak(site))


def settings_of(plan: Plan, site: Site) -> tuple[Setting, ...]:
    """Each setting of the radio as planned and as read back; None or "" is unknown."""
    profile, bench = plan.radio_profile, site.bench
    return (
        ("identifier", site.radio.identifier, bench.identifier, ""),
        ("frequency", _scaled(profile.frequency_hz, 1e6), _scaled(bench.frequency_hz, 1e6), "MHz"),
        ("bandwidth", _scaled(profile.bandwidth_hz, 1e3), _scaled(bench.bandwidth_hz, 1e3), "kHz"),
        ("spreading factor", profile.spreading_factor, bench.spreading_factor, ""),
        ("coding rate denominator", profile.coding_rate, bench.coding_rate, ""),
        ("transmit power", site.radio.tx_power_dbm, bench.tx_power_dbm, "dBm"),
        ("channel name", profile.channel_name, bench.channel_name, ""),
        ("key identifier", profile.key_identifier, bench.key_identifier, ""),
    )


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else round(value / unit, 6)


def is_known(value: float | str | None) -> bool:
    """Whether a setting was entered or read."""
    return value is not None and value != ""


def setting_words(value: float | str | None, unit: str) -> str:
    """A setting as people read it."""
    if value is None or value == "":
        return "not entered"
    number = value if isinstance(value, str) else f"{value:.10g}"
    return f"{number} {unit}".strip()


def is_as_planned(setting: Setting) -> bool:
    """Whether a setting that was read back is the planned one, but for a synthesiser's step."""
    _, planned, found, _ = setting
    if isinstance(planned, str) or isinstance(found, str) or planned is None or found is None:
        return planned == found
    return math.isclose(planned, found, rel_tol=FREQUENCY_STEP)


def _read_back(plan: Plan, site: Site) -> tuple[Finding, ...]:
    read = [setting for setting in settings_of(plan, site) if is_known(setting[2])]
    if not read:
        return ()
    wrong = [setting for setting in read if not is_as_planned(setting)]
    words = "; ".join(
        f"{name} {setting_words(found, unit)}, planned {setting_words(planned, unit)}"
        for name, planned, found, unit in wrong
    )
    return (
        Finding(
            code=FindingCode.READ_BACK,
            gate=Gate.BENCH_TEST,
            site_id=site.site_id,
            verdict=Verdict.NO_GO if wrong else Verdict.GO,
            quantity="settings against the plan",
            value=float(len(wrong)),
            limit=0.0,
            unit="settings",
            comparison=Comparison.AT_MOST,
            facts=(("wrong", words), ("read", str(len(read)))),
            evidence="read back from the radio",
            evidence_on=site.record(Gate.BENCH_TEST).answered_on,
            working=Working(
                formula="each setting that was read back equals that of the plan",
                inputs=tuple(
                    Quantity(name=name, value=found, unit=unit, source="bench record")
                    for name, _, found, unit in read
                ),
                source="bench record of the plan",
            ),
            remedy=Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what="a radio set as the plan says, or the plan set as the radios are",
            )
            if wrong
            else None,
        ),
    )


def _vswr(site: Site) -> tuple[Finding, ...]:
    vswr = site.bench.vswr
    if vswr is None:
        return ()
    good = vswr <= MOST_VSWR
    what = "the antenna again, joint by joint"
    return (
        Finding(
            code=FindingCode.VSWR,
            gate=Gate.BENCH_TEST,
            site_id=site.site_id,
            verdict=Verdict.GO if good else Verdict.NO_GO,
            quantity="VSWR",
            value=vswr,
            limit=MOST_VSWR,
            comparison=Comparison.AT_MOST,
            evidence="measured on the bench",
            evidence_on=site.record(Gate.BENCH_TEST).answered_on,
            working=Working(
                formula="as measured with antenna and feeder of the site",
                inputs=(Quantity(name="VSWR", value=vswr, source="bench record"),),
                source="limit: common practice, no source; 2:1 loses 0.51 dB",
            ),
            remedy=None
            if good
            else Remedy(action=RemedyAction.MEASURE, site_id=site.site_id, what=what),
        ),
    )


def _soak(site: Site) -> tuple[Finding, ...]:
    hours = site.bench.soak_hours
    if hours is None:
        return ()
    good = hours >= LEAST_SOAK_HOURS
    return (
        Finding(
            code=FindingCode.SOAK,
            gate=Gate.BENCH_TEST,
            site_id=site.site_id,
            verdict=Verdict.GO if good else Verdict.CONDITIONS,
            quantity="time on the bench without a fault",
            value=hours,
            limit=LEAST_SOAK_HOURS,
            unit="h",
            evidence="bench record",
            evidence_on=site.record(Gate.BENCH_TEST).answered_on,
            working=Working(
                formula="hours of running with its battery and antenna",
                inputs=(Quantity(name="hours", value=hours, unit="h", source="bench record"),),
                source="common practice, no source: 24 to 48 h",
            ),
            remedy=None
            if good
            else Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what="a day on the bench with battery and antenna",
            ),
        ),
    )
