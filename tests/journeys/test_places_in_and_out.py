"""A planner without a network gets a list of places onto the map, and out again to the crew."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QSettings, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import Plan, SiteId
from guyline.services.interchange import FORMATS
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.widgets.import_dialog import ImportDialog
from guyline.widgets.main_window import MainWindow
from guyline.widgets.terrain_dialog import TerrainDialog
from guyline.widgets.theme import CurrentTheme, load_fonts

LONG_MS = 60_000  # the loops of the power simulation may have to be compiled first
WRITTEN = [ending for ending, kind in FORMATS.items() if kind.written]
LIST = """\
Harbour hall: 45 00.0 S 30 00.0 W
Old mill 45.0100° S 29.9700° W
North barn geo:-45.0200,-29.9500
read it again tomorrow
"""


class NetworkDeniedError(OSError):
    """Somebody asked for the network."""


@pytest.fixture(autouse=True)
def asked(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Deny the network to everything, and return who asked for it."""
    asked: list[object] = []

    def refuse(*arguments: object, **more: object) -> None:
        asked.append(arguments)
        raise NetworkDeniedError("no network")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket.socket, "connect_ex", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    return asked


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Desk(Settings(store)), CurrentTheme())
    stack = window.desk.document.undo_stack
    qtbot.addWidget(window, before_close_func=lambda w: stack.setClean())  # it would ask
    window.resize(1366, 768)
    window.show()
    yield window
    qapp.setStyleSheet("")


def looked_at(qtbot: QtBot, window: MainWindow) -> ImportDialog:
    """Return the preview that is open, once it was read."""
    qtbot.waitUntil(lambda: _previews(window) != [], timeout=LONG_MS)
    (dialog,) = _previews(window)
    qtbot.waitUntil(lambda: not dialog.places.is_busy, timeout=LONG_MS)
    return dialog


def _previews(window: MainWindow) -> list[ImportDialog]:
    return [d for d in window.findChildren(ImportDialog) if d.isVisible()]


def names(plan: Plan) -> list[str]:
    return [site.name for site in plan.sites]


def on_map(window: MainWindow, qtbot: QtBot) -> int:
    """Return how many sites the map has to draw."""
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)
    return len(window.workspace.ground.model.marks)


def pasted_list(qtbot: QtBot, window: MainWindow) -> None:
    QGuiApplication.clipboard().setText(LIST)
    window.actions_by_key["paste_places"].trigger()
    dialog = looked_at(qtbot, window)
    assert "Line 4" in dialog.problems.text()
    dialog.take.click()


