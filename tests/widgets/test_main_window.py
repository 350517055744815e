"""The window: every action does something, every input has a name, nothing is lost on closing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QFileDialog,
    QLineEdit,
    QMessageBox,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import BODY_STATE, GEOMETRY, LAYOUT_VERSION, TEXT_POINTS, THEME
from guyline.widgets.actions import ROWS
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts
from guyline.widgets.workspace import LAYOUT
from stories import HALL, HILL, SHED


@pytest.fixture
def window(desk: Desk, qtbot: QtBot, qapp: QApplication) -> Iterator[MainWindow]:
    load_fonts()
    window = MainWindow(desk, CurrentTheme())
    qtbot.addWidget(window, before_close_func=lambda w: desk.document.undo_stack.setClean())
    window.resize(1600, 900)
    window.show()
    yield window
    qapp.setStyleSheet("")


def modified(desk: Desk) -> Desk:
    site = replace(desk.document.plan.site(HILL), antenna_agl_m=11.0)
    desk.document.edit(desk.document.plan.with_site(site), "Raise")
    return desk


def answering(monkeypatch: pytest.MonkeyPatch, answer: QMessageBox.StandardButton) -> list[str]:
    """Let every question be answered so; return what was asked."""
    asked: list[str] = []

    def warning(parent: QWidget, title: str, text: str, *buttons: object) -> object:
        asked.append(text)
        return answer

    monkeypatch.setattr(QMessageBox, "warning", warning)
    return asked


def test_every_row_of_the_menus_has_its_action(window: MainWindow) -> None:
    assert set(window.actions_by_key) == {row.key for row in ROWS}
    assert all(action.isEnabled() or action.text() for action in window.actions_by_key.values())


def test_no_two_actions_share_a_shortcut() -> None:
    shortcuts = [row.shortcut for row in ROWS if row.shortcut]
    assert len(shortcuts) == len(set(shortcuts))


def test_every_input_of_the_window_has_an_accessible_name(window: MainWindow) -> None:
    kinds = (QLineEdit, QComboBox, QPlainTextEdit, QAbstractItemView)
    inputs = [w for w in window.findChildren(QWidget) if isinstance(w, kinds)]
    nameless = [
        f"{type(w).__name__} in {type(w.parent()).__name__}"
        for w in inputs
        if not w.accessibleName() and not _is_inner_part(w)
    ]
    assert inputs
    assert nameless == []


def test_every_button_of_the_window_has_a_text_or_an_accessible_name(window: MainWindow) -> None:
    nameless = [
        f"{type(b).__name__} {b.objectName()} in {type(b.parent()).__name__}"
        for b in window.findChildren(QAbstractButton)
        if not (b.text() or b.accessibleName()) and not _is_inner_part(b) and not b.isHidden()
    ]
    assert nameless == []


def _is_inner_part(widget: QWidget) -> bool:
    """Whether a widget belongs to a larger input, which is the one that is named."""
    parent = widget.parent()
    while parent is not None:
        if isinstance(parent, (QComboBox, QAbstractItemView, QLineEdit)):
            return True
        parent = parent.parent()
    return False


def test_the_title_tells_name_and_unsaved_changes(window: MainWindow, desk: Desk) -> None:
    assert window.windowTitle() == "New plan[*] – Guyline"
    assert not window.isWindowModified()
    modified(desk)
    assert window.isWindowModified()
    desk.document.undo_stack.undo()
    assert not window.isWindowModified()


def test_undo_names_what_it_takes_back(window: MainWindow, desk: Desk) -> None:
    undo = window.actions_by_key["undo"]
    assert isinstance(undo, QAction)
    assert not undo.isEnabled()
    modified(desk)
    assert undo.isEnabled()
    assert undo.text() == "&Undo raise"
    undo.trigger()
    assert not undo.isEnabled()


def test_a_new_site_is_added_selected_and_undone(window: MainWindow, desk: Desk) -> None:
    window.actions_by_key["add_site"].trigger()
    assert len(desk.document.plan.sites) == 4
    assert desk.selection.site_id == desk.document.plan.sites[-1].site_id
    window.actions_by_key["undo"].trigger()
    assert len(desk.document.plan.sites) == 3


def test_removed_sites_go_with_their_links_and_come_back(window: MainWindow, desk: Desk) -> None:
    desk.selection.select_site(HILL)
    before = desk.document.plan
    window.actions_by_key["remove_sites"].trigger()
    assert not desk.document.plan.has_site(HILL)
    assert desk.document.plan.links == ()
    assert "HILL" in window.workspace.notices.text
    window.workspace.notices._do()
    assert desk.document.plan is before


def test_a_duplicate_has_neither_the_radio_nor_the_permission_of_its_model(
    window: MainWindow, desk: Desk
) -> None:
    desk.selection.select_site(HILL)
    window.actions_by_key["duplicate_sites"].trigger()
    copy = desk.document.plan.sites[-1]
    model = desk.document.plan.site(HILL)
    assert copy.antenna == model.antenna
    assert copy.radio.identifier == ""
    assert copy.permission.granted_by == ""


def test_selected_sites_are_linked_once(window: MainWindow, desk: Desk) -> None:
    window.workspace.table.selectAll()
    window.actions_by_key["link_sites"].trigger()
    window.actions_by_key["link_sites"].trigger()
    assert {link.ends for link in desk.document.plan.links} == {
        frozenset(pair) for pair in ((HALL, HILL), (HILL, SHED), (HALL, SHED))
    }


def test_two_selected_sites_become_the_path(window: MainWindow, desk: Desk) -> None:
    table = window.workspace.table
    table.selectAll()
    window.actions_by_key["show_path"].trigger()
    assert "two sites" in window.workspace.notices.text
    desk.selection.select_site(SHED)
    desk.selection.select_path(None)
    desk.selection.select_site(HALL)
    assert desk.selection.path is not None
    assert {end.site_id for end in desk.selection.path} == {HALL, HILL}  # its only link


def test_dark_and_text_size_are_remembered(window: MainWindow, desk: Desk) -> None:
    window.actions_by_key["dark"].trigger()
    window.actions_by_key["larger_text"].trigger()
    assert desk.settings.get(THEME) == "dark"
    assert desk.settings.get(TEXT_POINTS) == TEXT_POINTS.default + 1
    assert window.actions_by_key["dark"].isChecked()
    window.actions_by_key["dark"].trigger()
    assert desk.settings.get(THEME) == "light"


def test_text_stays_within_readable_sizes(window: MainWindow, desk: Desk) -> None:
    window.resize_text(-30.0)
    assert desk.settings.get(TEXT_POINTS) == 7.0
    window.resize_text(+30.0)
    assert desk.settings.get(TEXT_POINTS) == 18.0


def test_closing_asks_only_where_work_would_be_lost(
    window: MainWindow, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = answering(monkeypatch, QMessageBox.StandardButton.Cancel)
    modified(desk)
    assert not window.close()
    assert asked == ["New plan has changes that are not saved."]
    desk.document.undo_stack.undo()
    assert window.close()
    assert len(asked) == 1


def test_closing_can_save_first(
    window: MainWindow, desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    target = tmp_path / "flood.plan.json"
    answering(monkeypatch, QMessageBox.StandardButton.Save)
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *given: (str(target).removesuffix(".plan.json"), "")
    )
    plan = modified(desk).document.plan
    assert not window.close()  # it closes once the plan is in its file
    qtbot.waitUntil(lambda: not window.isVisible(), timeout=20_000)
    assert load_plan(target) == plan


def test_sizes_and_place_are_remembered_on_closing(window: MainWindow, desk: Desk) -> None:
    window.close()
    assert desk.settings.get(LAYOUT_VERSION) == LAYOUT
    assert desk.settings.get(GEOMETRY) != QByteArray()
    assert desk.settings.get(BODY_STATE) != QByteArray()


def test_sizes_of_another_layout_are_forgotten(window: MainWindow, desk: Desk) -> None:
    window.workspace._body.setSizes([900, 200, 200])
    window.workspace.remember(desk.settings)
    kept = window.workspace._body.sizes()
    window.workspace.reset_layout()
    designed = window.workspace._body.sizes()
    assert kept != designed
    window.workspace.restore(desk.settings)
    assert window.workspace._body.sizes() == kept
    desk.settings.put(LAYOUT_VERSION, LAYOUT + 1)
    window.workspace.restore(desk.settings)
    assert window.workspace._body.sizes() == designed


def test_a_wrong_entry_is_told_in_the_bar_with_advice(window: MainWindow, desk: Desk) -> None:
    desk.table.edit_many([HILL], 8, "up")
    assert window.workspace.notices.isVisible()
    assert "'up' is not a number." in window.workspace.notices.text
    window.workspace.notices.setFocus()


def test_the_notice_closes_with_escape(window: MainWindow, qtbot: QtBot) -> None:
    window.workspace.notices.tell("Something.")
    qtbot.keyClick(window.workspace.notices, Qt.Key.Key_Escape)
    assert not window.workspace.notices.isVisible()


def test_a_line_of_the_board_leads_to_the_readiness_of_its_site(
    window: MainWindow, desk: Desk
) -> None:
    side, work = window.workspace.side, window.workspace
    side.turn_to(work.board)
    work.board.site_chosen.emit(SHED)
    assert desk.selection.site_id == SHED
    assert side.is_showing(work.readiness)


def test_what_is_missing_is_one_step_from_where_it_is_entered(
    window: MainWindow, desk: Desk
) -> None:
    side, work = window.workspace.side, window.workspace
    desk.selection.select_site(HILL)
    work.enter_at("power.battery.is_tested")
    assert side.is_showing(work.details)
    work.enter_at("needs")
    assert side.is_showing(work.plan)


def test_the_decision_line_says_what_the_assessment_says(
    window: MainWindow, desk: Desk, qtbot: QtBot
) -> None:
    from guyline.services.wording import decision_line

    desk.live.refresh()
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    assert desk.live.current is not None
    shown = window.workspace.decision.text.replace(" ", "")
    assert shown.startswith(decision_line(desk.live.current).split(".")[0].replace(" ", ""))


def test_the_window_fits_a_small_laptop(window: MainWindow) -> None:
    hint = window.minimumSizeHint()
    assert hint.width() <= 1366
    assert hint.height() <= 768 - 40  # room for a task bar


def test_a_plan_that_was_never_saved_is_offered_after_a_crash(
    window: MainWindow, desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from guyline.services.process import ProcessMark
    from guyline.services.recovery import RecoveryJournal, unsaved_plans

    lost = replace(desk.document.plan, earth_k=1.2)
    RecoveryJournal(None).write(lost)
    monkeypatch.setattr(ProcessMark, "may_run", property(lambda mark: False))  # as after a crash
    window.offer_unnamed()
    assert "never saved" in window.workspace.notices.text
    with qtbot.waitSignal(desk.session.opened, timeout=20_000):
        window.workspace.notices._do()
    qtbot.waitUntil(lambda: desk.document.plan == lost, timeout=20_000)  # read on its own thread
    assert desk.document.is_modified
    monkeypatch.undo()
    assert not unsaved_plans()  # it is this program's own journal now
