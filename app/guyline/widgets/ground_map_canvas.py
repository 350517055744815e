"""The map itself: ground, plan, north and scale in one view that pans at the speed of the hand."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QKeyEvent, QPainter, QPolygonF
from PySide6.QtWidgets import QFrame

from guyline.core.plan import Units
from guyline.core.terrain.grid import Grid
from guyline.services.geodesy import LocalFrame
from guyline.services.map_shapes import MapShape
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.ground_view_grid import GridKind, grid_lines, scale_bar_m
from guyline.viewmodels.ground_view_layers import LayerPicture
from guyline.viewmodels.ground_view_relief import Relief
from guyline.widgets.ground_map_key import coverage_colors
from guyline.widgets.ground_map_plan import PlanDrawing
from guyline.widgets.ground_map_relief import ContourDrawing, relief_colors
from guyline.widgets.ground_map_shapes import ShapesDrawing
from guyline.widgets.ground_map_text import HaloText, hairline, on_screen, text_size
from guyline.widgets.ground_map_view_box import GroundViewBox
from guyline.widgets.theme import GRID_PX, Theme

GRID_POINTS = 8.0
SCALE_PX = 150.0  # what the scale bar may take of the lower edge
ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
PAN_SHARE = 0.1
ZOOM = 1.25
CLOSEST_M = 100.0


class GroundCanvas(pg.GraphicsView):  # type: ignore[misc]  # pyqtgraph ships no types
    """Draws what it is given; `pointed_at` carries metres of the local frame, or None.

    Its second value is the SiteMark or Link that is there, or None.
    """

    pointed_at = Signal(object, object)
    nudged = Signal(int, int)
    """Ctrl and an arrow: steps east and north for the selected site."""
    measure_wanted = Signal()
    activated = Signal()
    escaped = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(background=None)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(200, 160)
        self._theme = theme
        self._frame: LocalFrame | None = None
        self._units = Units.METRIC
        self._grid = GridKind.NONE
        self._text = HaloText()
        self.message = ""
        self.grid_labels: list[tuple[QRectF, str]] = []
        self.box = GroundViewBox()
        self.setCentralItem(self.box)
        # row-major: the other order turns every image before it is drawn
        self._image = pg.ImageItem(axisOrder="row-major")
        self._coverage = pg.ImageItem(axisOrder="row-major")
        self._contours = ContourDrawing(theme)
        self._shapes: tuple[MapShape, ...] = ()
        self._shapes_drawing = ShapesDrawing(theme)
        self.drawing = PlanDrawing(theme)
        for item in (
            self._image,
            self._coverage,
            self._contours,
            self._shapes_drawing,
            self.drawing,
        ):
            self.box.addItem(item, ignoreBounds=True)
        self.box.sigRangeChanged.connect(self._on_range_changed)
        self.scene().sigMouseMoved.connect(self._follow_pointer)
        self.use_theme(theme)

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        hatch = QBrush(QColor(theme.hairline), Qt.BrushStyle.BDiagPattern)
        self.setBackground(hatch)  # hatched is unknown here as everywhere
        self._text.clear()
        self._image.setLookupTable(relief_colors(theme))
        self._coverage.setLookupTable(coverage_colors(theme))
        self._contours.use_theme(theme)
        self._shapes_drawing.use_theme(theme)
        self.drawing.use_theme(theme)

    def use_frame(self, frame: LocalFrame, units: Units) -> None:
        self._frame, self._units = frame, units
        self._shapes_drawing.show_shapes(self._shapes, frame)
        self._remake_grid()

    def show_shapes(self, shapes: tuple[MapShape, ...]) -> None:
        """Lay areas and tracks over the ground; none takes them away."""
        self._shapes = shapes
        if self._frame is not None:
            self._shapes_drawing.show_shapes(shapes, self._frame)

    def show_coverage(self, picture: LayerPicture | None, grid: Grid | None = None) -> None:
        """Lay coverage by the cells of a grid over the ground, or take it away."""
        if picture is None or grid is None:
            self._coverage.clear()
            return
        _lay(self._coverage, picture.index, coverage_colors(self._theme), grid)

    def show_relief(self, relief: Relief | None, area: Area) -> None:
        """Draw the ground; an index image and a table of colours, so a theme costs nothing."""
        if relief is None:
            self._image.clear()
        else:
            _lay(self._image, relief.index, relief_colors(self._theme), relief.grid)
        self._contours.show_relief(relief, area)

    def show_area(self, area: Area) -> None:
        self.box.setLimits(minXRange=CLOSEST_M, maxXRange=20 * area.longer_m)
        self.box.setRange(
            QRectF(QPointF(area.west_m, area.south_m), QPointF(area.east_m, area.north_m)),
            padding=0.0,
        )

    def show_grid(self, kind: GridKind) -> None:
        self._grid = kind
        self._remake_grid()

    def zoom(self, factor: float) -> None:
        self.box.scaleBy((1.0 / factor, 1.0 / factor))

    def pan(self, right: float, up: float) -> None:
        """Move the view by shares of its size."""
        (west, east), (south, north) = self.box.viewRange()
        self.box.translateBy(x=right * (east - west), y=up * (north - south))

    def reveal(self, x_m: float, y_m: float) -> None:
        """Bring a place into view where it is out of it."""
        (west, east), (south, north) = self.box.viewRange()
        if not (west < x_m < east and south < y_m < north):
            self.box.translateBy(x=x_m - (west + east) / 2, y=y_m - (south + north) / 2)

    def seen_area(self) -> Area:
        (west, east), (south, north) = self.box.viewRange()
        return Area(west_m=west, south_m=south, east_m=east, north_m=north)

    def _on_range_changed(self) -> None:
        self._remake_grid()

    def _remake_grid(self) -> None:
        if self._frame is None:
            return
        lines = grid_lines(self._grid, self._frame, self.seen_area())
        self._contours.grid_lines = lines
        self._contours.update()
        self.grid_labels = self._grid_labels()
        size = self.viewport().size()
        scale = QRectF(0, size.height() - 36.0, SCALE_PX, 36.0)
        north = QRectF(size.width() - 40.0, 0, 40.0, 60.0)
        self.drawing.obstacles = (scale, north, *(box for box, _ in self.grid_labels))

    def _follow_pointer(self, scene_pos: QPointF) -> None:
        if self.box.sceneBoundingRect().contains(scene_pos):
            at = self.box.mapSceneToView(scene_pos)
            site = self.box.site_at(scene_pos)
            hit = self.box.link_at(scene_pos) if site is None else site
            self.pointed_at.emit((at.x(), at.y()), hit)

    def drawForeground(self, painter: QPainter, rect: QRectF) -> None:  # noqa: N802
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        with on_screen(painter):
            self._paint_message(painter)
            self._paint_grid_labels(painter)
            self._paint_scale(painter)
            self._paint_north(painter)

    def _grid_labels(self) -> list[tuple[QRectF, str]]:
        """Labels along the left and lower edge, where the lines leave the view."""
        size = self.viewport().size()
        found = []
        for line in self._contours.grid_lines:
            points = [
                QPointF(self.box.mapViewToScene(QPointF(x, y)))
                for x, y in zip(line.x_m, line.y_m, strict=True)
            ]
            width, height = text_size(line.label, GRID_POINTS)
            box = QRectF(0.0, 0.0, width, height)
            if line.is_upright:
                x = _crossing(points, size.height() - 12.0, is_upright=True)
                box.moveCenter(QPointF(x, size.height() - height / 2 - 4))
                fits = box.left() > SCALE_PX + GRID_PX and box.right() < size.width()
            else:
                y = _crossing(points, width / 2, is_upright=False)
                box.moveCenter(QPointF(width / 2 + 6, y))
                fits = box.top() > 0 and box.bottom() < size.height() - 40.0
            if fits:
                found.append((box, line.label))
        return found

    def _paint_message(self, painter: QPainter) -> None:
        if self.message:
            middle = QPointF(self.viewport().rect().center())
            ink, paper = self._theme.ink, self._theme.paper
            self._text.draw(painter, middle, self.message, ink, paper, points=9.5)

    def _paint_grid_labels(self, painter: QPainter) -> None:
        theme = self._theme
        for box, words in self.grid_labels:
            self._text.draw(
                painter, box.center(), words, theme.accent, theme.paper, points=GRID_POINTS
            )

    def _paint_scale(self, painter: QPainter) -> None:
        theme, size = self._theme, self.viewport().size()
        metres_per_px = self.box.viewPixelSize()[0]
        length, words = scale_bar_m(metres_per_px, self._units, 120.0)
        width = length / metres_per_px
        left, base = 2.0 * GRID_PX, size.height() - 2.0 * GRID_PX
        bar = QPolygonF(
            [
                QPointF(left, base - 6),
                QPointF(left, base),
                QPointF(left + width, base),
                QPointF(left + width, base - 6),
            ]
        )
        for color, thick in ((theme.paper, 5.0), (theme.ink, 2.0)):
            painter.setPen(hairline(color, thick))
            painter.drawPolyline(bar)
        middle = QPointF(left + width / 2, base - 10)
        self._text.draw(painter, middle, words, theme.ink, theme.paper, points=8.5, bold=True)

    def _paint_north(self, painter: QPainter) -> None:
        theme = self._theme
        x, y = self.viewport().width() - 3.0 * GRID_PX, 2.0 * GRID_PX
        needle = QPolygonF(
            [QPointF(x, y), QPointF(x + 7, y + 24), QPointF(x, y + 19), QPointF(x - 7, y + 24)]
        )
        painter.setPen(hairline(theme.paper, 4.0))
        painter.drawPolygon(needle)
        painter.setPen(hairline(theme.ink, 1.0))
        painter.setBrush(QColor(theme.ink))
        painter.drawPolygon(needle)
        self._text.draw(
            painter, QPointF(x, y + 33), "N", theme.ink, theme.paper, points=9.0, bold=True
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        way = ARROWS.get(Qt.Key(event.key()))
        if way is not None and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.nudged.emit(*way)
            event.accept()
            return
        step = PAN_SHARE * (5 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1)
        key = Qt.Key
        actions: dict[Qt.Key, Callable[[], object]] = {
            arrow: lambda right=right, up=up: self.pan(step * right, step * up)
            for arrow, (right, up) in ARROWS.items()
        } | {
            key.Key_Plus: lambda: self.zoom(ZOOM),
            key.Key_Equal: lambda: self.zoom(ZOOM),
            key.Key_M: self.measure_wanted.emit,
            key.Key_Minus: lambda: self.zoom(1.0 / ZOOM),
            key.Key_Return: self.activated.emit,
            key.Key_Enter: self.activated.emit,
            key.Key_Escape: self.escaped.emit,
        }
        action = actions.get(Qt.Key(event.key()))
        if action is None:
            super().keyPressEvent(event)
            return
        action()
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:
        self.pointed_at.emit(None, None)
        super().leaveEvent(event)


def _lay(
    image: pg.ImageItem, index: NDArray[np.uint8], colors: NDArray[np.uint8], grid: Grid
) -> None:
    image.setImage(index, autoLevels=False, levels=None, lut=colors)
    width, height = grid.east_m - grid.west_m, grid.north_m - grid.south_m
    image.setRect(QRectF(grid.west_m, grid.south_m, width, height))


def _crossing(points: list[QPointF], level: float, *, is_upright: bool) -> float:
    """Where a line crosses a level of the screen, counted along the other axis."""
    for a, b in pairwise(points):
        if is_upright:
            a, b = QPointF(a.y(), a.x()), QPointF(b.y(), b.x())
        if min(a.x(), b.x()) <= level <= max(a.x(), b.x()) and a.x() != b.x():
            return a.y() + (b.y() - a.y()) * (level - a.x()) / (b.x() - a.x())
    return -1.0
