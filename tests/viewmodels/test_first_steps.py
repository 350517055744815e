"""What a beginner is told to do first, and where each step leads."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import (
    Antenna,
    Fact,
    Incident,
    Permission,
    Plan,
    PowerSystem,
    Site,
    SiteId,
    TerrainSource,
)
from guyline.viewmodels.board import board
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.entries import Entry
from guyline.viewmodels.first_steps import Step, first_steps
from guyline.viewmodels.plan_fields import PLAN_GROUPS
from guyline.viewmodels.record_lists import PLAN_LISTS, SITE_LISTS
from guyline.viewmodels.site_fields import SITE_FIELDS
from guyline.widgets.actions import ROWS
from stories import three_sites


def complete() -> Plan:
    return replace(three_sites(), terrain_sources=(TerrainSource(path="a.tif"),))


def step(plan: Plan, head: str) -> Step:
    return next(found for found in first_steps(plan) if found.head == head)


def test_an_empty_plan_has_all_steps_before_it() -> None:
    assert not any(found.is_done for found in first_steps(Plan()))


def test_a_complete_plan_has_none_left() -> None:
    assert all(found.is_done for found in first_steps(complete()))


@pytest.mark.parametrize(
    ("head", "undo"),
    [
        ("Say when and for how long", {"incident": Incident()}),
        ("Get the ground", {"terrain_sources": ()}),
        ("Say who must reach whom", {"needs": ()}),
        ("List the links to prove", {"links": ()}),
        ("Enter the radio rule", {"radio_rule": None}),
    ],
)
def test_what_the_plan_lacks_is_the_only_step_left(head: str, undo: dict[str, object]) -> None:
    lacking = replace(complete(), **undo)  # type: ignore[arg-type]
    assert [found.head for found in first_steps(lacking) if not found.is_done] == [head]


@pytest.mark.parametrize(
    ("head", "undo", "path"),
    [
        ("Choose radio, antenna and feeder", {"antenna": Antenna()}, "antenna"),
        ("Choose radio, antenna and feeder", {"antenna_agl_m": None}, "antenna_agl_m"),
        ("Say how each site is fed", {"power": PowerSystem()}, "power.source"),
        ("List the kit", {"checklist": ()}, "checklist"),
        ("Write down who said yes", {"permission": Permission()}, "permission.is_granted"),
        ("Write down who said yes", {"gate_records": ()}, "gate_records"),
    ],
)
def test_what_most_sites_lack_leads_to_the_first_of_them(
    head: str, undo: dict[str, object], path: str
) -> None:
    plan = complete()
    lacking = plan.with_sites(replace(site, **undo) for site in plan.sites[1:])  # type: ignore[arg-type]
    found = step(lacking, head)
    assert not found.is_done
    assert found.entry == Entry(path=path, site_id=plan.sites[1].site_id)
    assert f"Still open: {plan.sites[1].site_id}, {plan.sites[2].site_id}." in found.text


def test_what_one_site_of_three_lacks_is_no_first_step() -> None:
    plan = complete()
    one = replace(plan.sites[0], permission=Permission(is_granted=Fact.UNKNOWN))
    assert all(found.is_done for found in first_steps(plan.with_site(one)))


@pytest.mark.parametrize("plan", [Plan(), Plan(sites=(Site(site_id=SiteId("A")),))])
def test_every_step_leads_somewhere_that_is_there(plan: Plan) -> None:
    lists = {kind.path for kind in (*SITE_LISTS, *PLAN_LISTS)}
    fields = {field.path for group in PLAN_GROUPS for field in group.fields} | set(SITE_FIELDS)
    for found in first_steps(plan):
        if found.entry is not None:
            assert found.entry.path in lists | fields
        else:
            assert found.action in {row.key for row in ROWS}


def test_the_board_begins_with_the_steps_and_drops_them_when_all_are_done(desk: Desk) -> None:
    current = desk.live.current
    assert current is not None
    sections = board(current)
    assert sections[0].title == "First steps, 9 of 10 done"  # drawn ground is no file
    assert [row.head for row in sections[0].rows] == ["3. Get the ground"]
    rest = board(replace(current, plan=complete()))
    assert rest == sections[1:]
