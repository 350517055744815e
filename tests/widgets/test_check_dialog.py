"""What is checked, on screen: every line with its mark in words, leading to where it is open."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.check_list import check_rows
from guyline.viewmodels.desk import Desk
from guyline.widgets.check_dialog import CheckDialog
from guyline.widgets.theme import DARK, LIGHT, Theme
from stories import HILL


@pytest.fixture
def without_key(desk: Desk, qtbot: QtBot) -> Desk:
    plan = desk.document.plan
    hill = plan.site(HILL)
    lost = replace(hill, permission=replace(hill.permission, key_holder=""))
    desk.document.edit(plan.with_site(lost), "Lose the key")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=30_000)
    return desk


def test_a_line_says_how_it_is_met_and_where_it_is_open(without_key: Desk) -> None:
    assert without_key.live.current is not None
    rows = check_rows(without_key.live.current)
    key = rows[9]
    assert key.complaint == "10. gate code unknown, key holder gone"
    assert key.how == "Computed: key holder"
    assert (key.verdict, key.where, key.site_id) == (Verdict.CONDITIONS, "HILL", HILL)
    crew = rows[23]
    assert crew.how.startswith("Asked: Are there two of them at least")
    assert crew.how.endswith("Answered by Duty planner.")
    assert (crew.verdict, crew.where) == (Verdict.GO, "as it should be at 3")
    assert rows[6].verdict is Verdict.NOT_ASSESSED  # nobody has read a radio back
    assert rows[12].how == "Printed on the site sheet"


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_enter_on_a_line_leads_to_the_site(without_key: Desk, qtbot: QtBot, theme: Theme) -> None:
    assert without_key.live.current is not None
    dialog = CheckDialog(without_key.live.current, theme)
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.table.rowCount() == 30
    mark = dialog.table.item(9, 0)
    assert mark is not None
    assert mark.data(Qt.ItemDataRole.AccessibleTextRole) == "GO WITH CONDITIONS"
    dialog.table.setCurrentCell(9, 1)
    with qtbot.waitSignal(dialog.site_chosen) as chosen:
        qtbot.keyClick(dialog.table, Qt.Key.Key_Return)
    assert chosen.args == [HILL]
