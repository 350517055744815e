"""The tutorial plan is what its script makes, and the program finds every mistake in it."""

from __future__ import annotations

import json
import runpy
from functools import cache
from pathlib import Path

import pytest

from guyline.core.plan import Plan
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.opening import DEMO, demo_copy, open_plan
from guyline.services.plan_files import load_plan
from guyline.services.wording import remedy_sentence, sentence

HERE = Path(__file__).parents[1] / "demo_projects" / "first_evening"
PLAN = HERE / "first_evening.plan.json"
MADE = runpy.run_path(str(HERE / "make_plan.py"))
TOLD = json.loads((HERE / "mistakes.json").read_text(encoding="utf-8"))


@cache
def assessor() -> Assessor:
    return Assessor(Terrain.open(MADE["sound_plan"]().terrain_sources, HERE))


def found(plan: Plan) -> set[tuple[str, str]]:
    """What is not GO, but for sites that wait for another to be ready."""
    return {
        (str(finding.site_id), str(finding.code))
        for site in assessor().assess(plan).sites
        for finding in site.findings
        if finding.verdict is not Verdict.GO and finding.code is not FindingCode.REACH
    }


def expected(told: dict) -> set[tuple[str, str]]:
    return {(finding["site"], finding["code"]) for finding in told["findings"]}


def test_the_plan_file_is_what_its_script_makes() -> None:
    assert MADE["plan"]() == load_plan(PLAN)


def test_the_plan_is_go_before_the_mistakes_are_made() -> None:
    judged = assessor().assess(MADE["sound_plan"]())
    assert {site.verdict for site in judged.sites} == {Verdict.GO}
    assert all(need.is_met for need in judged.needs)


def test_every_mistake_that_is_made_is_told_beside_the_plan() -> None:
    assert [told["mistake"] for told in TOLD] == [m.__name__ for m in MADE["MISTAKES"]]
    assert [told["number"] for told in TOLD] == list(range(1, len(TOLD) + 1))
    assert 8 <= len(TOLD) <= 10


@pytest.mark.parametrize("told", TOLD, ids=lambda told: told["mistake"])
def test_each_mistake_alone_is_found_and_nothing_else(told: dict) -> None:
    mistake = next(m for m in MADE["MISTAKES"] if m.__name__ == told["mistake"])
    assert found(mistake(MADE["sound_plan"]())) == expected(told)


def test_all_mistakes_are_found_together_and_nothing_else() -> None:
    opened = open_plan(PLAN)
    assert not opened.terrain.problems
    assert found(opened.plan) == set().union(*map(expected, TOLD))


def test_every_mistake_is_told_with_what_mends_it() -> None:
    wanted = set().union(*map(expected, TOLD))
    for site in assessor().assess(load_plan(PLAN)).sites:
        for finding in site.findings:
            if (str(finding.site_id), str(finding.code)) in wanted:
                assert finding.verdict is Verdict.GO or sentence(finding)
                assert finding.verdict is Verdict.GO or remedy_sentence(finding)


def test_the_demo_that_opens_by_itself_is_the_whole_coast(tmp_path: Path) -> None:
    copied = demo_copy(tmp_path)
    assert copied == tmp_path / DEMO / "ullerby_sound.plan.json"
    assert load_plan(copied).incident.name == "Ullerby winter storm (exercise)"
