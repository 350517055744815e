"""Hand and keys on the map do what they say."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QColor, QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import LayerKind, Link, Plan, Position, Site, SiteFunction, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job
from guyline.services.map_layers import MapLayers
from guyline.services.raster import Bounds
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view_grid import GridKind
from guyline.viewmodels.ground_view_marks import LinkState
from guyline.viewmodels.ground_view_relief import FIRST_LAND, VOID, WATER
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection
from guyline.widgets.ground_map import FIRST_STEP, GroundMap
from guyline.widgets.ground_map_plan import LINE_STYLES, function_path, gateway_half
from guyline.widgets.ground_map_relief import relief_colors
from guyline.widgets.theme import DARK, LIGHT, CurrentTheme, Theme

HALL, HILL, SHED = SiteId("HALL"), SiteId("HILL"), SiteId("SHED")
LEFT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton


def place(lat_deg: float, lon_deg: float) -> Position:
    return Position(lat_deg=lat_deg, lon_deg=lon_deg)


PLAN = Plan(
    sites=(
        Site(site_id=HALL, position=place(50.0, 5.0), function=SiteFunction.GATEWAY),
        Site(site_id=HILL, position=place(50.02, 5.1), function=SiteFunction.RELAY),
        Site(site_id=SHED, position=place(49.97, 5.06)),
    ),
    links=(Link(from_id=HALL, to_id=HILL),),
)


class Slope:
    """Ground that rises eastward from a sea."""

    bounds = Bounds(west_deg=4.8, south_deg=49.8, east_deg=5.4, north_deg=50.2)

    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> float:
        return 123.0

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        raise NotImplementedError

    def grid(
        self,
        frame: LocalFrame,
        west_m: float,
        south_m: float,
        east_m: float,
        north_m: float,
        cell_m: float,
        job: Job | None = None,
    ) -> Grid:
        x = np.arange(west_m, east_m, cell_m)
        rows = int((north_m - south_m) / cell_m)
        heights = np.maximum(0.0, np.tile(x / 10.0, (rows, 1))).astype(np.float32)
        return Grid(
            ground_amsl_m=heights,
            cell_m=cell_m,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )


class NothingToSay:
    """Assesses a plan to nothing at once."""

    layers = MapLayers()

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        return PlanAssessment(plan=plan, sites=(), links=(), network=NetworkAssessment())


class Desk:
    """A map with all that it looks at."""

    def __init__(self, qtbot: QtBot, plan: Plan = PLAN) -> None:
        self.document, self.selection = PlanDocument(plan), Selection()
        self.live = LiveAssessment(self.document, NothingToSay())  # type: ignore[arg-type]
        self.theme = CurrentTheme()
        self.map = GroundMap(self.document, self.selection, self.live, self.theme)
        self.map.resize(800, 600)
        qtbot.addWidget(self.map)
        self.map.show()
        qtbot.waitExposed(self.map)
        self.map.show_whole()
        QApplication.sendPostedEvents()

    def at(self, x_m: float, y_m: float) -> QPointF:
        """Where a place of the map is on its viewport."""
        canvas = self.map.canvas
        return QPointF(canvas.mapFromScene(canvas.box.mapViewToScene(QPointF(x_m, y_m))))

    def site(self, site_id: SiteId) -> QPointF:
        mark = self.map.model.mark(site_id)
        assert mark is not None
        return self.at(mark.x_m, mark.y_m)

    def mouse(
        self,
        kind: QEvent.Type,
        at: QPointF,
        button: Qt.MouseButton = LEFT,
        keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        viewport = self.map.canvas.viewport()
        held = NONE if kind is QEvent.Type.MouseButtonRelease else button
        pressed = NONE if kind is QEvent.Type.MouseMove else button
        to = QPointF(viewport.mapToGlobal(at.toPoint()))
        QApplication.sendEvent(viewport, QMouseEvent(kind, at, to, pressed, held, keys))

    def click(
        self, at: QPointF, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        self.mouse(QEvent.Type.MouseButtonPress, at, LEFT, keys)
        self.mouse(QEvent.Type.MouseButtonRelease, at, LEFT, keys)

    def drag(self, start: QPointF, stop: QPointF, moves: int = 12) -> None:
        self.mouse(QEvent.Type.MouseButtonPress, start)
        for n in range(1, moves + 1):
            self.mouse(QEvent.Type.MouseMove, start + (stop - start) * (n / moves))
        self.mouse(QEvent.Type.MouseButtonRelease, stop)


@pytest.fixture
def desk(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    # pyqtgraph drops moves that follow one another within 10 ms; ours come faster than a hand's
    monkeypatch.setitem(pg.CONFIG_OPTIONS, "mouseRateLimit", 0)
    desk = Desk(qtbot)
    yield desk
    qtbot.waitUntil(lambda: not desk.live.is_running)


def test_a_metre_is_as_long_upward_as_sideways(desk: Desk) -> None:
    origin, east, north = desk.at(0, 0), desk.at(3000, 0), desk.at(0, 3000)
    assert east.x() - origin.x() == pytest.approx(origin.y() - north.y(), abs=1.5)  # whole pixels


def test_every_site_is_seen_at_first(desk: Desk) -> None:
    view = desk.map.canvas.viewport().rect()
    for mark in desk.map.model.marks:
        assert view.contains(desk.site(mark.site_id).toPoint())


def test_a_click_selects_a_site(desk: Desk) -> None:
    desk.click(desk.site(HILL))
    assert desk.selection.site_id == HILL


def test_a_click_on_a_link_shows_its_path(desk: Desk) -> None:
    desk.click((desk.site(HALL) + desk.site(HILL)) / 2)
    assert desk.selection.path is not None
    assert [end.site_id for end in desk.selection.path] == [HALL, HILL]


def test_a_dragged_site_moves_in_one_undo_step(desk: Desk) -> None:
    desk.drag(desk.site(SHED), desk.at(1000.0, -1000.0))
    moved = desk.document.plan.site(SHED).position
    assert moved is not None
    x, y = desk.map.model.point(moved.lat_deg, moved.lon_deg)
    pixel = desk.map.canvas.box.viewPixelSize()[0]
    assert (x, y) == pytest.approx((1000.0, -1000.0), abs=3 * pixel)
    assert desk.document.undo_stack.count() == 1
    desk.document.undo_stack.undo()
    assert desk.document.plan == PLAN


def test_a_drag_on_bare_ground_pans_and_moves_no_site(desk: Desk) -> None:
    before = desk.map.canvas.seen_area()
    start = desk.at(-1500.0, 1000.0)
    desk.drag(start, start + QPointF(80, 40))
    assert desk.document.plan == PLAN
    assert desk.map.canvas.seen_area().west_m < before.west_m


def test_two_clicks_measure_a_path_that_snaps_to_sites(desk: Desk) -> None:
    desk.map.measure_button.click()
    desk.click(desk.site(HALL))
    desk.click(desk.at(0.0, -2000.0))
    assert desk.selection.path is not None
    near, far = desk.selection.path
    assert near.site_id == HALL
    assert far.site_id is None
    assert desk.map.model.point(far.lat_deg, far.lon_deg)[1] == pytest.approx(-2000.0, abs=50)


def test_while_measuring_distance_and_bearing_follow_the_pointer(desk: Desk) -> None:
    desk.map.measure_button.click()
    desk.click(desk.site(HALL))
    desk.mouse(QEvent.Type.MouseMove, desk.at(0.0, -2000.0), NONE)
    measured = desk.map.canvas.drawing.measured
    assert measured is not None
    assert measured[2] == desk.map.model.way_text(measured[0], measured[1])
    assert "° true" in measured[2]


def test_while_measuring_no_site_moves(desk: Desk) -> None:
    desk.map.measure_button.click()
    desk.drag(desk.site(SHED), desk.at(1000.0, -1000.0))
    assert desk.document.plan == PLAN


def test_shift_click_draws_the_path_from_the_selected_site(desk: Desk) -> None:
    desk.click(desk.site(SHED))
    desk.click(desk.site(HILL), Qt.KeyboardModifier.ShiftModifier)
    assert desk.selection.path is not None
    assert [end.site_id for end in desk.selection.path] == [SHED, HILL]


def test_a_bare_end_of_the_path_can_be_dragged(desk: Desk) -> None:
    model = desk.map.model
    desk.selection.select_path((model.end_at(HALL, 0, 0), model.end_at(None, 0.0, -2000.0)))
    desk.drag(desk.at(0.0, -2000.0), desk.at(1500.0, -500.0))
    assert desk.selection.path is not None
    far = desk.selection.path[1]
    assert model.point(far.lat_deg, far.lon_deg) == pytest.approx((1500.0, -500.0), abs=80)
    assert desk.document.plan == PLAN


def test_keys_pan_zoom_and_walk_from_site_to_site(desk: Desk, qtbot: QtBot) -> None:
    canvas = desk.map.canvas
    canvas.setFocus()
    before = canvas.seen_area()
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.seen_area().west_m > before.west_m
    qtbot.keyClick(canvas, Qt.Key.Key_Plus)
    assert canvas.seen_area().longer_m < before.longer_m
    qtbot.keyClick(canvas, Qt.Key.Key_Minus)
    assert canvas.seen_area().longer_m == pytest.approx(before.longer_m)


def test_keys_move_the_selected_site_in_one_undo_step(desk: Desk, qtbot: QtBot) -> None:
    desk.selection.select_site(SHED)
    before = desk.map.model.mark(SHED)
    for _ in range(5):
        qtbot.keyClick(desk.map.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ControlModifier)
    after = desk.map.model.mark(SHED)
    assert before is not None
    assert after is not None
    pixel = desk.map.canvas.box.viewPixelSize()[0]
    assert after.y_m - before.y_m == pytest.approx(5 * 2 * pixel, rel=0.01)
    assert after.x_m == pytest.approx(before.x_m, abs=0.5)
    assert desk.document.undo_stack.count() == 1


def test_a_path_can_be_measured_by_keys_alone(desk: Desk, qtbot: QtBot) -> None:
    canvas = desk.map.canvas
    qtbot.keyClick(canvas, Qt.Key.Key_M)
    for site_id in (HALL, SHED):
        desk.selection.select_site(site_id)
        qtbot.keyClick(canvas, Qt.Key.Key_Return)
    assert desk.selection.path is not None
    assert [end.site_id for end in desk.selection.path] == [HALL, SHED]
    qtbot.keyClick(canvas, Qt.Key.Key_Escape)
    assert not desk.map.measure_button.isChecked()


def test_tab_walks_through_the_sites_and_then_leaves_the_map(desk: Desk) -> None:
    desk.map.activateWindow()
    desk.map.canvas.setFocus()
    QApplication.sendPostedEvents()
    walked = []
    for _ in PLAN.sites:
        assert desk.map.focusNextPrevChild(True)
        walked.append(desk.selection.site_id)
    assert walked == [HALL, HILL, SHED]
    desk.map.focusNextPrevChild(True)
    assert desk.map.focusWidget() is not desk.map.canvas


def test_the_pointer_tells_coordinates_ground_and_way(desk: Desk) -> None:
    desk.map.model.use_terrain(Slope())
    desk.map.model.cancel()
    desk.selection.select_site(HALL)
    desk.mouse(QEvent.Type.MouseMove, desk.site(HILL), NONE)
    words = desk.map.readout.text()
    assert "50°01." in words
    assert "ground 123 m" in words
    assert "from HALL" in words


def test_a_place_pointed_at_on_the_profile_is_marked(desk: Desk) -> None:
    desk.selection.point_at((50.01, 5.05))
    assert desk.map.canvas.drawing.pointer == pytest.approx(desk.map.model.point(50.01, 5.05))
    desk.selection.point_at(None)
    assert desk.map.canvas.drawing.pointer is None


def test_a_site_selected_elsewhere_is_brought_into_view(desk: Desk) -> None:
    desk.map.canvas.pan(3.0, 0.0)
    desk.selection.select_site(HILL)
    assert desk.map.canvas.viewport().rect().contains(desk.site(HILL).toPoint())


def test_the_grid_can_be_chosen(desk: Desk) -> None:
    for action in desk.map.layers_button.grid_actions.actions():
        action.trigger()
        kind = action.data()
        assert bool(desk.map.canvas.grid_labels) is (kind is not GridKind.NONE)


def test_the_relief_appears_when_it_is_ready(desk: Desk, qtbot: QtBot) -> None:
    with qtbot.waitSignal(
        desk.map.model.relief_changed, timeout=20_000, check_params_cb=lambda r: r is not None
    ):
        desk.map.use_terrain(Slope(), NothingToSay())  # type: ignore[arg-type]
    assert desk.map.readout.text().startswith("Contours every")
    picture = desk.map.canvas.grab().toImage()
    sea = desk.at(-3000.0, 2500.0).toPoint()
    assert picture.pixelColor(sea).name().upper() == LIGHT.water


def test_an_empty_plan_says_what_to_do_first(qtbot: QtBot) -> None:
    desk = Desk(qtbot, Plan())
    assert desk.map.canvas.message == FIRST_STEP
    assert desk.map.canvas.accessibleDescription() == FIRST_STEP


FLOOD = """{"type": "FeatureCollection", "features": [{"type": "Feature",
 "properties": {"name": "Flood"}, "geometry": {"type": "Polygon", "coordinates":
 [[[5.02, 50.0], [5.05, 50.0], [5.05, 50.01], [5.02, 50.01], [5.02, 50.0]]]}}]}"""


def test_areas_of_a_file_are_kept_with_the_plan_until_they_are_taken_away(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "flood.geojson"
    path.write_text(FLOOD)
    bare = desk.map.canvas.grab().toImage()
    with qtbot.waitSignal(desk.map.shapes.changed, check_params_cb=bool):
        desk.map.shapes.add(path, LayerKind.FLOOD)
    (layer,) = desk.document.plan.map_layers
    assert (Path(layer.path), layer.kind) == (path, LayerKind.FLOOD)
    covered = desk.map.canvas.grab().toImage()
    corner = desk.at(*desk.map.model.point(50.009, 5.022)).toPoint()

    def differs(x: int, y: int) -> bool:
        return bare.pixelColor(x, y) != covered.pixelColor(x, y)

    near = range(-6, 7)
    assert any(differs(corner.x() + i, corner.y() + j) for i in near for j in near)
    desk.mouse(QEvent.Type.MouseMove, desk.at(*desk.map.model.point(50.001, 5.045)), NONE)
    assert "flood: Flood" in desk.map.readout.text()
    desk.mouse(QEvent.Type.MouseMove, desk.at(*desk.map.model.point(50.03, 5.03)), NONE)
    assert "flood" not in desk.map.readout.text()
    desk.map.layers_button.drop_action.trigger()
    assert desk.document.plan.map_layers == ()
    assert desk.map.canvas.grab().toImage() == bare
    with qtbot.waitSignal(desk.map.shapes.changed, check_params_cb=bool):
        desk.document.undo_stack.undo()


def test_a_broken_file_of_areas_is_told_in_words_and_not_kept(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "flood.geojson"
    path.write_text("{")
    desk.map.shapes.add(path, LayerKind.FLOOD)
    qtbot.waitUntil(lambda: "no GeoJSON file" in desk.map.readout.text())
    assert desk.document.plan.map_layers == ()


@pytest.mark.parametrize(
    "positions",
    [
        [(0.0, 0.0), (0.0, 180.0)],
        [(90.0, 0.0), (-90.0, 0.0)],
        [(50.0, 5.0), (50.0, 5.0)],
        [(10.0, 179.99), (10.0, -179.99)],
        [(-89.9, 12.0)],
    ],
)
def test_sites_anywhere_on_the_globe_can_be_drawn(
    qtbot: QtBot, positions: list[tuple[float, float]]
) -> None:
    ids = [SiteId(f"S{n}") for n in range(len(positions))]
    plan = Plan(
        sites=tuple(
            Site(site_id=i, position=place(*p)) for i, p in zip(ids, positions, strict=True)
        ),
        links=tuple(Link(from_id=a, to_id=b) for a, b in pairwise(ids)),
    )
    desk = Desk(qtbot, plan)
    for action in desk.map.layers_button.grid_actions.actions():
        action.trigger()
        assert not desk.map.canvas.grab().isNull()
    for _ in range(30):
        desk.map.canvas.zoom(0.5)
    assert not desk.map.canvas.grab().isNull()
    for _ in range(60):
        desk.map.canvas.zoom(2.0)
    assert not desk.map.canvas.grab().isNull()


def test_listeners_hear_sites_and_links(desk: Desk) -> None:
    heard = desk.map.canvas.accessibleDescription()
    for words in ("3 sites on the map", "HALL, gateway", "HALL to HILL: margin unknown"):
        assert words in heard


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_water_void_and_land_differ_in_grey(theme: Theme) -> None:
    colors = relief_colors(theme)
    flat = colors[FIRST_LAND + round(0.707 * 21)]
    grey = [QColor(*map(int, c[:3])).lightness() for c in (colors[WATER], flat)]
    assert abs(grey[0] - grey[1]) >= 12
    assert colors[VOID, 3] == 0
    assert (colors[WATER:, 3] == 255).all()


def test_functions_and_link_states_differ_without_colour() -> None:
    at = QPointF(0, 0)
    ring = function_path(SiteFunction.END_POINT, at)
    square = function_path(SiteFunction.RELAY, at)
    assert ring != square
    assert not gateway_half(at).isEmpty()  # what tells a gateway's square from a relay's
    assert len({LINE_STYLES[state] for state in LinkState}) == 3
    assert len({str(v) for v in Verdict}) == 4