def test_from_a_pasted_list_to_files_for_the_crew_and_back(
    qtbot: QtBot,
    window: MainWindow,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    asked: list[object],
) -> None:
    desk = window.desk

    # a list read over the telephone becomes three sites in one step
    pasted_list(qtbot, window)
    assert names(desk.document.plan) == ["Harbour hall", "Old mill", "North barn"]
    assert desk.document.undo_stack.count() == 1
    assert on_map(window, qtbot) == 3
    desk.document.undo_stack.undo()
    assert desk.document.plan.sites == ()
    desk.document.undo_stack.redo()

    # the council's spreadsheet moves one of them and adds another
    table = tmp_path / "council.csv"
    table.write_text(
        "Code;Name;Breite;Länge\n"
        "Old mill;Old mill;-45,0110;-29,9700\n"
        "Lookout;Lookout;-45,0300;-29,9900\n",
        encoding="cp1252",
    )
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *args: (str(table), ""))
    window.actions_by_key["import_places"].trigger()
    dialog = looked_at(qtbot, window)
    assert dialog.mapping.isVisible()
    assert dialog.take.text() == "Import 2"
    dialog.take.click()
    plan = desk.document.plan
    assert names(plan) == ["Harbour hall", "Old mill", "North barn", "Lookout"]
    mill = plan.site(SiteId("Old mill")).position
    assert mill is not None
    assert mill.lat_deg == -45.011
    assert desk.document.undo_stack.count() == 2
    assert on_map(window, qtbot) == 4

    # out to every kind of file; taken in again, each finds everything there already
    for ending in WRITTEN:
        out = tmp_path / f"crew{ending}"
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args, out=out: (str(out), ""))
        window.actions_by_key["export_places"].trigger()
        qtbot.waitUntil(lambda: not window.exchange.is_busy, timeout=LONG_MS)
        assert out.stat().st_size > 0
        window.exchange.read(out)
        dialog = looked_at(qtbot, window)
        assert dialog.places.rowCount() == 4
        assert all(choice.is_known for choice in dialog.places.found.choices), ending
        assert not dialog.take.isEnabled()
        dialog.reject()
        qtbot.waitUntil(lambda: _previews(window) == [], timeout=LONG_MS)
    assert desk.document.plan is plan

    # the same file makes the same sites in an empty plan
    desk.session.new(Plan())
    window.exchange.read(tmp_path / "crew.gpx")
    looked_at(qtbot, window).take.click()
    again = desk.document.plan
    assert [(s.site_id, s.name, s.function) for s in again.sites] == [
        (s.site_id, s.name, s.function) for s in plan.sites
    ]
    for here, there in zip(again.sites, plan.sites, strict=True):
        assert here.position is not None
        assert there.position is not None
        assert here.position.lat_deg == pytest.approx(there.position.lat_deg, abs=5e-8)
        assert here.position.lon_deg == pytest.approx(there.position.lon_deg, abs=5e-8)

    # a copy to give away is a plan that opens
    shared = tmp_path / "shared.plan.json"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(shared), ""))
    window.actions_by_key["share_copy"].trigger()
    qtbot.waitUntil(lambda: not window.exchange.is_busy, timeout=LONG_MS)
    assert len(load_plan(shared).sites) == 4
    assert asked == []  # none of it asked for the network
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)


def test_terrain_without_a_network_is_a_sentence_and_nothing_else(
    qtbot: QtBot, window: MainWindow, asked: list[object]
) -> None:
    pasted_list(qtbot, window)
    before = window.desk.document.plan
    window.actions_by_key["get_terrain"].trigger()
    (dialog,) = window.findChildren(TerrainDialog)
    dialog.lead.click()
    qtbot.waitUntil(lambda: not dialog.terrain.is_busy, timeout=LONG_MS)
    assert asked != []  # it did ask, and only then
    assert "cannot be fetched" in dialog.notices.text
    dialog.stop.click()
    assert not dialog.isVisible()
    assert window.desk.document.plan is before
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)


def dropped(window: MainWindow, *paths: Path) -> bool:
    """Drag files over the window and let them go; whether they were welcome."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    copy, left, none = (
        Qt.DropAction.CopyAction,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    enter = QDragEnterEvent(QPoint(40, 40), copy, data, left, none)
    enter.ignore()
    QApplication.sendEvent(window, enter)
    if enter.isAccepted():
        QApplication.sendEvent(window, QDropEvent(QPoint(40, 40), copy, data, left, none))
    return enter.isAccepted()


def test_files_are_dropped_onto_the_window(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    places, ground, other = (tmp_path / n for n in ("places.csv", "ground.asc", "letter.pdf"))
    places.write_text("name,lat,lon\nPIER,-45.01,-29.97\n")
    ground.write_text(
        "ncols 2\nnrows 2\nxllcorner -30\nyllcorner -46\ncellsize 1\n"
        "NODATA_value -9999\n1 2\n3 4\n"
    )
    other.write_text("x")
    assert not dropped(window, other)
    assert dropped(window, places)
    looked_at(qtbot, window).take.click()
    assert window.desk.document.plan.has_site(SiteId("PIER"))
    with qtbot.waitSignal(window.desk.terrain_changed, timeout=LONG_MS):
        assert dropped(window, ground, other)
    assert [s.path for s in window.desk.document.plan.terrain_sources] == [str(ground)]
    window.desk.document.undo_stack.undo()
    assert window.desk.document.plan.terrain_sources == ()
    qtbot.waitUntil(
        lambda: is_settled(window.desk) and window.desk.terrain.bounds is None, timeout=LONG_MS
    )
