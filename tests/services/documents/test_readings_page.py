"""What crews read, held against the plan: the page and the sentence over it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import LinkReading, Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.documents.content import ReadingsPage
from guyline.services.documents.readings_page import agreement_words, readings_page
from guyline.viewmodels.paper.marks import Words
from guyline.viewmodels.paper.page_size import PAGE_SIZES, PageSize
from guyline.viewmodels.paper.pages import pages_of
from sheet_stories import assessed, printing
from stories import three_sites


def read_at(assessment: PlanAssessment, off_db: float) -> tuple[LinkReading, ...]:
    """Every direction of every link, read by so much off its planned level."""
    made = []
    for link in assessment.links:
        ends = (link.link.from_id, link.link.to_id)
        ways = (link.budget.forward, link.budget.backward)
        for (talker, listener), way in zip((ends, ends[::-1]), ways, strict=True):
            level = way.received_dbm + off_db
            made.append(LinkReading(talker_id=talker, listener_id=listener, level_dbm=level))
    return tuple(made)


def with_readings(off_db: float, count: int | None = None) -> Plan:
    plan = three_sites()
    return replace(plan, readings=read_at(assessed(plan), off_db)[:count])


def page_of(plan: Plan) -> ReadingsPage:
    return readings_page(plan, assessed(plan), printing(plan))


def test_nothing_read_is_said_and_every_direction_is_listed_with_its_plan():
    page = page_of(three_sites())
    assert page.summary == f"None of {len(page.lines)} directions has been read yet."
    assert len(page.lines) == 2 * len(three_sites().links)
    assert all(line.low_dbm < line.planned_dbm for line in page.lines)
    assert not any(line.is_read for line in page.lines)


@pytest.mark.parametrize(
    ("off_db", "words"), [(-6.0, "too hopeful"), (6.0, "safe side"), (-2.0, None), (2.0, None)]
)
def test_the_mean_difference_is_told_and_judged_where_it_tells_something(off_db, words):
    summary = page_of(with_readings(off_db)).summary
    side = "weaker" if off_db < 0 else "stronger"
    assert f"{abs(off_db):.1f} dB {side} than planned" in summary
    for judgement in ("too hopeful", "safe side"):
        assert (judgement in summary) is (judgement == words)


def test_few_readings_are_not_judged():
    summary = page_of(with_readings(-20.0, 3)).summary
    assert "20.0 dB weaker" in summary
    assert "hopeful" not in summary


def test_what_fell_shortest_stands_first_and_what_is_unread_last():
    plan = three_sites()
    first, second, *_ = read_at(assessed(plan), 0.0)
    short = replace(second, level_dbm=second.level_dbm - 30.0)
    lines = page_of(replace(plan, readings=(first, short))).lines
    assert (lines[0].talker_id, lines[0].listener_id) == (short.talker_id, short.listener_id)
    assert [line.is_read for line in lines] == sorted((x.is_read for x in lines), reverse=True)


def test_the_digest_changes_with_a_reading():
    assert page_of(with_readings(-1.0)).imprint.digest != page_of(three_sites()).imprint.digest


def test_a_plan_without_links_has_a_page_that_says_so():
    plan = replace(three_sites(), links=())
    assert agreement_words(plan, ()) == "None of 0 directions has been read yet."
    assert page_of(plan).lines == ()


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_every_direction_is_drawn_inside_the_paper(qapp, size: PageSize):
    page = page_of(with_readings(-6.0))
    pages = pages_of(page, size)
    placed = [(at, m) for p in pages for at in p.placed for m in at.block.marks]
    words = [(at, mark) for at, mark in placed if isinstance(mark, Words)]
    told = " ".join(mark.text for _, mark in words)
    assert told.count("read -") == len(page.lines)
    assert "level read" in told
    for at, mark in words:
        assert at.x_mm + mark.x_mm >= 0.0
        assert at.x_mm + mark.x_mm + mark.width_mm <= size.width_mm
        assert at.y_mm + mark.y_mm + mark.height_mm <= size.height_mm


def test_a_strip_shows_where_the_level_lies(qapp):
    """The diamond of a strong reading stands to the right of that of a weak one."""
    from guyline.viewmodels.paper.readings_pages import _scale, _strip

    page = page_of(with_readings(0.0))
    scale = _scale(page.lines, 80.0)
    weak = replace(page.lines[0], level_dbm=page.lines[0].sensitivity_dbm)
    strong = page.lines[0]
    at = [
        _strip(line, scale).marks[-1].path.boundingRect().center().x() for line in (weak, strong)
    ]
    assert at[0] == pytest.approx(scale.x_mm(weak.level_dbm))
    assert at[0] < at[1] <= 80.0
