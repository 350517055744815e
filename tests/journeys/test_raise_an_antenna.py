"""A planner opens the demo, raises an antenna with the mouse, and prints what comes of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pyqtgraph as pg
import pytest
from pypdf import PdfReader
from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import SiteId
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.services.opening import demo_copy
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.widgets.main_window import MainWindow
from guyline.widgets.print_preview import PrintPreview
from guyline.widgets.theme import CurrentTheme, load_fonts

HOLLOW, KITE = SiteId("HOLLOW"), SiteId("KITE")
LEFT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
LONG_MS = 90_000  # the loops of the power simulation may have to be compiled first


@pytest.fixture
def window(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MainWindow]:
    # pyqtgraph drops moves that follow one another within 10 ms; ours come faster than a hand's
    monkeypatch.setitem(pg.CONFIG_OPTIONS, "mouseRateLimit", 0)
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Desk(Settings(store)), CurrentTheme())
    qtbot.addWidget(window)
    window.resize(1366, 768)
    window.show()
    yield window
    window.desk.document.undo_stack.setClean()
    window.close()
    qapp.setStyleSheet("")


def settle(qtbot: QtBot, desk: Desk) -> None:
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)


def opened(qtbot: QtBot, window: MainWindow, path: Path) -> Desk:
    with qtbot.waitSignal(window.desk.session.opened, timeout=LONG_MS):
        window.open_path(path)
    settle(qtbot, window.desk)
    return window.desk


def send(window: MainWindow, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton) -> None:
    viewport = window.workspace.path.canvas.viewport()
    held = NONE if kind is QEvent.Type.MouseButtonRelease else LEFT
    place = QPointF(viewport.mapToGlobal(at.toPoint()))
    no_key = Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(viewport, QMouseEvent(kind, at, place, button, held, no_key))


def on_plot(window: MainWindow, distance_m: float, amsl_m: float) -> QPointF:
    canvas = window.workspace.path.canvas
    return QPointF(
        canvas.mapFromScene(canvas.getViewBox().mapViewToScene(QPointF(distance_m, amsl_m)))
    )


def margin_db(desk: Desk, site_id: SiteId) -> float:
    assert desk.live.current is not None
    for finding in desk.live.current.site(site_id).findings:
        if finding.code is FindingCode.LINK_MARGIN:
            assert finding.value is not None
            return finding.value
    raise AssertionError(f"{site_id} has no link margin")


def verdict(desk: Desk, site_id: SiteId) -> Verdict:
    assert desk.live.current is not None
    return desk.live.current.site(site_id).verdict


def test_raising_an_antenna_turns_the_verdict_and_undo_turns_it_back(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = demo_copy(tmp_path)
    desk = opened(qtbot, window, path)
    assert window.workspace.decision.text.startswith("If we go today: 3 of 6 needs met.")
    desk.selection.select_site(HOLLOW)
    settle(qtbot, desk)
    assert desk.readiness.site is not None
    assert desk.readiness.site.site_id == HOLLOW
    assert verdict(desk, HOLLOW) is Verdict.NO_GO
    before_db = margin_db(desk, HOLLOW)
    planned_m = desk.document.plan.site(HOLLOW).antenna_agl_m
    assert planned_m is not None

    # take the top of the mast and draw it up by 24 m
    ends = desk.selection.path
    assert ends is not None
    assert {end.site_id for end in ends} == {HOLLOW, KITE}
    canvas = window.workspace.path.canvas
    qtbot.waitUntil(canvas.isVisible)
    is_near = ends[0].site_id == HOLLOW
    link = next(k for k in desk.live.current.links if k.link.ends == {HOLLOW, KITE})
    assert link.path is not None
    is_from = link.link.from_id == HOLLOW
    ground_m = float(link.path.profile.ground_amsl_m[0 if is_from else -1])
    at_m = 0.0 if is_near else link.path.profile.length_m
    top, higher = (
        on_plot(window, at_m, ground_m + agl_m) for agl_m in (planned_m, planned_m + 24.0)
    )
    steps_before = desk.document.undo_stack.count()
    send(window, QEvent.Type.MouseButtonPress, top, LEFT)
    for n in range(1, 13):
        send(window, QEvent.Type.MouseMove, top + (higher - top) * (n / 12), NONE)
    during_m = desk.document.plan.site(HOLLOW).antenna_agl_m
    send(window, QEvent.Type.MouseButtonRelease, higher, LEFT)
    assert during_m is not None
    assert during_m > planned_m + 15.0  # the plan follows while the button is held
    assert desk.document.undo_stack.count() == steps_before + 1
    settle(qtbot, desk)
    raised_m = desk.document.plan.site(HOLLOW).antenna_agl_m
    assert margin_db(desk, HOLLOW) > before_db + 5.0
    assert verdict(desk, HOLLOW) is not Verdict.NO_GO

    # undo gives both back; redo, save and reopen keep them
    desk.document.undo_stack.undo()
    settle(qtbot, desk)
    assert verdict(desk, HOLLOW) is Verdict.NO_GO
    assert margin_db(desk, HOLLOW) == before_db
    desk.document.undo_stack.redo()
    assert window.isWindowModified()
    window.save()
    qtbot.waitUntil(lambda: not desk.session.is_saving, timeout=LONG_MS)
    assert not window.isWindowModified()
    assert load_plan(path).site(HOLLOW).antenna_agl_m == raised_m
    opened(qtbot, window, path)
    assert verdict(desk, HOLLOW) is not Verdict.NO_GO

    # print: the sheet carries the new height and the new verdict
    pdf = tmp_path / "sheets.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(pdf), ""))
    window.print_sheets()
    (preview,) = window.findChildren(PrintPreview)
    qtbot.waitUntil(lambda: preview.pdf_button.isEnabled(), timeout=LONG_MS)
    preview.pdf_button.click()
    preview.close()
    text = [" ".join(page.extract_text().split()) for page in PdfReader(pdf).pages]
    hollow = next(page for page in text if page.startswith("HOLLOW"))
    assert str(verdict(desk, HOLLOW)) in hollow
    assert any(f"{raised_m:.1f} m above ground" in page for page in text if "HOLLOW" in page)
