"""Readings to expect when a panel is connected."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import Incident, Plan, PowerSystem, SiteId
from guyline.services.commissioning import expected_readings

PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14, time_zone="UTC"))


def site_at(lon_deg: float, **changes: object):
    power = replace(stories.solar(), **changes)
    return stories.complete_site(SiteId("HILL"), -44.0, lon_deg, power=power)


def test_the_current_peaks_about_noon_of_the_sun():
    readings = expected_readings(PLAN, site_at(0.0), 0.0)
    best = max(readings.hours, key=lambda row: row.charging_a[1])
    assert best.clock.hour == 12
    assert readings.hours[0].clock.hour >= 7
    assert readings.hours[-1].clock.hour <= 17


def test_the_clock_follows_longitude():
    # Law: 30 degrees of longitude are two hours of the sun.
    east = expected_readings(PLAN, site_at(30.0), 0.0)
    assert max(east.hours, key=lambda row: row.charging_a[1]).clock.hour == 10


def test_the_clock_is_that_of_the_plan():
    plan = Plan(incident=replace(PLAN.incident, time_zone="Etc/GMT-3"))
    readings = expected_readings(plan, site_at(45.0), 0.0)
    best = max(readings.hours, key=lambda row: row.charging_a[1])
    assert best.clock.hour == 12
    assert best.clock.utcoffset().total_seconds() == 3 * 3600


def test_a_dull_sky_brings_less_and_nothing_exceeds_the_panel():
    readings = expected_readings(PLAN, site_at(0.0), 0.0)
    for row in readings.hours:
        assert 0.0 <= row.charging_a[0] <= row.charging_a[1]
        assert row.short_circuit_a[0] <= row.short_circuit_a[1]
        assert row.charging_a[1] < 60.0 / 12.8
    assert readings.panel_open_v == pytest.approx(12.8 * 1.5 * 1.22 * 1.06)  # 5 °C, -0.3 %/K


def test_a_wall_before_the_panel_takes_the_clear_current():
    wall = (60.0,) * 36
    free = expected_readings(PLAN, site_at(0.0), 0.0)
    walled = expected_readings(PLAN, site_at(0.0), 0.0, horizon=wall)
    highest = max(row.charging_a[1] for row in free.hours)
    assert max((row.charging_a[1] for row in walled.hours), default=0.0) < 0.3 * highest


@pytest.mark.parametrize("missing", ["panel", "battery"])
def test_without_panel_or_battery_nothing_is_said(missing):
    assert expected_readings(PLAN, site_at(0.0, **{missing: None}), 0.0) is None


def test_without_a_date_nothing_is_said():
    assert expected_readings(Plan(), site_at(0.0), 0.0) is None
    site = stories.complete_site(SiteId("HALL"), 0.0, 0.0, power=PowerSystem())
    assert expected_readings(PLAN, site, 0.0) is None
