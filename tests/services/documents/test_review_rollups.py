from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from guyline.core.plan import ChecklistItem, Fact, Plan, StockItem
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.review_page import review_page
from guyline.services.documents.review_rollups import PERMISSION, rollups
from guyline.services.opening import open_plan
from sheet_stories import assessed, full_plan, printing
from stories import HALL, HILL

DEMO = Path(__file__).parents[3] / "demo_projects/ullerby_sound/ullerby_sound.plan.json"


def told(plan: Plan) -> dict[str, str]:
    return {line.lead: line.line for line in rollups(plan, assessed(plan))}


@pytest.fixture(scope="module")
def demo() -> dict[str, str]:
    opened = open_plan(DEMO)
    assessment = opened.assessor.assess(opened.plan)
    return {line.lead: line.line for line in rollups(opened.plan, assessment)}


def test_a_site_that_lacks_power_is_named_with_its_shortfall_and_one_it_is_not_known_of(
    demo: dict[str, str],
) -> None:
    assert "SKARN lacks " in demo["Power"]
    assert "Wh/day (" in demo["Power"]
    assert "STELL not known" in demo["Power"]
    assert "TOWN" not in demo["Power"]


def test_a_weak_link_is_told_in_both_directions_and_with_the_end_that_limits_it(
    demo: dict[str, str],
) -> None:
    assert demo["Links"].startswith("KITE–HOLLOW ")
    assert " dB at KITE, which limits it, " in demo["Links"]
    assert "10 dB are asked for" in demo["Links"]
    assert "margin not known: SHALE–STELL" in demo["Links"]


def test_sites_are_told_by_the_worst_of_a_subject() -> None:
    plan = full_plan()
    plan = plan.with_sites(
        [
            replace(plan.site(s), permission=replace(plan.site(s).permission, is_granted=granted))
            for s, granted in ((HALL, Fact.NO), (HILL, Fact.UNKNOWN))
        ]
    )
    words = told(plan)["Permission"]
    assert f"NO-GO: {HALL}" in words
    assert f"not known: {HILL}" in words
    for site in assessed(plan).sites:
        is_open = any(f.code in PERMISSION and f.verdict is not Verdict.GO for f in site.findings)
        assert is_open is (site.site_id in words)


def test_kit_that_is_short_or_promised_twice_is_counted() -> None:
    plan = full_plan()
    lamp = ChecklistItem(name="Lamp", quantity=3)
    radio = [
        replace(plan.site(s), checklist=(replace(lamp, quantity=n),))
        for s, n in ((HALL, 1), (HILL, 2))
    ]
    plan = replace(plan.with_sites(radio), stock=(StockItem(name="Lamp", quantity=1),))
    assert "2 × Lamp" in told(plan)["Kit"]  # 3 wanted, 1 in the store


def test_a_subject_in_which_nothing_is_open_is_left_out() -> None:
    for line in rollups(full_plan(), assessed(full_plan())):
        assert line.line


def test_an_overdue_owner_is_not_part_of_what_tells_a_changed_page() -> None:
    plan = full_plan()
    first = review_page(plan, assessed(plan), printing(plan))
    later = replace(printing(plan), at=printing(plan).at.replace(year=2027))
    assert review_page(plan, assessed(plan), later).imprint.digest == first.imprint.digest
