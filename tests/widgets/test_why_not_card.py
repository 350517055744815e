"""What makes a site GO: asked by a button, worked out apart, done in one step, undone by undo."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import ItemState, Permission, Plan
from guyline.core.readiness.finding import Verdict
from guyline.services.assessment import Assessor
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.entries import Entry
from guyline.widgets.theme import CurrentTheme
from guyline.widgets.why_not_card import WhyNotCard
from stories import HALL, SHED, DrawnTerrain

LONG_MS = 60_000


@pytest.fixture
def card(desk: Desk, qtbot: QtBot) -> WhyNotCard:
    desk.why_not.use(Assessor(DrawnTerrain()))  # type: ignore[arg-type]  # stands for Terrain
    card = WhyNotCard(desk.why_not, CurrentTheme())
    qtbot.addWidget(card)
    return card


def spoil(desk: Desk, qtbot: QtBot) -> Plan:
    """Let the shed radiate too much, and lack permission and a critical item."""
    site = desk.document.plan.site(SHED)
    needed = tuple(replace(item, state=ItemState.NEEDED) for item in site.checklist[:1])
    spoilt = replace(
        site,
        radio=replace(site.radio, tx_power_dbm=30.0),
        permission=Permission(),
        checklist=(*needed, *site.checklist[1:]),
    )
    desk.document.edit(desk.document.plan.with_site(spoilt), "Spoil")
    desk.selection.select_site(SHED)
    settle(desk, qtbot)
    return desk.document.plan


def settle(desk: Desk, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)


def ask(card: WhyNotCard, desk: Desk, qtbot: QtBot) -> None:
    card.ask.click()
    assert desk.why_not.is_working
    qtbot.waitUntil(lambda: not desk.why_not.is_working, timeout=LONG_MS)


def texts(card: WhyNotCard) -> str:
    return " ".join(label.text() for label in card._list.findChildren(QLabel))


def test_a_site_that_is_go_is_not_asked_what_makes_it_go(card: WhyNotCard, desk: Desk) -> None:
    desk.selection.select_site(HALL)
    assert desk.live.current is not None
    assert desk.live.current.site(HALL).verdict is Verdict.GO
    assert card.isHidden()


def test_the_card_lists_the_mendings_and_says_who_sees_to_them(
    card: WhyNotCard, desk: Desk, qtbot: QtBot
) -> None:
    spoil(desk, qtbot)
    assert not card.isHidden()
    ask(card, desk, qtbot)
    assert card._headline.text() == "SHED is GO after 4 mendings."
    assert "Set transmit power to" in texts(card)
    assert "Get permission from the owner." in texts(card)
    assert "Nobody has taken charge of it yet." in texts(card)


def test_what_the_plan_can_do_itself_is_one_step_that_undo_takes_back(
    card: WhyNotCard, desk: Desk, qtbot: QtBot
) -> None:
    before = spoil(desk, qtbot)
    ask(card, desk, qtbot)
    card.do_all.click()
    assert desk.document.plan != before
    assert desk.document.undo_stack.undoText().startswith("SHED: ")
    settle(desk, qtbot)
    assert card._headline.text() == "SHED is GO after 3 mendings."
    assert "Done: Set transmit power" in texts(card)
    assert not card._outdated.isHidden()
    desk.document.undo_stack.undo()
    assert desk.document.plan is before


def test_doing_all_that_is_listed_makes_the_site_go(
    card: WhyNotCard, desk: Desk, qtbot: QtBot
) -> None:
    sound = desk.document.plan.site(SHED)
    spoil(desk, qtbot)
    ask(card, desk, qtbot)
    card.do_all.click()
    site = desk.document.plan.site(SHED)
    bare = replace(sound.permission, key_holder="")
    asked = replace(site, permission=bare, checklist=sound.checklist)
    desk.document.edit(desk.document.plan.with_site(asked), "Mend by hand")
    settle(desk, qtbot)
    assert card._headline.text() == "SHED is GO after 1 mending."  # the key came to light
    mended = replace(asked, permission=sound.permission)
    desk.document.edit(desk.document.plan.with_site(mended), "Name the key holder")
    settle(desk, qtbot)
    assert card._headline.text() == "All 4 mendings are done."
    assert desk.live.current is not None
    assert desk.live.current.site(SHED).verdict is Verdict.GO


def test_each_mending_of_people_leads_to_where_it_is_answered(
    card: WhyNotCard, desk: Desk, qtbot: QtBot
) -> None:
    spoil(desk, qtbot)
    ask(card, desk, qtbot)
    named = {button.accessibleName(): button for button in card._list.findChildren(QPushButton)}
    with qtbot.waitSignal(card.entry_wanted) as wanted:
        named["Enter: Get permission from the owner."].click()
    assert wanted.args == [Entry(path="permission.is_granted", site_id=SHED)]


def test_a_search_that_is_stopped_finds_nothing(
    card: WhyNotCard, desk: Desk, qtbot: QtBot
) -> None:
    spoil(desk, qtbot)
    card.ask.click()
    card.stop.click()
    assert not desk.why_not.is_working
    assert desk.why_not.mending is None
    assert not card.ask.isHidden()


def test_another_site_takes_the_answer_away(card: WhyNotCard, desk: Desk, qtbot: QtBot) -> None:
    spoil(desk, qtbot)
    ask(card, desk, qtbot)
    desk.selection.select_site(HALL)
    assert desk.why_not.mending is None
    assert card.isHidden()
