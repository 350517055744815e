"""The shown path keeps with the selected site."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import Position
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.path_following import path_between, weakest_link
from stories import HALL, HILL, SHED, three_sites


def ends(desk: Desk) -> set[object]:
    assert desk.selection.path is not None
    return {end.site_id for end in desk.selection.path}


def test_a_plan_just_opened_shows_its_worst_site_and_weakest_link(desk: Desk) -> None:
    assert desk.live.current is not None
    assert desk.selection.site_id == desk.live.current.worst_first[0].site_id
    assert desk.selection.site_id in ends(desk)


def test_selecting_another_site_shows_its_weakest_link(desk: Desk, qtbot: QtBot) -> None:
    far = Position(lat_deg=-45.0, lon_deg=-29.90, source="test", uncertainty_m=5.0)
    shed = replace(desk.document.plan.site(SHED), position=far)
    desk.document.edit(desk.document.plan.with_site(shed), "Move away")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    desk.selection.select_path(None)
    desk.selection.select_site(SHED)
    desk.selection.select_path(None)
    desk.selection.select_site(HILL)
    assert ends(desk) == {HILL, SHED}  # the longer of its two links over flat ground


def test_a_path_that_ends_at_the_site_stays(desk: Desk) -> None:
    path = path_between(desk.document.plan, HALL, SHED)
    desk.selection.select_path(path)
    desk.selection.select_site(SHED)
    assert desk.selection.path == path


def test_without_an_assessment_the_first_link_counts_as_weakest() -> None:
    plan = three_sites()
    assert weakest_link(plan, None, HILL) == plan.links[0]
    assert weakest_link(replace(plan, links=()), None, HILL) is None


def test_a_site_without_position_ends_no_path() -> None:
    plan = three_sites()
    lost = replace(plan.site(SHED), position=None)
    assert path_between(plan.with_site(lost), HALL, SHED) is None


def test_a_plan_opened_after_another_begins_with_its_own_worst_site(
    desk: Desk, qtbot: QtBot
) -> None:
    lone = replace(three_sites(), sites=(three_sites().site(SHED),), links=(), needs=())
    with qtbot.waitSignal(desk.following.begun, timeout=20_000):
        desk.session.new(lone)
    assert desk.selection.site_id == SHED
    assert desk.selection.path is None
