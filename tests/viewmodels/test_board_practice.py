"""The practice plan leads from mistake to mistake, and tells each story once it is mended."""

from __future__ import annotations

import json
import runpy
from functools import cache
from pathlib import Path

import pytest

from guyline.core.plan import Plan
from guyline.core.readiness.finding import Verdict
from guyline.errors import PlanFileError
from guyline.services.opening import open_plan
from guyline.services.practice import PRACTICE, lessons_beside, practice_copy
from guyline.viewmodels.board_practice import practice_section
from guyline.viewmodels.board_rows import BoardSection

HERE = Path(__file__).parents[2] / "demo_projects" / PRACTICE
LESSONS = lessons_beside(HERE / "first_evening.plan.json")
MADE = runpy.run_path(str(HERE / "make_plan.py"))


@cache
def opened():
    return open_plan(HERE / "first_evening.plan.json")


def section(plan: Plan) -> BoardSection:
    (found,) = practice_section(opened().assessor.assess(plan), LESSONS)
    return found


def test_each_open_mistake_says_where_to_look_and_leads_there_but_not_what_it_is() -> None:
    practice = section(opened().plan)
    assert practice.title == f"Practice: 0 of {len(LESSONS)} mistakes mended"
    assert len(practice.rows) == len(LESSONS) == 10
    for row, lesson in zip(practice.rows, LESSONS, strict=True):
        sites = {site_id for site_id, _ in lesson.found}
        assert row.site_id in sites
        assert all(site_id in row.head for site_id in sites)
        assert lesson.story not in row.text
        assert lesson.mend not in row.text


def test_a_mended_mistake_tells_its_story_below_the_open_ones() -> None:
    first = MADE["MISTAKES"][0]
    plan = MADE["sound_plan"]()
    for mistake in MADE["MISTAKES"]:
        plan = plan if mistake is first else mistake(plan)
    practice = section(plan)
    assert practice.title.startswith("Practice: 1 of 10")
    assert practice.rows[-1].verdict is Verdict.GO
    assert practice.rows[-1].text == LESSONS[0].story


def test_when_all_are_mended_the_board_says_so() -> None:
    practice = section(MADE["sound_plan"]())
    assert practice.title.startswith("Practice: 10 of 10")
    assert practice.rows[0].head == "Well done"
    assert {row.text for row in practice.rows[1:]} == {lesson.story for lesson in LESSONS}


def test_a_plan_without_lessons_has_no_practice(tmp_path: Path) -> None:
    assert lessons_beside(tmp_path / "storm.plan.json") == ()
    assert practice_section(opened().assessor.assess(opened().plan), ()) == ()


@pytest.mark.parametrize("text", ["{", "[1]", '[{"number": 1}]', "null", json.dumps({"a": 1})])
def test_a_file_of_that_name_that_is_something_else_is_left_alone(
    tmp_path: Path, text: str
) -> None:
    (tmp_path / "mistakes.json").write_text(text, encoding="utf-8")
    assert lessons_beside(tmp_path / "storm.plan.json") == ()


def test_the_copy_stands_on_its_ground_and_keeps_what_was_done_to_it(tmp_path: Path) -> None:
    path = practice_copy(tmp_path)
    copy = open_plan(path)
    assert copy.problems == ()
    assert lessons_beside(path) == LESSONS
    path.write_text("mine", encoding="utf-8")
    assert practice_copy(tmp_path).read_text(encoding="utf-8") == "mine"


def test_a_folder_that_cannot_be_written_is_refused_with_advice(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    with pytest.raises(PlanFileError):
        practice_copy(blocked)
