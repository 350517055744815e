"""A beginner opens the practice plan, is led to a mistake, mends it, and reads its story."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import platformdirs
import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import SiteId
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.viewmodels.site_columns import column_index
from guyline.widgets.board_panel import BoardLine
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

LONG_MS = 120_000  # the loops of the power simulation may have to be compiled first
PORT = SiteId("PORT")


@pytest.fixture
def window(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MainWindow]:
    monkeypatch.setattr(platformdirs, "user_documents_dir", lambda: str(tmp_path))
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    desk = Desk(Settings(store))
    window = MainWindow(desk, CurrentTheme())
    qtbot.addWidget(window, before_close_func=lambda w: desk.document.undo_stack.setClean())
    window.show()
    yield window
    qapp.setStyleSheet("")


def settle(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)


def board_texts(window: MainWindow) -> list[str]:
    return [label.text() for label in window.workspace.board.widget().findChildren(QLabel)]


def test_the_board_leads_to_a_mistake_and_tells_its_story_once_it_is_mended(
    window: MainWindow, qtbot: QtBot
) -> None:
    desk, work = window.desk, window.workspace
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.actions_by_key["open_practice"].trigger()
    settle(qtbot, window)
    assert "Practice: 0 of 10 mistakes mended" in board_texts(window)

    lines = work.board.widget().findChildren(BoardLine)
    antenna = next(line for line in lines if line._row.head == "4. Something is wrong at PORT")
    qtbot.keyClick(antenna, Qt.Key.Key_Return)
    assert desk.selection.site_id == PORT
    assert work.side.is_showing(work.readiness)
    asked = next(s for s in desk.readiness.strips if s.title.startswith("Frequency against"))
    assert asked.entry is not None
    work.enter(asked.entry)
    assert work.side.is_showing(work.details)

    row = desk.table.row_of(PORT)
    index = desk.table.index(row, column_index("antenna"))
    assert desk.table.setData(index, "Outdoor vertical, 3 dBi")
    settle(qtbot, window)
    assert "Practice: 1 of 10 mistakes mended" in board_texts(window)
    assert any("433 MHz" in text for text in board_texts(window))
