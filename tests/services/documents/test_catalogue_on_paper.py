"""What the catalogue of complaints leaves to paper is on paper."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.readiness.check_catalogue import CHECK_CATALOGUE, Elsewhere
from guyline.services.documents.review_page import review_page
from guyline.services.documents.site_sheet import site_sheet
from sheet_stories import assessed, full_plan, printing
from stories import HILL, three_sites


def numbers(where: Elsewhere) -> set[int]:
    return {check.number for check in CHECK_CATALOGUE if check.elsewhere is where}


def test_the_sheet_has_true_and_magnetic_bearings_and_the_antenna_before_power() -> None:
    assert numbers(Elsewhere.SITE_SHEET) == {4, 13}
    plan = full_plan()
    sheet = site_sheet(plan, assessed(plan), HILL, printing(plan))
    bearings = [link.bearing or "" for link in sheet.links]
    assert bearings
    assert all(" T" in bearing and " M" in bearing for bearing in bearings)
    antenna = next(n for n, step in enumerate(sheet.steps) if "Antenna connected" in step)
    power = next(n for n, step in enumerate(sheet.steps) if "fuse in" in step)
    assert antenna < power


def test_the_review_names_weak_spots() -> None:
    assert numbers(Elsewhere.WEAK_SPOTS) == {23}
    plan = three_sites()
    judged = assessed(plan)
    told = [line.line for line in review_page(plan, judged, printing(plan)).network]
    for spot in judged.network.weak_spots:
        assert any(spot.site_id in line for line in told)
    assert judged.network.weak_spots


def test_a_sheet_that_went_out_of_date_has_another_digest() -> None:
    assert numbers(Elsewhere.REPRINT) == {25}
    plan = full_plan()
    changed = plan.with_site(replace(plan.site(HILL), access="The ford is flooded."))
    digests = [
        site_sheet(p, assessed(p), HILL, printing(p)).imprint.digest for p in (plan, changed)
    ]
    assert digests[0] != digests[1]
