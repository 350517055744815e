"""Bench records: each radio's settings as planned, to be read back, and what is measured."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Gate, Plan, Radio, Site
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.bench_checks import (
    LEAST_SOAK_HOURS,
    MOST_VSWR,
    Setting,
    is_as_planned,
    setting_words,
    settings_of,
)
from guyline.core.readiness.bill_of_materials import item_kind
from guyline.core.readiness.check_catalogue import questions_of
from guyline.services.documents.content import BenchRecords, BenchSetting, BenchSheet, Field
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest


def bench_records(plan: Plan, assessment: PlanAssessment, printing: Printing) -> BenchRecords:
    """One record a radio, filled as far as the plan knows; keys are named, never printed."""
    page = BenchRecords(
        imprint=imprint(plan, printing),
        sheets=tuple(_sheet(plan, site) for site in plan.sites),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _sheet(plan: Plan, site: Site) -> BenchSheet:
    record = site.record(Gate.BENCH_TEST)
    serials = [
        row.serial
        for row in plan.stock
        if row.assigned_to == site.site_id and item_kind(row.name) == "radio" and row.serial
    ]
    tester = ""
    if record.answered_by and record.answered_on is not None:
        tester = f"{record.answered_by}, {record.answered_on:%d %b %Y}"
    return BenchSheet(
        site_id=site.site_id,
        name=site.name,
        radio=site.radio.catalogue_key or None,
        serial=", ".join(serials) or None,
        settings=tuple(_setting(setting) for setting in settings_of(plan, site)),
        measured=_measured(site),
        questions=questions_of(Gate.BENCH_TEST),
        tester=tester,
    )


def _setting(setting: Setting) -> BenchSetting:
    name, planned, found, unit = setting
    is_read = found is not None and found != ""
    is_planned = planned is not None and planned != ""
    return BenchSetting(
        name=name[:1].upper() + name[1:],
        planned=setting_words(planned, unit) if is_planned else None,
        read_back=setting_words(found, unit) if is_read else "",
        differs=is_read and not is_as_planned(setting),
    )


def _measured(site: Site) -> tuple[Field, ...]:
    bench, battery = site.bench, site.power.battery
    health = None if battery is None else battery.health_fraction
    return (
        _value("VSWR with its own antenna", bench.vswr, "", f"at most {MOST_VSWR:g}"),
        _value("Current while it listens", _milli(bench.supply_a), "mA", _expected(site.radio)),
        _value("Battery, part of its label", _percent(health), "%", "at least 80 %"),
        _value("Ran without a fault", bench.soak_hours, "h", f"at least {LEAST_SOAK_HOURS:g} h"),
    )


def _expected(radio: Radio) -> str:
    if radio.receive_a is None or radio.host_a is None or radio.supply_v is None:
        return "unknown"
    return f"about {1000.0 * (radio.receive_a + radio.host_a):.0f} mA at {radio.supply_v:g} V"


def _milli(value: float | None) -> float | None:
    return None if value is None else 1000.0 * value


def _percent(value: float | None) -> float | None:
    return None if value is None else 100.0 * value


def _value(label: str, value: float | None, unit: str, limit: str) -> Field:
    words = "" if value is None else f"{value:.4g} {unit}".strip()
    return Field(label=label, value=words, note=limit)
