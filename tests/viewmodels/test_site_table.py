"""The site table model: what it shows, what it takes, in what order."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import Fact, SiteId, Units
from guyline.core.readiness.finding import Verdict
from guyline.errors import GuylineError
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.site_columns import COLUMNS, column_index
from guyline.viewmodels.site_table import NOTE_ROLE, SITE_ROLE, VERDICT_ROLE, SiteFilter
from stories import HALL, HILL, SHED

HEIGHT, NAME, POWER_DBM = map(column_index, ("antenna_agl_m", "name", "radio.tx_power_dbm"))
FATAL = QAbstractItemModelTester.FailureReportingMode.Fatal


def text(desk: Desk, site_id: SiteId, column: int) -> str:
    row = desk.table.row_of(site_id)
    assert row is not None
    return str(desk.table.index(row, column).data())


def test_model_and_filter_keep_every_promise_of_qt(desk: Desk, qtbot: QtBot) -> None:
    table = SiteFilter(desk.table)
    QAbstractItemModelTester(desk.table, FATAL, desk)
    QAbstractItemModelTester(table, FATAL, desk)
    table.look_for("hill")
    desk.document.edit(desk.document.plan.without_sites([SHED]), "Remove")
    desk.document.undo_stack.undo()
    desk.table.edit_many([HALL, HILL], HEIGHT, "9")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    assert table.rowCount() == 1


def test_a_row_shows_verdict_margin_power_and_kit(desk: Desk) -> None:
    cells = {column.key: text(desk, HILL, i) for i, column in enumerate(COLUMNS)}
    assessed = desk.live.current.site(HILL)  # type: ignore[union-attr]  # the desk is assessed
    assert cells["verdict"] == assessed.verdict.value
    assert cells["weakest_link"].startswith(f"+{assessed.weakest_link.margin_db:.1f} dB to ")  # type: ignore[union-attr]
    assert "to day 14" in cells["power"]
    items = len(desk.document.plan.site(HILL).checklist)
    assert cells["kit"] == f"{items} of {items}"
    assert cells["permission"] == "written, to 31 Dec"
    assert cells["antenna_agl_m"] == f"{desk.document.plan.site(HILL).antenna_agl_m:.1f} m"


def test_numbers_stand_to_the_right_and_words_to_the_left(desk: Desk) -> None:
    role = Qt.ItemDataRole.TextAlignmentRole
    assert desk.table.index(0, HEIGHT).data(role) & Qt.AlignmentFlag.AlignRight
    assert desk.table.index(0, NAME).data(role) & Qt.AlignmentFlag.AlignLeft


def test_an_entry_is_one_undoable_step(desk: Desk) -> None:
    before = desk.document.plan
    row = desk.table.row_of(HILL)
    assert desk.table.setData(desk.table.index(row, HEIGHT), "12")
    assert desk.document.plan.site(HILL).antenna_agl_m == 12.0
    assert desk.document.undo_stack.undoText() == "Change antenna height of HILL"
    desk.document.undo_stack.undo()
    assert desk.document.plan is before


def test_an_entry_for_several_sites_is_one_step_too(desk: Desk) -> None:
    assert desk.table.edit_many([HALL, HILL, SHED], POWER_DBM, "10")
    assert {s.radio.tx_power_dbm for s in desk.document.plan.sites} == {10.0}
    assert desk.document.undo_stack.count() == 1


def test_a_wrong_entry_changes_nothing_and_says_why(desk: Desk, qtbot: QtBot) -> None:
    before = desk.document.plan
    with qtbot.waitSignal(desk.table.refused) as refusal:
        assert not desk.table.edit_many([HALL, HILL], HEIGHT, "900")
    assert "outside 0 to 300 m" in str(refusal.args[0])
    assert desk.document.plan is before


def test_what_is_worked_out_cannot_be_entered(desk: Desk) -> None:
    index = desk.table.index(0, 0)
    assert not desk.table.flags(index) & Qt.ItemFlag.ItemIsEditable
    assert not desk.table.setData(index, "GO")


def test_renaming_a_site_renames_it_in_links_and_needs(desk: Desk) -> None:
    assert desk.table.edit_many([HILL], column_index("site_id"), "PEAK")
    plan = desk.document.plan
    assert plan.has_site(SiteId("PEAK"))
    assert all(HILL not in link.ends for link in plan.links)


@pytest.mark.parametrize("name", ["HALL", "  "])
def test_an_identifier_that_is_taken_or_empty_is_refused(
    desk: Desk, qtbot: QtBot, name: str
) -> None:
    with qtbot.waitSignal(desk.table.refused) as refusal:
        assert not desk.table.edit_many([HILL], column_index("site_id"), name)
    assert isinstance(refusal.args[0], GuylineError)
    assert desk.document.plan.has_site(HILL)


def test_the_worst_site_comes_first(desk: Desk, qtbot: QtBot) -> None:
    plan = desk.document.plan
    shed = plan.site(SHED)
    refused = replace(shed, permission=replace(shed.permission, is_granted=Fact.NO))
    desk.document.edit(plan.with_site(refused), "No permission")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    table = SiteFilter(desk.table)
    assert table.index(0, 0).data(SITE_ROLE) == SHED
    assert table.index(0, 0).data(VERDICT_ROLE) == Verdict.NO_GO


def test_numbers_are_sorted_as_numbers(desk: Desk) -> None:
    for site_id, metres in ((HALL, "10"), (HILL, "9"), (SHED, "")):
        desk.table.edit_many([site_id], HEIGHT, metres)
    table = SiteFilter(desk.table)
    table.sort(HEIGHT)
    # unknown first: it needs a person; then 9 before 10, which text would turn round
    assert [table.index(i, 0).data(SITE_ROLE) for i in range(3)] == [SHED, HILL, HALL]


def test_the_filter_keeps_rows_with_every_word_and_ignores_case(desk: Desk) -> None:
    table = SiteFilter(desk.table)
    table.look_for("THE hil")
    assert [table.index(i, 0).data(SITE_ROLE) for i in range(table.rowCount())] == [HILL]
    table.look_for("")
    assert table.rowCount() == 3


def test_the_filter_keeps_the_sites_of_one_verdict(desk: Desk) -> None:
    table = SiteFilter(desk.table)
    table.show_only(Verdict.NO_GO)
    verdicts = [site.verdict for site in desk.live.current.sites]  # type: ignore[union-attr]
    assert table.rowCount() == verdicts.count(Verdict.NO_GO)


def test_a_cell_can_be_heard_with_its_column_value_and_state(desk: Desk) -> None:
    row = desk.table.row_of(HILL)
    spoken = desk.table.index(row, column_index("kit")).data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken == "Kit: 3 of 3, GO"


def test_the_name_stands_as_a_second_line_under_the_identifier(desk: Desk) -> None:
    row = desk.table.row_of(HILL)
    assert desk.table.index(row, 1).data() == "HILL"
    assert desk.table.index(row, 1).data(NOTE_ROLE) == "The hill"


def test_lengths_stand_in_the_units_of_the_plan(desk: Desk) -> None:
    column = column_index("antenna_agl_m")
    row = desk.table.row_of(HILL)
    assert row is not None
    index = desk.table.index(row, column)
    assert index.data() == "10.0 m"
    plan = desk.document.plan
    imperial = replace(plan, incident=replace(plan.incident, units=Units.IMPERIAL))
    desk.document.edit(imperial, "Change units")
    assert index.data() == "32.81 ft"
    assert index.data(Qt.ItemDataRole.EditRole) == "32.81"
    assert desk.table.setData(index, "40")
    assert desk.document.plan.site(HILL).antenna_agl_m == pytest.approx(12.192)  # 40 ft, exact
