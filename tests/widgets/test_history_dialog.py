"""What changed since the last save, review or print is seen site by site, and copied."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from conftest import save_and_wait
from guyline.services.plan_files import save_plan
from guyline.services.plan_history import Milestone, kept
from guyline.viewmodels.desk import Desk
from guyline.widgets.history_dialog import HistoryDialog
from stories import HILL, three_sites

Show = Callable[[], HistoryDialog]


def raise_hill(desk: Desk, metres: float) -> None:
    site = replace(desk.document.plan.site(HILL), antenna_agl_m=metres)
    desk.document.edit(desk.document.plan.with_site(site), "Raise")


def settled(desk: Desk, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not desk.history.is_busy, timeout=20_000)


@pytest.fixture
def show(desk: Desk, qtbot: QtBot) -> Show:
    def opened() -> HistoryDialog:
        dialog = HistoryDialog(desk.history, desk.selection)
        qtbot.addWidget(dialog)
        dialog.show()
        settled(desk, qtbot)
        return dialog

    return opened


@pytest.fixture
def saved(desk: Desk, qtbot: QtBot, tmp_path: Path) -> Path:
    path = tmp_path / "flood.plan.json"
    assert save_and_wait(desk, path, qtbot)
    return path


def rows(desk: Desk) -> dict[str, list[tuple[str, str, str]]]:
    model = desk.history.rows
    return {
        model.item(row).text(): [
            tuple(model.item(row).child(n, column).text() for column in range(3))  # type: ignore[misc]
            for n in range(model.item(row).rowCount())
        ]
        for row in range(model.rowCount())
    }


def test_what_is_not_saved_yet_is_shown_value_by_value(
    desk: Desk, saved: Path, show: Show
) -> None:
    raise_hill(desk, 25.0)
    desk.document.edit(replace(desk.document.plan, earth_k=1.0), "Bend")
    dialog = show()
    assert dialog.since.currentText() == "It was saved last"
    assert dialog.told.text() == "2 changes in 2 parts since it was saved last."
    before = three_sites().site(HILL).antenna_agl_m
    assert rows(desk) == {
        "HILL": [("antenna height above ground", f"{before:g} m", "25 m")],
        "Plan": [("effective Earth radius factor", "1.333333333", "1")],
    }
    assert dialog.tree.isExpanded(desk.history.rows.index(0, 0))


def test_changes_are_counted_from_a_review_that_was_marked(
    desk: Desk, saved: Path, show: Show, qtbot: QtBot
) -> None:
    raise_hill(desk, 25.0)
    dialog = show()
    dialog.reviewed.click()
    settled(desk, qtbot)
    assert dialog.notices.text.startswith("Reviewed")
    raise_hill(desk, 30.0)
    dialog = show()
    (row,) = [n for n in range(dialog.since.count()) if "last review" in dialog.since.itemText(n)]
    dialog.since.setCurrentIndex(row)
    dialog.since.activated.emit(row)
    settled(desk, qtbot)
    assert rows(desk)["HILL"] == [("antenna height above ground", "25 m", "30 m")]


def test_a_print_marks_the_state_that_is_on_paper(
    desk: Desk, saved: Path, show: Show, qtbot: QtBot
) -> None:
    desk.document.printed.emit(desk.document.plan)
    settled(desk, qtbot)
    printed = kept(saved, Milestone.PRINTED)
    assert printed is not None
    assert printed.plan == desk.document.plan
    dialog = show()
    assert any("last print" in dialog.since.itemText(n) for n in range(dialog.since.count()))


def test_nothing_changed_is_said_in_words(desk: Desk, saved: Path, show: Show) -> None:
    assert show().told.text() == "Nothing changed since it was saved last."


def test_another_file_is_compared_with(
    desk: Desk, saved: Path, show: Show, qtbot: QtBot, tmp_path: Path
) -> None:
    other = tmp_path / "other.plan.json"
    save_plan(replace(three_sites(), earth_k=1.0), other)
    dialog = show()
    desk.history.compare_with(other)
    settled(desk, qtbot)
    assert dialog.told.text() == "1 change in 1 part since other.plan.json was saved."


def test_a_file_that_is_no_plan_is_refused_in_the_dialog(
    desk: Desk, saved: Path, show: Show, qtbot: QtBot, tmp_path: Path
) -> None:
    other = tmp_path / "other.plan.json"
    other.write_text("{")
    dialog = show()
    desk.history.compare_with(other)
    settled(desk, qtbot)
    assert dialog.notices.text.startswith("other.plan.json is not a whole plan file")
    assert dialog.told.text() == "Not compared."


def test_the_changes_are_copied_as_sentences(desk: Desk, saved: Path, show: Show) -> None:
    raise_hill(desk, 25.0)
    show().copy_button.click()
    told = QGuiApplication.clipboard().text().splitlines()
    assert told[0] == "1 change in 1 part since it was saved last."
    assert told[1].startswith("HILL: antenna height above ground")


def test_enter_on_a_change_shows_its_site(desk: Desk, saved: Path, show: Show) -> None:
    raise_hill(desk, 25.0)
    dialog = show()
    child = desk.history.rows.index(0, 0, desk.history.rows.index(0, 0))
    dialog.tree.setCurrentIndex(child)
    dialog.tree.setFocus()
    QTest.keyClick(dialog.tree, Qt.Key.Key_Return)
    assert desk.selection.site_id == HILL


def test_a_plan_without_a_file_cannot_be_marked_as_reviewed(
    desk: Desk, show: Show, qtbot: QtBot
) -> None:
    dialog = show()
    assert dialog.since.count() == 1
    dialog.reviewed.click()
    assert "has no file yet" in dialog.notices.text


def test_a_site_that_is_gone_is_one_row(desk: Desk, saved: Path, show: Show) -> None:
    desk.document.edit(desk.document.plan.without_sites([HILL]), "Remove")
    show()
    model = desk.history.rows
    assert (model.item(0).text(), model.item(0, 2).text()) == ("HILL", "removed")
    assert model.item(0).rowCount() == 0
