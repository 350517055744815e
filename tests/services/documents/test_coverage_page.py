from __future__ import annotations

from dataclasses import replace

import pytest

from coverage_stories import COLUMNS, valley_coverage, valley_plan, valley_report
from guyline.core.plan import SiteId, TerrainSource, Units
from guyline.services.documents.coverage_page import coverage_page
from sheet_stories import printing
from stories import HALL, HILL, SHED


def page_of(plan=None, report=None, **more):
    plan = plan or valley_plan()
    return coverage_page(plan, report or valley_report(plan), printing(plan), **more)


def test_the_summary_counts_area_places_people_and_weight() -> None:
    # by hand: 16 of 80 columns in each band, cells of 0.01 km2, 60 rows; Mill alone is served
    page = page_of()
    assert valley_coverage().area_served_km2 == pytest.approx(2 * COLUMNS / 5 * 60 * 0.01)
    assert page.summary.startswith("19 km² of 38 km² served by")
    # weight: 120 + 4 * 30 + 15 + 1 for the place that nobody counted
    assert "1 of 4 places, 120 of 165 people, 47 % by weight" in page.summary


def test_the_unserved_stand_first_and_the_weightiest_of_them_on_top() -> None:
    places = page_of().places
    assert [place.name for place in places] == ["Clinic", "Weir", "Away", "Mill"]
    assert [place.is_served for place in places] == [False, False, None, True]


def test_a_place_that_wants_two_servers_says_what_it_has() -> None:
    clinic = page_of().places[0]
    assert clinic.state == "served by 1 of 2 wanted"
    assert clinic.servers == "1 of 2 wanted"
    assert clinic.margin is not None
    assert clinic.margin.startswith("out ")


def test_sites_are_told_apart_by_whether_they_were_counted() -> None:
    nodes = {node.site_id: node.is_server for node in page_of().nodes}
    assert nodes == {HALL: True, HILL: True, SHED: False}


def test_servers_that_could_not_be_counted_are_named_with_the_reason() -> None:
    report = replace(valley_report(), skipped=((SiteId("TARN"), "antenna height"),))
    (line,) = page_of(report=report).skipped
    assert (line.lead, line.line) == ("TARN", "is not counted: antenna height unknown")


def test_the_makers_of_the_ground_are_named() -> None:
    source = TerrainSource(path="a.tif", description="Ground of the valley", licence="free to use")
    assert page_of(sources=(source, source)).attribution == (
        "Ground: Ground of the valley, free to use."
    )


def test_imperial_plans_read_square_miles_beside() -> None:
    plan = valley_plan()
    plan = replace(plan, incident=replace(plan.incident, units=Units.IMPERIAL))
    assert page_of(plan).summary.startswith("7 sq mi (19 km²) of")  # 19.2 / 2.59, by hand


def test_the_digest_changes_with_what_is_printed_and_not_with_the_hour() -> None:
    plan = valley_plan()
    same = page_of(plan).imprint.digest
    assert same
    assert page_of(plan).imprint.digest == same
    more = replace(plan, places=plan.places[:-1])
    assert page_of(more).imprint.digest != same
