from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Gate, Plan, PowerSystem
from guyline.core.readiness.finding import Verdict, severity
from guyline.services.documents.choice import (
    LACKING_POWER,
    ON_REQUEST,
    REVIEW,
    choices,
    document,
)
from guyline.services.documents.content import (
    BenchRecords,
    BoxLabels,
    CommsPlan,
    FormsPage,
    PackingList,
    PowerPage,
    ReadingsPage,
    ReviewPage,
    SiteSheet,
    VoiceBrief,
)
from guyline.services.documents.power_page import power_page
from guyline.services.documents.review_page import review_page
from sheet_stories import BARE, assessed, full_plan, printing, sparse_plan
from stories import HALL, HILL, SHED, solar


def dark_hill() -> Plan:
    """The hill with a panel that cannot carry it, the shed with power nobody knows of."""
    plan = full_plan()
    power = solar()
    assert power.battery is not None
    assert power.panel is not None
    weak = replace(
        power,
        battery=replace(power.battery, capacity_wh=10.0),
        panel=replace(power.panel, stc_w=1.0),
    )
    return plan.with_sites(
        [
            replace(plan.site(HILL), power=weak),
            replace(plan.site(SHED), power=PowerSystem()),
        ]
    )


def test_sites_that_lack_power_stand_before_those_nobody_knows_of() -> None:
    plan = dark_hill()
    page = power_page(plan, assessed(plan), printing(plan))
    assert [line.site_id for line in page.lines] == [HILL, SHED]
    known, unknown = page.lines
    assert known.is_known
    assert known.shortfall is not None
    assert known.shortfall.endswith("Wh/day")
    assert not unknown.is_known
    assert (unknown.source, unknown.shortfall, unknown.outage) == (None, None, None)
    assert unknown.missing
    assert known.cures
    assert page.summary == "1 of 3 sites lacks power; of 1 more nobody knows."


def test_the_power_page_of_a_powered_plan_says_so() -> None:
    plan = full_plan()
    page = power_page(plan, assessed(plan), printing(plan))
    assert page.lines == ()
    assert page.summary == "All 3 sites have power for the mission."


def test_the_shortfall_on_paper_is_that_of_the_assessment() -> None:
    plan = dark_hill()
    assessment = assessed(plan)
    shortfall = assessment.site(HILL).power.shortfall_wh_per_day
    assert shortfall is not None
    page = power_page(plan, assessment, printing(plan))
    assert page.lines[0].shortfall == f"{shortfall:.1f} Wh/day"


def test_the_review_lists_every_site_worst_first_with_all_gates() -> None:
    plan = sparse_plan()
    assessment = assessed(plan)
    page = review_page(plan, assessment, printing(plan))
    assert {line.site_id for line in page.lines} == {HALL, BARE}
    ranks = [severity(line.verdict) for line in page.lines]
    assert ranks == sorted(ranks)
    assert page.gates == tuple(str(gate) for gate in Gate)
    for line in page.lines:
        assert len(line.gates) == len(Gate)
        assert bool(line.blocker) is (line.verdict is not Verdict.GO)


def test_the_review_says_which_needs_are_not_met() -> None:
    plan = dark_hill()
    page = review_page(plan, assessed(plan), printing(plan))
    by_lead = {line.lead: line.line for line in page.network}
    assert by_lead["Needs"].startswith("0 of 1 ")
    assert "clinic to hall" in by_lead["Not met"]


def test_documents_come_as_review_power_and_sites_in_the_order_of_the_plan() -> None:
    plan = full_plan()
    assessment = assessed(plan)
    found = choices(assessment)
    assert found[:2] == (REVIEW, LACKING_POWER)
    assert [choice.site_id for choice in found[2:5]] == [HALL, HILL, SHED]
    assert found[5:] == ON_REQUEST
    made = [document(assessment, choice, printing(plan)) for choice in found]
    assert [type(m) for m in made] == [
        ReviewPage,
        PowerPage,
        SiteSheet,
        SiteSheet,
        SiteSheet,
        PackingList,
        BenchRecords,
        CommsPlan,
        VoiceBrief,
        BoxLabels,
        ReadingsPage,
        FormsPage,
    ]
