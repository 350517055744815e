"""The table on screen: entered by keys, for one row or many, pasted and copied."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from guyline.core.plan import SiteId
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.site_columns import column_index
from guyline.viewmodels.site_table import SITE_ROLE
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.site_table_view import SiteTableView
from guyline.widgets.theme import CurrentTheme
from stories import HALL, HILL, SHED

HEIGHT, FUNCTION = column_index("antenna_agl_m"), column_index("function")
SELECT_ROW = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows


@pytest.fixture
def view(desk: Desk, qtbot: QtBot) -> SiteTableView:
    view = SiteTableView(desk.table, desk.document, desk.selection, CurrentTheme())
    qtbot.addWidget(view)
    view.resize(900, 300)
    view.show()
    return view


def go_to(view: SiteTableView, site_id: SiteId, column: int) -> None:
    for row in range(view.filter.rowCount()):
        if view.filter.index(row, 0).data(SITE_ROLE) == site_id:
            view.setCurrentIndex(view.filter.index(row, column))
            return
    raise KeyError(site_id)


def type_into_cell(view: SiteTableView, qtbot: QtBot, text: str) -> None:
    view.edit_current()
    (editor,) = view.viewport().findChildren(QLineEdit)
    editor.setText(text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: view.state() != view.State.EditingState)


def test_a_height_typed_into_a_cell_goes_into_the_plan(
    view: SiteTableView, desk: Desk, qtbot: QtBot
) -> None:
    go_to(view, HILL, HEIGHT)
    type_into_cell(view, qtbot, "12,5 m")
    assert desk.document.plan.site(HILL).antenna_agl_m == 12.5
    assert desk.document.plan.site(HALL).antenna_agl_m != 12.5


def test_a_height_typed_with_several_rows_selected_goes_to_all_in_one_step(
    view: SiteTableView, desk: Desk, qtbot: QtBot
) -> None:
    go_to(view, HILL, HEIGHT)
    for row in range(view.filter.rowCount()):
        view.selectionModel().select(view.filter.index(row, HEIGHT), SELECT_ROW)
    type_into_cell(view, qtbot, "7")
    assert {site.antenna_agl_m for site in desk.document.plan.sites} == {7.0}
    assert desk.document.undo_stack.count() == 1


def test_a_choice_is_offered_as_a_list_of_the_trade_words(
    view: SiteTableView, desk: Desk, qtbot: QtBot
) -> None:
    go_to(view, SHED, FUNCTION)
    view.edit_current()
    (editor,) = view.viewport().findChildren(ChoiceBox)
    assert [editor.itemText(i) for i in range(editor.count())] == ["end point", "relay", "gateway"]
    editor.setCurrentText("relay")
    editor.activated.emit(editor.currentIndex())
    assert desk.document.plan.site(SHED).function.value == "relay"


def test_selecting_a_row_selects_the_site_for_everybody(view: SiteTableView, desk: Desk) -> None:
    go_to(view, SHED, 0)
    assert desk.selection.site_id == SHED


def test_the_table_follows_a_site_selected_elsewhere(view: SiteTableView, desk: Desk) -> None:
    desk.selection.select_site(HILL)
    assert view.selected_sites == [HILL]


def test_the_selection_survives_a_site_that_is_added(view: SiteTableView, desk: Desk) -> None:
    from guyline.viewmodels.site_edits import with_new_site

    desk.selection.select_site(HILL)
    desk.document.edit(with_new_site(desk.document.plan)[0], "Add")
    assert view.selected_sites == [HILL]


def test_rows_are_pasted_as_one_step_and_told(
    view: SiteTableView, desk: Desk, qtbot: QtBot
) -> None:
    QGuiApplication.clipboard().setText("Site\tAntenna height\nPIER\t5\nHILL\thigh\n")
    with qtbot.waitSignal(view.pasted) as told:
        view.paste()
    assert told.args == [
        "Pasted: 1 new, 0 changed. Left out: Row 3, HILL: 'high' is not a number."
    ]
    assert desk.document.plan.has_site(SiteId("PIER"))
    desk.document.undo_stack.undo()
    assert not desk.document.plan.has_site(SiteId("PIER"))


def test_a_pasted_column_goes_down_from_the_chosen_cell_as_shown(
    view: SiteTableView, desk: Desk
) -> None:
    view.sortByColumn(column_index("site_id"), Qt.SortOrder.DescendingOrder)
    go_to(view, SHED, HEIGHT)
    QGuiApplication.clipboard().setText("1\n2\n3\n")
    view.paste()
    heights = [desk.document.plan.site(s).antenna_agl_m for s in (SHED, HILL, HALL)]
    assert heights == [1.0, 2.0, 3.0]


def test_copied_rows_have_a_row_of_headings(view: SiteTableView) -> None:
    go_to(view, HILL, 0)
    view.copy()
    headings, row = QGuiApplication.clipboard().text().splitlines()
    assert headings.startswith("Site\tFunction\tName\tAntenna height [m]\t")
    assert row.startswith("HILL\trelay\tThe hill\t")


def test_an_entry_that_is_refused_says_why(view: SiteTableView, desk: Desk, qtbot: QtBot) -> None:
    before = desk.document.plan
    go_to(view, HILL, HEIGHT)
    with qtbot.waitSignal(view.refused):
        type_into_cell(view, qtbot, "up")
    assert desk.document.plan is before


def test_a_site_hidden_by_the_filter_is_shown_when_it_is_asked_for(
    view: SiteTableView, desk: Desk
) -> None:
    view.filter.look_for("shed")
    view.show_site(HILL)
    assert view.selected_sites == [HILL]


def test_the_cells_paint_every_column_in_both_states(view: SiteTableView) -> None:
    view.resize(3200, 300)
    go_to(view, HILL, 0)
    assert not view.grab().isNull()
