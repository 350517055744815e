"""Frames of the map and of the profile plot against the plain way to draw them, in one run."""

from __future__ import annotations

from collections.abc import Callable
from time import thread_time

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QPolygonF
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.ground_view_layers import LayerPicture
from guyline.viewmodels.ground_view_relief import Relief, relief_of
from guyline.viewmodels.path_view_curves import ground_curve, raised_by_curvature_m
from guyline.widgets.ground_map_canvas import GroundCanvas
from guyline.widgets.theme import DARK, LIGHT

pytestmark = pytest.mark.benchmark

SIDE = 4000
CELL_M = 30.0
AREA = Area(west_m=0.0, south_m=0.0, east_m=SIDE * CELL_M, north_m=SIDE * CELL_M)


def best_seconds(work: Callable[[], None], repeats: int = 8) -> float:
    spent = []
    for _ in range(repeats):
        start = thread_time()  # of this thread alone: the machine may be busy
        work()
        spent.append(thread_time() - start)
    return min(spent)


@pytest.fixture(scope="module")
def heights() -> np.ndarray:
    """Ground of broad hills with grain on them, four thousand cells a side."""
    at = np.arange(SIDE, dtype=np.float32) * CELL_M
    x, y = np.meshgrid(at, at)
    ground = 200 + 150 * np.sin(x / 7000) * np.cos(y / 5000) + 30 * np.sin(x / 900 + y / 700)
    ground += np.random.default_rng(1).normal(0, 1, ground.shape)
    return ground.astype(np.float32)


@pytest.fixture(scope="module")
def relief(heights: np.ndarray) -> Relief:
    grid = Grid(
        ground_amsl_m=heights,
        cell_m=CELL_M,
        west_m=0.0,
        north_m=SIDE * CELL_M,
        lat0_deg=50.0,
        lon0_deg=5.0,
    )
    return relief_of(grid)


@pytest.fixture
def canvas(qtbot: QtBot, relief: Relief) -> GroundCanvas:
    canvas = GroundCanvas(LIGHT)
    shown(qtbot, canvas)
    canvas.show_relief(relief, AREA)
    canvas.show_area(AREA)
    canvas.viewport().repaint()
    return canvas


@pytest.fixture
def plain(qtbot: QtBot, heights: np.ndarray) -> tuple[pg.GraphicsView, pg.ImageItem]:
    """The same heights as numbers with a colour map, as one would draw them at first."""
    view, box = pg.GraphicsView(), pg.ViewBox(lockAspect=True)
    view.setCentralItem(box)
    image = pg.ImageItem(axisOrder="row-major")
    box.addItem(image)
    shown(qtbot, view)
    with_void = heights.copy()
    with_void[:40, :40] = np.nan
    image.setImage(with_void, levels=(0.0, 400.0))
    image.setColorMap(pg.colormap.get("CET-L1"))
    image.setRect(QRectF(0, 0, SIDE * CELL_M, SIDE * CELL_M))
    view.viewport().repaint()
    return view, image


def shown(qtbot: QtBot, widget: QWidget) -> None:
    widget.resize(1200, 900)
    qtbot.addWidget(widget)
    widget.show()
    qtbot.waitExposed(widget)


def test_recolouring_the_ground_is_much_faster_than_with_numbers(
    canvas: GroundCanvas,
    plain: tuple[pg.GraphicsView, pg.ImageItem],
    record_property: Callable[[str, object], None],
) -> None:
    view, image = plain
    themes = iter([DARK, LIGHT] * 20)
    tops = iter(np.linspace(300.0, 500.0, 40))

    def ours() -> None:
        canvas.use_theme(next(themes))
        canvas.viewport().repaint()

    def theirs() -> None:
        image.setLevels((0.0, float(next(tops))))
        view.viewport().repaint()

    ratio = best_seconds(theirs) / best_seconds(ours)
    record_property("ratio", round(ratio, 1))
    assert ratio > 2.0


def test_panning_costs_a_small_part_of_making_the_picture(
    canvas: GroundCanvas, relief: Relief, record_property: Callable[[str, object], None]
) -> None:
    def pan() -> None:
        canvas.pan(0.01, 0.003)
        canvas.viewport().repaint()

    frame = best_seconds(pan)
    made = best_seconds(lambda: relief_of(relief.grid), repeats=1)
    record_property("frame_ms", round(1000 * frame, 1))
    record_property("ratio", round(made / frame, 1))
    assert made / frame > 20


def test_coverage_over_the_ground_leaves_a_frame_quick(
    canvas: GroundCanvas, relief: Relief, record_property: Callable[[str, object], None]
) -> None:
    side = 1000  # as many cells as the window's coverage has at most
    index = np.random.default_rng(3).integers(1, 6, (side, side)).astype(np.uint8)
    cells = Grid(
        ground_amsl_m=np.zeros((side, side), dtype=np.float32),
        cell_m=SIDE * CELL_M / side,
        west_m=0.0,
        north_m=SIDE * CELL_M,
        lat0_deg=50.0,
        lon0_deg=5.0,
    )

    def pan() -> None:
        canvas.pan(0.01, 0.003)
        canvas.viewport().repaint()

    bare = best_seconds(pan)
    canvas.show_coverage(LayerPicture(index, ()), cells)
    canvas.viewport().repaint()
    covered = best_seconds(pan)
    record_property("frame_ms", round(1000 * covered, 1))
    record_property("ratio", round(covered / bare, 1))
    assert covered / bare < 4.0


def test_contours_are_thinned_to_a_part_of_their_points(relief: Relief) -> None:
    lines = sum(len(c.points_m) for c in relief.contours)
    cells_crossed = sum(
        np.abs(np.diff(c.points_m, axis=0)).sum() / (CELL_M * SIDE / 800) for c in relief.contours
    )
    assert lines < 0.8 * cells_crossed  # an unthinned contour has a point at each cell it crosses


def test_a_profile_is_drawn_from_far_fewer_points_than_it_has(
    record_property: Callable[[str, object], None],
) -> None:
    n = 100_000
    d = np.linspace(0.0, 60e3, n)
    ground = np.random.default_rng(2).normal(0, 0.3, n).cumsum() + 300
    profile = Profile(distance_m=d, ground_amsl_m=ground, lat_deg=d, lon_deg=d)
    curve = ground_curve(profile, 4 / 3, columns=1200)
    assert curve.distance_m.size <= 1202
    assert curve.raised_m.max() == raised_by_curvature_m(profile, 4 / 3).max()

    picture = QImage(1200, 400, QImage.Format.Format_RGB32)

    def draw(distance_m: np.ndarray, height_m: np.ndarray) -> None:
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        x, y = distance_m / 50.0, 400.0 - height_m / 2.0
        painter.drawPolyline(QPolygonF([QPointF(*p) for p in zip(x, y, strict=True)]))
        painter.end()

    def thinned() -> None:
        fresh = ground_curve(profile, 4 / 3, columns=1200)
        draw(fresh.distance_m, fresh.raised_m)

    whole = best_seconds(lambda: draw(d, raised_by_curvature_m(profile, 4 / 3)), 3)
    ratio = whole / best_seconds(thinned, 3)
    record_property("ratio", round(ratio, 1))
    assert ratio > 4.0
