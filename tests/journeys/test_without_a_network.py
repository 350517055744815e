"""The whole job without a network: open, assess, change, save, print, give away, look back."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import SiteId
from guyline.services.interchange import FORMATS, read_places
from guyline.services.opening import demo_copy
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.widgets.history_dialog import HistoryDialog
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

LONG_MS = 120_000  # the loops of the power simulation may have to be compiled first
WRITTEN = [ending for ending, kind in FORMATS.items() if kind.written]
WITHOUT_NETWORK = ["unshare", "-rn"]  # a network namespace of its own: not even a loopback


class NetworkDeniedError(OSError):
    """Somebody asked for the network."""


@pytest.fixture(autouse=True)
def asked(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Deny the network to everything in Python, and return who asked for it."""
    asked: list[object] = []

    def refuse(*arguments: object, **more: object) -> None:
        asked.append(arguments)
        raise NetworkDeniedError("no network")

    for name in ("connect", "connect_ex", "sendto"):
        monkeypatch.setattr(socket.socket, name, refuse)
    for name in ("create_connection", "getaddrinfo", "gethostbyname"):
        monkeypatch.setattr(socket, name, refuse)
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


def test_the_whole_journey_asks_for_no_network(
    qtbot: QtBot,
    window: MainWindow,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    asked: list[object],
) -> None:
    desk, do = window.desk, window.actions_by_key

    def answered(out: Path) -> None:
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *given: (str(out), ""))

    # open the demo and see it judged
    path = demo_copy(tmp_path / "plans")
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.open_path(path)
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)
    assert desk.live.current is not None
    assert len(desk.live.current.sites) == len(desk.document.plan.sites) > 3
    assert desk.terrain.problems == ()

    # raise an antenna and save, while the window goes on
    first = desk.document.plan.sites[0]
    height_m = (first.antenna_agl_m or 0.0) + 1.0
    desk.document.edit(
        desk.document.plan.with_site(replace(first, antenna_agl_m=height_m)), "Raise"
    )
    with qtbot.waitSignal(desk.session.saved, timeout=LONG_MS):
        do["save"].trigger()
    assert load_plan(path) == desk.document.plan
    assert not desk.document.is_modified
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)

    # print: every site has its sheet
    sheets = tmp_path / "sheets.pdf"
    answered(sheets)
    do["export_pdf"].trigger()
    qtbot.waitUntil(lambda: "Wrote" in window.workspace.notices.text, timeout=LONG_MS)
    text = "".join(page.extract_text() for page in PdfReader(sheets).pages)
    assert all(site.site_id in text for site in desk.document.plan.sites)

    # out to every kind of file, and a copy to give away
    placed = [site for site in desk.document.plan.sites if site.position is not None]
    for ending in WRITTEN:
        out = tmp_path / f"crew{ending}"
        answered(out)
        do["export_places"].trigger()
        qtbot.waitUntil(lambda: not window.exchange.is_busy, timeout=LONG_MS)
        assert len(read_places(out).places) == len(placed)
    shared = tmp_path / "shared.plan.json"
    answered(shared)
    do["share_copy"].trigger()
    qtbot.waitUntil(lambda: not window.exchange.is_busy, timeout=LONG_MS)
    assert len(load_plan(shared).sites) == len(desk.document.plan.sites)

    # what changed since the print
    desk.document.edit(replace(desk.document.plan, earth_k=1.0), "Bend")
    qtbot.waitUntil(lambda: not desk.history.is_busy, timeout=LONG_MS)
    do["show_changes"].trigger()
    (dialog,) = window.findChildren(HistoryDialog)
    words = [dialog.since.itemText(row) for row in range(dialog.since.count())]
    row = next(row for row, told in enumerate(words) if "last print" in told)
    qtbot.waitUntil(lambda: not desk.history.is_busy, timeout=LONG_MS)
    dialog.since.setCurrentIndex(row)
    dialog.since.activated.emit(row)
    qtbot.waitUntil(lambda: not desk.history.is_busy, timeout=LONG_MS)
    assert dialog.told.text().startswith("1 change in 1 part since the last print")
    dialog.close_button.click()

    assert SiteId(first.site_id) in {site.site_id for site in load_plan(path).sites}
    assert asked == []
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)


def _can_be_cut_off() -> bool:
    if shutil.which(WITHOUT_NETWORK[0]) is None:
        return False
    return subprocess.run([*WITHOUT_NETWORK, "true"], capture_output=True).returncode == 0


@pytest.mark.skipif(not _can_be_cut_off(), reason="this system lets nobody cut off its network")
def test_the_same_journey_succeeds_where_the_system_itself_has_no_network() -> None:
    """Native libraries ask past Python; here nobody reaches anything."""
    name = test_the_whole_journey_asks_for_no_network.__name__
    done = subprocess.run(
        [*WITHOUT_NETWORK, sys.executable, "-m", "pytest", "-q",
         f"{__file__}::{name}"],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
    assert "1 passed" in done.stdout
