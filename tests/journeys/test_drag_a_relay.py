"""A planner drags a relay over the map: coverage and needs met follow the hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtGui import QActionGroup, QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.plan import SiteId
from guyline.services.opening import demo_copy
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.ground_view_coverage import CoverageKind, CoveragePicture
from guyline.viewmodels.ground_view_layers import CoverageLayer
from guyline.viewmodels.settings import Settings
from guyline.widgets.ground_map import GroundMap
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

HOB = SiteId("HOB")
LEFT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
LONG_MS = 60_000  # the loops of sweep and simulation may have to be compiled first
MOVES = 15


@pytest.fixture
def window(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MainWindow]:
    # pyqtgraph drops moves that follow one another within 10 ms; ours come faster than a hand's
    monkeypatch.setitem(pg.CONFIG_OPTIONS, "mouseRateLimit", 0)
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Desk(Settings(store)), CurrentTheme())
    # a test that fails half-way must not leave a question open that nobody answers
    qtbot.addWidget(window, before_close_func=lambda w: w.desk.document.undo_stack.setClean())
    window.resize(1366, 768)
    window.show()
    yield window
    window.workspace.ground.shut_down()
    window.close()
    qapp.setStyleSheet("")


class Watched:
    """The pictures of coverage as they come."""

    def __init__(self, ground: GroundMap) -> None:
        self.pictures: list[CoveragePicture] = []
        ground.coverage.changed.connect(self._take)

    def _take(self, picture: CoveragePicture | None) -> None:
        if picture is not None:
            self.pictures.append(picture)

    def fine(self, qtbot: QtBot, desk: Desk) -> CoveragePicture:
        """The finest picture of the plan as it is now."""

        def is_here() -> bool:
            last = self.pictures[-1] if self.pictures else None
            return last is not None and last.is_fine and last.plan == desk.document.plan

        qtbot.waitUntil(is_here, timeout=LONG_MS)
        return self.pictures[-1]


def served(picture: CoveragePicture) -> dict[str, bool | None]:
    return {known.place.name: known.is_served for known in picture.places}


def best(picture: CoveragePicture, name: str) -> tuple[SiteId, float]:
    known = next(known for known in picture.places if known.place.name == name)
    assert known.best is not None
    assert known.margin_db is not None
    return known.best, known.margin_db


def choose(group: QActionGroup, data: object) -> None:
    next(action for action in group.actions() if action.data() == data).trigger()


def on_map(ground: GroundMap, x_m: float, y_m: float) -> QPointF:
    canvas = ground.canvas
    return QPointF(canvas.mapFromScene(canvas.box.mapViewToScene(QPointF(x_m, y_m))))


def send(ground: GroundMap, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton) -> None:
    viewport = ground.canvas.viewport()
    held = NONE if kind is QEvent.Type.MouseButtonRelease else LEFT
    place = QPointF(viewport.mapToGlobal(at.toPoint()))
    no_key = Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(viewport, QMouseEvent(kind, at, place, button, held, no_key))


def test_coverage_and_needs_follow_a_relay_that_is_dragged_and_come_back_with_undo(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    desk, ground = window.desk, window.workspace.ground
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.open_path(demo_copy(tmp_path))
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)
    qtbot.waitUntil(lambda: ground.model.relief is not None, timeout=LONG_MS)
    watched = Watched(ground)
    choose(ground.layers_button.coverage_actions, CoverageKind.NETWORK)
    before = watched.fine(qtbot, desk)
    assert served(before)["Dunmarl"] is True
    assert served(before)["Ostrel farms"] is False
    assert "Not served: Hollowmead, Ostrel farms" in ground.coverage_key.accessibleDescription()
    needs_before = window.workspace.decision.text
    assert needs_before.startswith("If we go today: 3 of 6 needs met.")

    # take the relay that serves Dunmarl and carry it to the farms, with the button held
    mark = ground.model.mark(HOB)
    farms = next(p.place for p in before.places if p.place.name == "Ostrel farms")
    assert mark is not None
    start = on_map(ground, mark.x_m, mark.y_m)
    stop = on_map(ground, *ground.model.point(farms.lat_deg, farms.lon_deg))
    steps = desk.document.undo_stack.count()
    seen = len(watched.pictures)
    send(ground, QEvent.Type.MouseButtonPress, start, LEFT)
    for n in range(1, MOVES + 1):
        send(ground, QEvent.Type.MouseMove, start + (stop - start) * (n / MOVES), NONE)
        qtbot.wait(60)  # a hand, and time for a coarse picture
    qtbot.waitUntil(lambda: len(watched.pictures) > seen, timeout=LONG_MS)
    during = watched.pictures[-1]
    assert during.plan.site(HOB).position != before.plan.site(HOB).position  # still held down
    send(ground, QEvent.Type.MouseButtonRelease, stop, LEFT)
    assert desk.document.undo_stack.count() == steps + 1

    after = watched.fine(qtbot, desk)
    assert served(after)["Ostrel farms"] is True
    left_out = ground.coverage_key.accessibleDescription().split("Not served:")[1]
    assert "Ostrel farms" not in left_out
    assert "Hollowmead" in left_out
    was, now = (best(picture, "Dunmarl") for picture in (before, after))
    assert was[0] == HOB
    assert now[0] != HOB
    assert now[1] < was[1] - 10.0  # only sites far away are left to it
    assert after.coverage.area_served_km2 < before.coverage.area_served_km2
    houses = {place.name: place.is_served for place in ground.canvas.drawing.places}
    assert houses == served(after)
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)
    assert window.workspace.decision.text != needs_before
    met = int(window.workspace.decision.text.split(": ")[1].split(" of")[0])
    assert met < 3  # the links that hung on the relay's hilltop are gone

    # every layer of it can be looked at, and the pointer tells the numbers
    x, y = ground.model.point(farms.lat_deg, farms.lon_deg)
    assert after.words_at(x, y).startswith("HOB: out ")
    for layer in CoverageLayer:
        choose(ground.layers_button.layer_actions, layer)
        qtbot.wait(1)
        assert ground.coverage_key.accessibleDescription().count(",") >= 3, layer

    # and what is seen can be handed on, as paper, picture, raster or areas
    for ending in (".pdf", ".png", ".tif", ".geojson"):
        path = tmp_path / f"reached{ending}"
        ground.save_coverage(path)
        qtbot.waitUntil(lambda p=path: str(p) in ground.readout.text(), timeout=LONG_MS)
        assert path.stat().st_size > 1_000

    desk.document.undo_stack.undo()
    back = watched.fine(qtbot, desk)
    assert np.array_equal(back.coverage.margin_db, before.coverage.margin_db, equal_nan=True)
    qtbot.waitUntil(lambda: is_settled(desk), timeout=LONG_MS)
    assert window.workspace.decision.text == needs_before
