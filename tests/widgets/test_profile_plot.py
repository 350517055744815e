"""Hand, keys and pointer on the profile plot do what they say."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import Antenna, Feeder, Link, Plan, Position, Radio, Site, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.terrain.profile import Profile
from guyline.services.geodesy import points_along
from guyline.services.job import Job
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.path_view import FAR, NEAR
from guyline.viewmodels.path_view_facts import path_facts
from guyline.viewmodels.selection import PathEnd, Selection
from guyline.widgets.profile_plot import FIRST_STEP, ProfilePlot
from guyline.widgets.profile_plot_axes import UnitAxis
from guyline.widgets.theme import DARK, CurrentTheme

HALL, HILL = SiteId("HALL"), SiteId("HILL")
LEFT = Qt.MouseButton.LeftButton


class OneHill:
    """Flat ground 10 m above the sea with one round hill half way."""

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        d, lat, lon = points_along(lat1, lon1, lat2, lon2, 20.0)
        ground = 10.0 + 60.0 * np.exp(-(((d - d[-1] / 2) / 600.0) ** 2))
        return Profile(distance_m=d, ground_amsl_m=ground, lat_deg=lat, lon_deg=lon)


class NothingToSay:
    """Assesses a plan to nothing at once."""

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        return PlanAssessment(plan=plan, sites=(), links=(), network=NetworkAssessment())


def site(site_id: SiteId, lon_deg: float, antenna_agl_m: float) -> Site:
    return Site(
        site_id=site_id,
        position=Position(lat_deg=50.0, lon_deg=lon_deg),
        antenna_agl_m=antenna_agl_m,
        radio=Radio(tx_power_dbm=20.0, noise_figure_db=6.0),
        antenna=Antenna(gain_dbi=2.0),
        feeder=Feeder(length_m=0.0),
    )


PLAN = Plan(
    sites=(site(HALL, 5.0, 8.0), site(HILL, 5.1, 6.0)),
    links=(Link(from_id=HALL, to_id=HILL),),
)
PATH = (
    PathEnd(lat_deg=50.0, lon_deg=5.0, site_id=HALL),
    PathEnd(lat_deg=50.0, lon_deg=5.1, site_id=HILL),
)


class Desk:
    """A profile plot with all that it looks at."""

    def __init__(self, qtbot: QtBot) -> None:
        self.document = PlanDocument(PLAN)
        self.selection = Selection()
        self.live = LiveAssessment(self.document, NothingToSay())  # type: ignore[arg-type]
        self.theme = CurrentTheme()
        self.plot = ProfilePlot(self.document, self.selection, self.live, self.theme)
        self.plot.use_terrain(OneHill(), NothingToSay())  # type: ignore[arg-type]
        self.plot.resize(900, 420)
        qtbot.addWidget(self.plot)
        self.plot.show()
        qtbot.waitExposed(self.plot)

    def choose(self) -> Desk:
        self.selection.select_path(PATH)
        QApplication.sendPostedEvents()
        return self

    def at(self, distance_m: float, amsl_m: float) -> QPointF:
        """Where a place of the plot is on its viewport."""
        canvas = self.plot.canvas
        scene = canvas.getViewBox().mapViewToScene(QPointF(distance_m, amsl_m))
        return QPointF(canvas.mapFromScene(scene))

    def mouse(self, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton = LEFT) -> None:
        viewport = self.plot.canvas.viewport()
        held = LEFT if kind is not QEvent.Type.MouseButtonRelease else Qt.MouseButton.NoButton
        if button is Qt.MouseButton.NoButton:
            held = button
        pressed = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseMove else button
        event = QMouseEvent(
            kind,
            at,
            QPointF(viewport.mapToGlobal(at.toPoint())),
            pressed,
            held,
            Qt.KeyboardModifier.NoModifier,
        )
        QApplication.sendEvent(viewport, event)

    def drag(self, start: QPointF, stop: QPointF, moves: int = 20) -> None:
        self.mouse(QEvent.Type.MouseButtonPress, start)
        for n in range(1, moves + 1):
            self.mouse(QEvent.Type.MouseMove, start + (stop - start) * (n / moves))
        self.mouse(QEvent.Type.MouseButtonRelease, stop)


@pytest.fixture
def desk(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Desk:
    # pyqtgraph drops moves that follow one another within 10 ms; ours come faster than a hand's
    monkeypatch.setitem(pg.CONFIG_OPTIONS, "mouseRateLimit", 0)
    return Desk(qtbot)


def test_an_empty_plot_says_what_to_do_first(desk: Desk) -> None:
    assert not desk.plot.canvas.isVisible()
    assert desk.plot.canvas.accessibleDescription() == FIRST_STEP


def test_two_chosen_ends_become_the_profile_and_its_numbers(desk: Desk) -> None:
    desk.choose()
    view = desk.plot.model.view
    assert view is not None
    assert desk.plot.canvas.isVisible()
    shown = desk.plot.header.facts_label.accessibleDescription()
    for fact in path_facts(view):
        assert f"{fact.caption}: {fact.text}" in shown


def test_the_text_for_listeners_holds_the_margin_and_the_worst_point(desk: Desk) -> None:
    desk.choose()
    heard = desk.plot.canvas.accessibleDescription()
    assert "Path from HALL to HILL" in heard
    assert "Margin: " in heard
    assert "Worst point at km" in heard


def test_drawing_a_mast_up_is_one_undo_step(desk: Desk) -> None:
    desk.choose()
    top = desk.at(0.0, 10.0 + 8.0)
    desk.drag(top, desk.at(0.0, 10.0 + 28.0))
    height = desk.document.plan.site(HALL).antenna_agl_m
    assert height is not None
    assert height == pytest.approx(28.0, abs=1.0)  # a pixel is about 0.3 m, the step 0.5 m
    assert desk.document.undo_stack.count() == 1
    desk.document.undo_stack.undo()
    assert desk.document.plan == PLAN


def test_two_drags_are_two_undo_steps(desk: Desk) -> None:
    desk.choose()
    desk.drag(desk.at(0.0, 18.0), desk.at(0.0, 38.0))
    agl = desk.document.plan.site(HALL).antenna_agl_m
    assert agl is not None
    desk.drag(desk.at(0.0, 10.0 + agl), desk.at(0.0, 20.0))
    assert desk.document.undo_stack.count() == 2


def test_the_margin_follows_while_the_mouse_is_still_down(desk: Desk) -> None:
    desk.choose()
    seen = []
    desk.plot.model.changed.connect(
        lambda view: seen.append(next(f.text for f in path_facts(view) if f.key == "margin"))
    )
    start, stop = desk.at(0.0, 18.0), desk.at(0.0, 60.0)
    desk.mouse(QEvent.Type.MouseButtonPress, start)
    for n in range(1, 11):
        desk.mouse(QEvent.Type.MouseMove, start + (stop - start) * (n / 10))
    assert len(set(seen)) >= 5
    desk.mouse(QEvent.Type.MouseButtonRelease, stop)


def test_a_drag_beside_the_masts_changes_nothing_of_the_plan(desk: Desk) -> None:
    desk.choose()
    desk.drag(desk.at(2000.0, 18.0), desk.at(2500.0, 60.0))
    assert desk.document.plan == PLAN


def test_arrow_keys_take_a_mast_and_raise_it(desk: Desk, qtbot: QtBot) -> None:
    desk.choose()
    canvas = desk.plot.canvas
    canvas.setFocus()
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.selected_end == FAR
    qtbot.keyClick(canvas, Qt.Key.Key_Up)
    qtbot.keyClick(canvas, Qt.Key.Key_Up)
    qtbot.keyClick(canvas, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(canvas, Qt.Key.Key_PageUp)
    assert desk.document.plan.site(HILL).antenna_agl_m == pytest.approx(6.0 + 0.5 + 0.5 - 0.1 + 5)
    qtbot.keyClick(canvas, Qt.Key.Key_Left)
    assert canvas.selected_end == NEAR


def test_the_pointer_tells_its_place_to_the_other_views(desk: Desk) -> None:
    desk.choose()
    places: list[tuple[float, float] | None] = []
    desk.selection.place_changed.connect(places.append)
    desk.mouse(QEvent.Type.MouseMove, desk.at(2000.0, 30.0), Qt.MouseButton.NoButton)
    assert places
    place = places[-1]
    assert place is not None
    along = desk.plot.model.distance_of(*place, within_m=5.0)
    assert along == pytest.approx(2000.0, abs=25.0)  # sampling step and one pixel


def test_a_place_pointed_at_elsewhere_is_shown_on_the_profile(desk: Desk) -> None:
    desk.choose()
    place = desk.plot.model.place_at(3000.0)
    desk.selection.point_at(place)
    assert desk.plot.canvas.pointer_m == pytest.approx(3000.0, abs=10.0)
    desk.selection.point_at((51.0, 5.0))
    assert desk.plot.canvas.pointer_m is None


def test_picking_sites_in_the_header_makes_the_path(desk: Desk) -> None:
    picker = desk.plot.header.pickers[NEAR]
    picker.activated.emit(picker.findData(HILL))
    assert desk.selection.path is not None
    assert [e.site_id for e in desk.selection.path] == [HILL, HALL]
    desk.plot.header.swap_button.click()
    assert [e.site_id for e in desk.selection.path] == [HALL, HILL]


def test_an_end_can_be_loosened_to_a_point_on_the_map(desk: Desk) -> None:
    desk.choose()
    picker = desk.plot.header.pickers[FAR]
    picker.activated.emit(picker.count() - 1)
    assert desk.selection.path is not None
    assert desk.selection.path[FAR].site_id is None
    assert picker.currentText() == "point on the map"


def test_every_number_can_be_asked_for_its_working(desk: Desk, qtbot: QtBot) -> None:
    desk.choose()
    desk.plot.header.facts_label.linkActivated.emit("loss")
    qtbot.waitUntil(lambda: "delta-Bullington" in QToolTip.text())
    for words in ("P.1812", "free space loss", "Confidence"):
        assert words in QToolTip.text()
    QToolTip.hideText()
    qtbot.waitUntil(lambda: not QToolTip.isVisible())


@pytest.mark.parametrize(
    ("unit", "unit_m", "high_m", "words"),
    [
        ("km", 1000.0, 7000.0, ["0", "1", "2", "3", "4", "5", "6 km", "7"]),
        (
            "mi",
            1609.344,
            7000.0,
            ["0.0", "0.5", "1.0", "1.5", "2.0", "2.5", "3.0", "3.5", "4.0 mi"],
        ),
        ("m", 1.0, 320.0, ["0", "50", "100", "150", "200", "250", "300 m"]),
    ],
)
def test_axes_stand_at_round_numbers_of_their_unit(
    qapp: QApplication, unit: str, unit_m: float, high_m: float, words: list[str]
) -> None:
    axis = UnitAxis("bottom")
    axis.use_unit(unit, unit_m)
    axis.setRange(0.0, high_m)
    (spacing, ticks), *_ = axis.tickValues(0.0, high_m, 90.0 * 7)
    assert axis.tickStrings(ticks, 1.0, spacing) == words


def test_all_controls_have_names(desk: Desk) -> None:
    header = desk.plot.header
    for control in (*header.pickers, header.swap_button, desk.plot.canvas):
        assert control.accessibleName()


def test_the_plot_can_be_drawn_in_the_dark(desk: Desk) -> None:
    desk.choose()
    desk.theme.use(DARK)
    picture = desk.plot.canvas.grab().toImage()
    corner = picture.pixelColor(QPoint(picture.width() - 3, 3))
    assert corner.name().upper() == DARK.paper


class Given:
    """Ground given sample by sample."""

    def __init__(self, heights_m: list[float]) -> None:
        self._heights = np.array(heights_m)

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        n = self._heights.size
        return Profile(
            distance_m=np.linspace(0.0, 7000.0, n),
            ground_amsl_m=self._heights,
            lat_deg=np.linspace(lat1, lat2, n),
            lon_deg=np.linspace(lon1, lon2, n),
        )


NAN = float("nan")


@pytest.mark.parametrize(
    "heights_m",
    [
        [NAN] * 50,
        [NAN] * 10 + [20.0] * 40,
        [20.0] * 40 + [NAN] * 10,
        [20.0, NAN],
        [20.0, 30.0],
        [0.0] * 50,
        [-400.0, -390.0, -395.0],
        [20.0, 8848.0, 20.0],
    ],
)
def test_any_ground_can_be_drawn_and_told(desk: Desk, heights_m: list[float]) -> None:
    desk.plot.use_terrain(Given(heights_m), NothingToSay())  # type: ignore[arg-type]
    desk.choose()
    assert not desk.plot.canvas.grab().isNull()
    desk.mouse(QEvent.Type.MouseMove, QPointF(300.0, 100.0), Qt.MouseButton.NoButton)
    assert not desk.plot.canvas.grab().isNull()
    heard = desk.plot.canvas.accessibleDescription()
    assert ("no terrain data" in heard) is any(np.isnan(heights_m))
