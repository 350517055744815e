"""Lines that a crew reads."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import stories
from guyline.core.plan import Battery, Chemistry, Incident, Plan, SiteId
from guyline.core.power.handling import handling_of
from guyline.core.power.rounds import Round
from guyline.core.power.timeline import Timeline
from guyline.core.power.wiring import wiring_of
from guyline.services.commissioning import expected_readings
from guyline.services.wording.power_details import (
    handling_lines,
    reading_rows,
    round_lines,
    timeline_line,
    wiring_lines,
)


def test_every_cable_says_current_fuse_and_lengths():
    lines = wiring_lines(wiring_of(stories.solar(), 24.0, -5.0))
    assert lines[0].startswith("Panel to controller (5.3 A): 0.75 mm² to")
    assert lines[1].startswith("Controller to battery (4.7 A, fuse 7.5 A): 1 mm² to")
    assert lines[2].startswith("Battery to load (0.2 A, fuse 1 A): 0.5 mm² to 15 m")
    assert "plus pole" in lines[3]
    assert "26 V" in lines[4]


def test_a_large_panel_asks_for_an_electrician_rather_than_a_thin_cable():
    power = stories.solar()
    power = replace(power, panel=replace(power.panel, stc_w=2000.0))
    assert "electrician" in wiring_lines(wiring_of(power, 24.0, 0.0))[0]


def test_a_lead_battery_names_its_openings():
    lead = Battery(chemistry=Chemistry.AGM, capacity_wh=1200.0, nominal_v=12.0)
    lines = handling_lines(handling_of(lead))
    assert "Each opening at least 7 cm²." in lines
    assert all(line.endswith(".") for line in lines)


def test_readings_go_from_dull_to_clear_at_full_hours():
    plan = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
    site = stories.complete_site(SiteId("HILL"), -44.0, 0.0, power=stories.solar())
    rows = reading_rows(expected_readings(plan, site, 0.0))
    assert rows[0][0].endswith(":00")
    assert all(" to " in volts and volts.endswith(" V") for _, volts, _, _ in rows)
    assert all(" to " in short and short.endswith(" A") for _, _, short, _ in rows)


def test_a_trip_names_its_day_and_sites():
    trip = Round(day=5, site_ids=(SiteId("A"), SiteId("B")))
    assert round_lines((trip,)) == ("Day 5: A, B",)


def test_the_timeline_in_a_line():
    timeline = Timeline(
        low=(5.0, 2.0, 3.0), middle=(5.0, 3.0, 4.0), high=(5.0, 4.0, 5.0), unknown=1
    )
    line = timeline_line(timeline)
    assert line.startswith(
        "On the last day 3 to 5 sites are on the air; on day 1, the worst, 2 to 4"
    )
    assert "of 1 more nobody knows" in line
