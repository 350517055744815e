"""A planner begins with nothing, pastes a table, links it, and sees what is still missing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from conftest import is_settled, save_and_wait
from guyline.core.plan import Fact, SiteId
from guyline.core.readiness.finding import Verdict
from guyline.services.opening import demo_copy
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.viewmodels.site_columns import column_index
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

HALL, HILL = SiteId("HALL"), SiteId("HILL")
TABLE = """\
Identifier\tName\tFunction\tLatitude\tLongitude\tAntenna height\tRadio\tAntenna\tPower source
HALL\tOld hall\tgateway\t-46.10\t-128.95\t6\tpocket-14dbm\tomni-3\tmains
HILL\tBare hill\trelay\t-46.08\t-128.90\t4\trelay-low-power\tomni-5\tsolar
"""
LONG_MS = 90_000  # the loops of the power simulation may have to be compiled first


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    desk = Desk(Settings(store))
    window = MainWindow(desk, CurrentTheme())
    qtbot.addWidget(window, before_close_func=lambda w: desk.document.undo_stack.setClean())
    window.resize(1366, 768)
    window.show()
    yield window
    qapp.setStyleSheet("")


def settle(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)


def paste_table(window: MainWindow) -> None:
    QGuiApplication.clipboard().setText(TABLE)
    window.actions_by_key["paste"].trigger()


def verdict_of(window: MainWindow, site_id: SiteId) -> Verdict:
    assert window.desk.live.current is not None
    return window.desk.live.current.site(site_id).verdict


def test_from_an_empty_plan_to_a_saved_one_that_says_what_is_missing(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    desk, work = window.desk, window.workspace
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.actions_by_key["new"].trigger()
    settle(qtbot, window)
    assert "No sites yet" in work.decision.text

    paste_table(window)
    assert "2 new" in work.notices.text
    hall = desk.document.plan.site(HALL)
    assert (hall.name, hall.function.value, hall.antenna_agl_m) == ("Old hall", "gateway", 6.0)
    assert hall.antenna.gain_dbi == 3.0  # what the catalogue says of that antenna
    assert desk.document.plan.site(HILL).radio.tx_power_dbm is not None

    work.table.selectAll()
    window.actions_by_key["link_sites"].trigger()
    settle(qtbot, window)
    assert verdict_of(window, HALL) is not Verdict.GO  # no elevation: unknown is never GO
    assert desk.selection.path is not None or desk.selection.site_id is not None

    path = tmp_path / "storm.plan.json"
    assert save_and_wait(desk, path, qtbot)
    assert window.windowTitle().startswith("storm")
    assert load_plan(path) == desk.document.plan


def test_undoing_everything_gives_back_the_very_plan_that_was_open(
    window: MainWindow, qtbot: QtBot
) -> None:
    desk = window.desk
    before = desk.document.plan
    paste_table(window)
    window.workspace.table.selectAll()
    window.actions_by_key["link_sites"].trigger()
    window.actions_by_key["add_site"].trigger()
    while desk.document.undo_stack.canUndo():
        window.actions_by_key["undo"].trigger()
    assert desk.document.plan is before
    settle(qtbot, window)


def test_a_permission_that_arrives_is_entered_in_the_table_and_changes_the_verdict(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    desk = window.desk
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.open_path(demo_copy(tmp_path))
    settle(qtbot, window)
    assert desk.live.current is not None
    asking = next(
        site.site_id
        for site in desk.document.plan.sites
        if site.permission.is_granted is Fact.UNKNOWN
    )
    before = desk.live.current.site(asking)
    row = desk.table.row_of(asking)
    index = desk.table.index(row, column_index("permission.is_granted"))
    assert desk.table.setData(index, "yes")
    settle(qtbot, window)
    after = desk.live.current.site(asking)

    def open_questions(findings: object) -> int:
        return sum(f.verdict is Verdict.NOT_ASSESSED for f in findings)  # type: ignore[attr-defined]

    assert open_questions(after.findings) < open_questions(before.findings)
    window.actions_by_key["undo"].trigger()
    settle(qtbot, window)
    assert desk.live.current.site(asking).verdict is before.verdict
