"""Fuses, cables and what the meter should show: what the crew cannot guess."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isinf

from guyline.core.plan import Plan, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.wiring import CableRun, wiring_of
from guyline.services.commissioning import Expectation, HourExpectation, expected_readings
from guyline.services.documents.content import Field

SHOWN_HOURS = (9, 12, 15)  # our choice: crews connect panels by day
LEAST_REACH_M = 3.0  # our choice: shorter cables are not made on a site
CHARGE, LOAD = "controller to battery", "battery to load"
_SHORT_NAMES = {"panel to controller": "panel", CHARGE: "charge", LOAD: "load"}


def cable_fields(site: Site, power: PowerAssessment) -> tuple[Field, ...]:
    """Cable of each run; nothing where the voltage of the system is unknown."""
    cables = [words for run in _runs(site, power) if (words := _cable(run))]
    return (Field(label="Cables", value="; ".join(cables)),) if cables else ()


def fuses_a(site: Site, power: PowerAssessment) -> dict[str, float]:
    """Rating of each run's fuse by the name of the run, of those that need one. [A]"""
    return {run.name: run.fuse_a for run in _runs(site, power) if run.fuse_a is not None}


def _runs(site: Site, power: PowerAssessment) -> tuple[CableRun, ...]:
    wiring = wiring_of(site.power, power.load_wh_per_day, site.power.coldest_c)
    return () if wiring is None else wiring.runs


def _short(run: CableRun) -> str:
    return _SHORT_NAMES.get(run.name, run.name)


def _cable(run: CableRun) -> str:
    """The thinnest cable that reaches a useful length, and how far it reaches."""
    for section, reach in run.reach_m:
        if reach >= LEAST_REACH_M:
            end = "" if isinf(reach) or reach > 100.0 else f" up to {int(reach)} m"
            return f"{_short(run)} {section:g} mm²{end}"
    return ""


def reading_fields(plan: Plan, site: Site, ground_amsl_m: float | None) -> tuple[Field, ...]:
    """Volts and amps on the first day of the mission, dull to clear."""
    expected = expected_readings(plan, site, ground_amsl_m)
    if expected is None:
        return ()
    return tuple(_readings(expected))


def _readings(expected: Expectation) -> Iterable[Field]:
    hours = [hour for hour in expected.hours if hour.clock.hour in SHOWN_HOURS]
    if hours:
        amps = "; ".join(_hour(hour) for hour in hours)
        yield Field(label="Charging", value=f"{amps}; at {expected.charging_v:.1f} V or more")
    if expected.panel_open_v is not None:
        yield Field(label="Panel open", value=_open(hours, expected.panel_open_v))


def _open(hours: Sequence[HourExpectation], most_v: float) -> str:
    """Voltage of the panel without load: about the same at all hours, so one range serves."""
    volts = [volt for hour in hours for volt in hour.open_v if volt > 0.0]
    most = f"at most {most_v:.0f} V in frost"
    return f"{min(volts):.0f} to {max(volts):.0f} V by day, {most}" if volts else most


def _hour(hour: HourExpectation) -> str:
    dull, clear = hour.charging_a
    return f"{hour.clock:%H:%M} {dull:.1f} to {clear:.1f} A"
