"""Two planners' copies come together: contradictions are seen and chosen, in one undoable step."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from guyline.core.plan import Plan, Site, SiteId, StockItem
from guyline.services.plan_files import save_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.plan_merge import SIDE_COLUMN, PlanMerge, Side
from guyline.widgets.merge_dialog import MergeDialog
from stories import HALL, HILL, SHED, complete_site, three_sites

BARN = SiteId("BARN")


def with_height(plan: Plan, site_id: SiteId, agl_m: float) -> Plan:
    return plan.with_site(replace(plan.site(site_id), antenna_agl_m=agl_m))


@pytest.fixture
def base_path(tmp_path: Path) -> Path:
    path = tmp_path / "earlier.plan.json"
    save_plan(three_sites(), path)
    return path


def opened(desk: Desk, qtbot: QtBot, tmp_path: Path, ours: Plan, theirs: Plan) -> MergeDialog:
    path = tmp_path / "theirs.plan.json"
    save_plan(theirs, path)
    desk.document.open(ours)
    dialog = MergeDialog(PlanMerge(path, desk.document))
    qtbot.addWidget(dialog)
    dialog.show()
    settled(dialog, qtbot)
    return dialog


def settled(dialog: MergeDialog, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not dialog.merge.is_busy, timeout=10_000)


def shown(dialog: MergeDialog, row: int, column: int) -> str:
    return str(dialog.merge.index(row, column).data())


def test_what_only_the_other_added_comes_in(desk: Desk, qtbot: QtBot, tmp_path: Path) -> None:
    ours = three_sites()
    barn = complete_site(BARN, -45.01, -29.97)
    dialog = opened(desk, qtbot, tmp_path, ours, ours.adding_site(barn))
    assert dialog.coming.toPlainText() == "BARN added."
    assert dialog.merge.rowCount() == 0
    dialog.take.click()
    assert desk.document.plan.site(BARN) == barn
    assert desk.document.undo_stack.count() == 1
    desk.document.undo_stack.undo()
    assert desk.document.plan == ours


def test_a_contradiction_keeps_ours_until_theirs_is_chosen(
    desk: Desk, qtbot: QtBot, tmp_path: Path, base_path: Path
) -> None:
    base = three_sites()
    theirs = with_height(with_height(base, HALL, 17.0), SHED, 4.0)
    dialog = opened(desk, qtbot, tmp_path, with_height(base, HALL, 12.0), theirs)
    dialog.use_base(base_path)
    settled(dialog, qtbot)
    assert dialog.merge.rowCount() == 1
    assert "HALL" in shown(dialog, 0, 0)
    assert "12" in shown(dialog, 0, 1)
    assert "17" in shown(dialog, 0, 2)
    assert shown(dialog, 0, SIDE_COLUMN) == Side.HERE.value
    assert dialog.merge.plan.site(HALL).antenna_agl_m == 12.0
    qtbot.keyClick(dialog.table, Qt.Key.Key_Space)
    assert shown(dialog, 0, SIDE_COLUMN) == Side.THERE.value
    dialog.take.click()
    assert desk.document.plan.site(HALL).antenna_agl_m == 17.0
    assert desk.document.plan.site(SHED).antenna_agl_m == 4.0  # only they changed it
    assert desk.document.undo_stack.count() == 1


def test_a_site_that_one_removed_and_the_other_changed_is_a_choice(
    desk: Desk, qtbot: QtBot, tmp_path: Path, base_path: Path
) -> None:
    base = three_sites()
    dialog = opened(
        desk, qtbot, tmp_path, base.without_sites([HILL]), with_height(base, HILL, 15.0)
    )
    dialog.use_base(base_path)
    settled(dialog, qtbot)
    row = next(i for i, c in enumerate(dialog.merge.conflicts) if isinstance(c.taken, Site))
    assert shown(dialog, row, 1) == "removed"
    assert dialog.merge.plan.has_site(HILL)
    dialog.here.click()
    assert not dialog.merge.plan.has_site(HILL)
    dialog.there.click()
    assert dialog.merge.plan.site(HILL).antenna_agl_m == 15.0


def test_the_same_plan_brings_nothing(desk: Desk, qtbot: QtBot, tmp_path: Path) -> None:
    dialog = opened(desk, qtbot, tmp_path, three_sites(), three_sites())
    assert dialog.coming.toPlainText() == "Nothing that is not here already."
    assert not dialog.take.isEnabled()


def test_a_file_that_is_no_plan_is_told_and_changes_nothing(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "broken.plan.json"
    path.write_text("{")
    before = desk.document.plan
    dialog = MergeDialog(PlanMerge(path, desk.document))
    qtbot.addWidget(dialog)
    settled(dialog, qtbot)
    assert "broken.plan.json" in dialog.notices.text
    assert not dialog.take.isEnabled()
    assert desk.document.plan is before


def test_the_rows_follow_the_rules_of_item_models(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    ours = with_height(three_sites(), HALL, 12.0)
    path = tmp_path / "theirs.plan.json"
    save_plan(with_height(three_sites(), HALL, 17.0), path)
    desk.document.open(ours)
    merge = PlanMerge(path, desk.document)
    QAbstractItemModelTester(merge, QAbstractItemModelTester.FailureReportingMode.Fatal, merge)
    with qtbot.waitSignal(merge.compared, timeout=10_000):
        merge.start()
    merge.choose_all(Side.THERE)
    assert merge.plan.site(HALL).antenna_agl_m == 17.0
    qtbot.waitUntil(lambda: not merge.is_busy, timeout=10_000)


def test_a_removed_site_takes_its_links_along_and_a_kept_link_keeps_its_site(
    desk: Desk, qtbot: QtBot, tmp_path: Path, base_path: Path
) -> None:
    base = three_sites()
    ours = with_height(base, HILL, 9.0)
    dialog = opened(desk, qtbot, tmp_path, ours, base.without_sites([HILL]))
    dialog.use_base(base_path)
    settled(dialog, qtbot)
    merge = dialog.merge
    places = [shown(dialog, row, 0) for row in range(merge.rowCount())]
    assert places[0] == "HILL"
    link = places.index("link HALL - HILL")
    assert (shown(dialog, link, 1), shown(dialog, link, 2)) == ("kept", "removed")
    assert set(merge.plan.links) == set(base.links)

    merge.choose([0], Side.THERE)
    assert {merge.side(row) for row in range(merge.rowCount())} == {Side.THERE}
    assert not merge.plan.has_site(HILL)

    merge.choose([link], Side.HERE)
    assert merge.side(0) is Side.HERE
    assert merge.plan.site(HILL) == ours.site(HILL)
    assert [set(link.ends) for link in merge.plan.links if HILL in link.ends] == [{"HALL", "HILL"}]
    dialog.take.click()
    assert desk.document.plan.has_site(HILL)
    desk.document.undo_stack.undo()
    assert desk.document.plan == ours


def test_what_was_promised_to_a_site_that_is_kept_stays_promised_unless_chosen_otherwise(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    base = replace(three_sites(), stock=(StockItem(name="Mast", assigned_to=HILL),))
    path = tmp_path / "earlier.plan.json"
    save_plan(base, path)
    dialog = opened(
        desk, qtbot, tmp_path, base.without_sites([HILL]), with_height(base, HILL, 9.0)
    )
    dialog.use_base(path)
    settled(dialog, qtbot)
    assert dialog.merge.plan.stock == base.stock
    dialog.here.click()
    assert not dialog.merge.plan.has_site(HILL)
    assert dialog.merge.plan.stock[0].assigned_to is None
