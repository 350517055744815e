"""The board says of the deployment what the assessment says, and leads to the sites."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.network.effect import NetworkDay
from guyline.core.plan import Fact, Gate, GateRecord
from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.board import board
from guyline.viewmodels.board_rows import MOST_LINES, BoardSection
from guyline.viewmodels.desk import Desk
from stories import HALL, HILL, SHED


def sections(desk: Desk) -> dict[str, BoardSection]:
    assert desk.live.current is not None
    return {section.title.partition(",")[0]: section for section in board(desk.live.current)}


def test_every_need_stands_on_the_board_with_its_way(desk: Desk) -> None:
    assert desk.live.current is not None
    (row,) = sections(desk)["Needs"].rows
    (need,) = desk.live.current.needs
    assert row.head.startswith(f"{need.need.from_id} to {need.need.to_id}")
    assert (row.verdict is Verdict.GO) == need.is_met


def test_each_site_that_is_not_go_has_its_first_blocker_worst_first(desk: Desk) -> None:
    assert desk.live.current is not None
    expected = [s.site_id for s in desk.live.current.worst_first if s.first_blocker is not None]
    rows = sections(desk)["First blocker of each site"].rows
    assert [row.site_id for row in rows] == expected


def test_a_refused_permission_blocks_and_names_who_mends_it(desk: Desk, qtbot: QtBot) -> None:
    plan = desk.document.plan
    hill = plan.site(HILL)
    owner = GateRecord(gate=Gate.PERMISSION, owner="Access lead")
    others = tuple(r for r in hill.gate_records if r.gate is not Gate.PERMISSION)
    refused = replace(
        hill,
        permission=replace(hill.permission, is_granted=Fact.NO),
        gate_records=(*others, owner),
    )
    desk.document.edit(plan.with_site(refused), "Refuse")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    row = sections(desk)["First blocker of each site"].rows[0]
    assert row.site_id == HILL
    assert row.verdict is Verdict.NO_GO
    assert "Access lead mends it" in row.text


def test_what_gains_most_says_what_to_mend_first(desk: Desk, qtbot: QtBot) -> None:
    plan = desk.document.plan
    hill = plan.site(HILL)
    refused = replace(hill, permission=replace(hill.permission, is_granted=Fact.NO))
    desk.document.edit(plan.with_site(refused), "Refuse")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    (row,) = sections(desk)["What gains most"].rows
    assert row.head == "Make HILL ready"
    assert row.text == ("1 need more: SHED to HALL. First at HILL: get permission from the owner.")
    assert row.site_id == HILL


def test_an_empty_section_says_so(desk: Desk) -> None:
    for section in sections(desk).values():
        assert section.rows or section.empty


def test_a_met_need_tells_how_likely_its_whole_route_works(desk: Desk) -> None:
    assert desk.live.current is not None
    (need,) = desk.live.current.needs
    hops = [link.probability for link in desk.live.current.links]
    # law: hops that fail independently all work with the product of their probabilities
    assert need.probability == pytest.approx(hops[0] * hops[1])
    assert ", works with " in sections(desk)["Needs"].rows[0].text


def test_the_board_tells_traffic_once_packets_are_entered(desk: Desk, qtbot: QtBot) -> None:
    assert sections(desk)["Traffic"].rows == ()
    plan = desk.document.plan
    (need,) = plan.needs
    busy = replace(plan, needs=(replace(need, packets_per_hour=30.0),))
    desk.document.edit(busy, "Enter packets")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    growth, collisions, *sites = sections(desk)["Traffic"].rows
    traffic = desk.live.current.traffic if desk.live.current else None
    assert traffic is not None
    assert traffic.capacity is not None
    assert f"{traffic.capacity.factor:.1f} times" in growth.text
    assert "come through without meeting another" in collisions.text
    assert sites[0].text.startswith("60 packets an hour")  # the relay: 30 each way
    assert {row.site_id for row in sites} == {site.site_id for site in plan.sites}


def test_the_board_tells_the_day_on_which_a_need_is_lost(desk: Desk) -> None:
    current = desk.live.current
    assert current is not None
    whole = NetworkDay(up=(HALL, HILL, SHED), cut_off=(), met=(True,))
    broken = NetworkDay(up=(HALL, SHED), cut_off=(SHED,), met=(False,))
    network = replace(current.network, days=(whole, whole, broken, broken, whole))
    section = next(
        s for s in board(replace(current, network=network)) if s.title.startswith("Day by day")
    )
    assert [(row.head, row.text) for row in section.rows] == [
        ("Day 0: 1 of 1 need met", ""),
        ("Day 2: 0 of 1 need met", "Off the air: HILL; lost: SHED to HALL."),
        ("Day 4: 1 of 1 need met", "Back: HILL; met again: SHED to HALL."),
    ]
    assert section.rows[1].verdict is Verdict.NO_GO
    assert section.rows[1].site_id == HILL


def test_days_of_unknown_power_say_whose(desk: Desk) -> None:
    current = desk.live.current
    assert current is not None
    network = replace(current.network, power_unknown=(HALL,))
    section = next(
        s for s in board(replace(current, network=network)) if s.title.startswith("Day by day")
    )
    assert section.rows[0].text == (
        "Nobody knows how long the power lasts at HALL: counted as off the air."
    )


def test_of_many_blocked_sites_the_worst_are_told_and_the_others_counted(desk: Desk) -> None:
    current = desk.live.current
    assert current is not None
    hall, hill, shed = current.sites
    finding = replace(hill.findings[0], verdict=Verdict.NO_GO)
    blocked = replace(hill, findings=(finding,))
    many = replace(current, sites=(hall, *(blocked,) * (MOST_LINES + 2), shed))
    section = next(s for s in board(many) if s.title == "First blocker of each site")
    assert len(section.rows) == MOST_LINES
    assert section.more == 2
