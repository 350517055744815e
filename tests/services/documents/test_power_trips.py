"""The page of sites that lack power says who stays up, and when somebody must come."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Plan, PowerSource
from guyline.services.documents.power_page import power_page
from guyline.viewmodels.paper.page_size import A4
from guyline.viewmodels.paper.table_pages import power_pages
from sheet_stories import assessed, full_plan, printing
from stories import HILL, solar


def carried_hill(swap_days: float | None) -> Plan:
    """The hill on a battery that lasts some days of the mission."""
    plan = full_plan()
    power = solar()
    power = replace(
        power,
        source=PowerSource.BATTERY,
        panel=None,
        battery=replace(power.battery, capacity_wh=15.0),
        battery_swap_days=swap_days,
    )
    return plan.with_site(replace(plan.site(HILL), power=power))


def test_trips_have_a_day_a_date_and_their_sites():
    plan = carried_hill(None)
    assessment = assessed(plan)
    page = power_page(plan, assessment, printing(plan))
    assert page.trips
    assert all(line.startswith("Day ") and line.endswith(": HILL") for line in page.trips)
    assert "," in page.trips[0]
    assert "sites are on the air" in page.up
    assert "nothing bought first" in page.ranking


@pytest.mark.usefixtures("qapp")
def test_they_are_printed():
    plan = carried_hill(None)
    page = power_page(plan, assessed(plan), printing(plan))
    with_trips = power_pages(page, A4)
    without = power_pages(replace(page, trips=(), up="", ranking=""), A4)
    assert sum(len(p.placed) for p in with_trips) > sum(len(p.placed) for p in without)


def test_without_a_mission_there_are_no_trips():
    plan = carried_hill(None)
    plan = replace(plan, incident=replace(plan.incident, mission_days=None))
    page = power_page(plan, assessed(plan), printing(plan))
    assert (page.trips, page.up) == ((), "")
