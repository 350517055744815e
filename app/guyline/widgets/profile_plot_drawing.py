"""Paints a path: ground, line of sight, Fresnel zone, worst point, voids and masts."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QPainter,
    QPolygonF,
)
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from guyline.core.units import Numbers
from guyline.viewmodels.path_view import NEAR, PathView
from guyline.viewmodels.path_view_curves import Curves, SightCurves, WorstMark, masts
from guyline.viewmodels.path_view_words import (
    height_text,
    is_clear,
    legend_text,
    pointer_text,
    short_legend_text,
    void_sentences,
    worst_label,
)
from guyline.widgets.ground_map_text import HaloText, hairline, on_screen, text_size
from guyline.widgets.theme import GRID_PX, Theme, font

HANDLE_PX = 5.0
CAPTION_PX = 22.0  # the line of words along the bottom


class ProfileDrawing(pg.GraphicsObject):  # type: ignore[misc]  # pyqtgraph ships no types
    """One item for the whole picture, painted in metres along and metres above the sea."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._view: PathView | None = None
        self._curves: Curves | None = None
        self._bounds = QRectF()
        self.guides_m: tuple[float, ...] = ()
        self.selected_end: int | None = None
        self.pointer_m: float | None = None
        self._taken_boxes: list[QRectF] = []
        self._text = HaloText()

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self._text.clear()
        self.update()

    def show_curves(self, view: PathView | None, curves: Curves | None, bounds: QRectF) -> None:
        self.prepareGeometryChange()
        self._view, self._curves, self._bounds = view, curves, bounds
        self.update()

    def boundingRect(self) -> QRectF:
        return self._bounds

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        if self._view is None or self._curves is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._taken_boxes = []
        self._paint_guides(painter)
        self._paint_ground(painter, self._curves)
        self._paint_clutter(painter, self._curves)
        self._paint_voids(painter, self._view)
        if self._curves.sight is not None:
            self._paint_zone(painter, self._curves.sight)
        self._paint_pointer(painter, self._view)
        self._paint_caption(painter, self._view)
        self._paint_masts(painter, self._view)
        if self._curves.worst is not None:
            self._paint_worst(painter, self._view, self._curves.worst)

    def _paint_guides(self, painter: QPainter) -> None:
        painter.setPen(hairline(self._theme.hairline))
        for height in self.guides_m:
            painter.drawLine(QLineF(self._bounds.left(), height, self._bounds.right(), height))

    def _paint_ground(self, painter: QPainter, curves: Curves) -> None:
        floor = self._bounds.top()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._theme.ground_fill))
        lines = _known_stretches(curves.ground.distance_m, curves.ground.raised_m)
        for line in lines:
            body = QPolygonF(line)
            body.append(QPointF(line[-1].x(), floor))
            body.append(QPointF(line[0].x(), floor))
            painter.drawPolygon(body)
        painter.setPen(hairline(self._theme.ground_line))
        for line in lines:
            painter.drawPolyline(QPolygonF(line))
        painter.setPen(hairline(self._theme.ground_line, style=Qt.PenStyle.DotLine))
        low = curves.low_ground
        for line in _known_stretches(low.distance_m, low.raised_m):
            painter.drawPolyline(QPolygonF(line))

    def _paint_clutter(self, painter: QPainter, curves: Curves) -> None:
        """What stands on the ground, hatched the way voids are not."""
        ground = curves.ground
        covered = ground.top_m > ground.raised_m
        if not covered.any():
            return
        hatch = QBrush(QColor(self._theme.ground_line), Qt.BrushStyle.FDiagPattern)
        inverse, _ = painter.worldTransform().inverted()
        hatch.setTransform(inverse)
        painter.setPen(hairline(self._theme.ground_line))
        painter.setBrush(hatch)
        edges = np.flatnonzero(np.diff(np.concatenate(([False], covered, [False])).astype(int)))
        for first, end in zip(edges[::2], edges[1::2], strict=True):
            x, top, foot = (
                part[first:end] for part in (ground.distance_m, ground.top_m, ground.raised_m)
            )
            band = _points(x, top) + _points(x[::-1], foot[::-1])
            painter.drawPolygon(QPolygonF(band))

    def _paint_voids(self, painter: QPainter, view: PathView) -> None:
        assert view.profile is not None
        hatch = QBrush(QColor(self._theme.muted), Qt.BrushStyle.BDiagPattern)
        inverse, _ = painter.worldTransform().inverted()
        hatch.setTransform(inverse)  # else the lines would be stretched with the axes
        for low, high in view.profile.void_ranges_m():
            painter.setPen(hairline(self._theme.muted, style=Qt.PenStyle.DashLine))
            painter.setBrush(hatch)
            painter.drawRect(
                QRectF(QPointF(low, self._bounds.top()), QPointF(high, self._bounds.bottom()))
            )
        for words, (low, high) in zip(
            void_sentences(view), view.profile.void_ranges_m(), strict=True
        ):
            middle = self._bounds.top() + 0.5 * self._bounds.height()
            self._label(painter, QPointF((low + high) / 2, middle), words, self._theme.ink)

    def _paint_zone(self, painter: QPainter, sight: SightCurves) -> None:
        color = QColor(self._theme.lines[0])
        tint = QColor(color)
        tint.setAlphaF(0.22 if self._theme.is_dark else 0.16)
        lens = QPolygonF(
            _points(sight.distance_m, sight.zone_top_m)
            + _points(sight.distance_m[::-1], sight.zone_bottom_m[::-1])
        )
        painter.setPen(hairline(color))
        painter.setBrush(tint)
        painter.drawPolygon(lens)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(hairline(color, style=Qt.PenStyle.DashLine))
        for edge in (sight.clear_top_m, sight.clear_bottom_m):
            painter.drawPolyline(QPolygonF(_points(sight.distance_m, edge)))
        painter.setPen(hairline(self._theme.ink))
        painter.drawLine(QLineF(0.0, sight.line_m[0], sight.distance_m[-1], sight.line_m[-1]))

    def _paint_worst(self, painter: QPainter, view: PathView, mark: WorstMark) -> None:
        assert view.path is not None
        assert view.path.worst is not None
        color = self._theme.ink if is_clear(view.path.worst) else self._theme.lines[1]
        to = painter.worldTransform()
        foot = to.map(QPointF(mark.distance_m, mark.ground_m))
        goal = to.map(QPointF(mark.distance_m, mark.clear_m))
        with on_screen(painter):
            painter.setPen(hairline(color, width=2.0))
            painter.drawLine(foot, goal)
            for end in (foot, goal):
                painter.drawLine(end - QPointF(4, 0), end + QPointF(4, 0))
        words = worst_label(view.path.worst, view.plan.incident.units)
        lower = QPointF(mark.distance_m, min(mark.ground_m, mark.clear_m))
        self._label(painter, lower, words, color, below=True)

    def _paint_masts(self, painter: QPainter, view: PathView) -> None:
        for end, mast in enumerate(masts(view)):
            if np.isnan(mast.foot_m):  # nobody knows where it would stand
                continue
            to = painter.worldTransform()
            foot = to.map(QPointF(mast.distance_m, mast.foot_m))
            top = to.map(QPointF(mast.distance_m, mast.top_m))
            agl = view.ends[end].antenna_agl_m
            words = "?" if agl is None else height_text(agl, view.plan.incident.units)
            with on_screen(painter):
                style = Qt.PenStyle.DotLine if agl is None else Qt.PenStyle.SolidLine
                painter.setPen(hairline(self._theme.ink, 2.0, style))
                painter.drawLine(foot, top)
                is_selected = end == self.selected_end
                painter.setBrush(QColor(self._theme.accent if is_selected else self._theme.paper))
                painter.drawEllipse(top, HANDLE_PX, HANDLE_PX)
                if is_selected:
                    painter.setBrush(Qt.BrushStyle.NoBrush)
                    painter.setPen(hairline(self._theme.accent, width=1.5))
                    painter.drawEllipse(top, HANDLE_PX + 3, HANDLE_PX + 3)
            self._mast_label(painter, end, top, f"{view.ends[end].label}  {words}")

    def _mast_label(self, painter: QPainter, end: int, top: QPointF, words: str) -> None:
        """Name and height beside the handle, clear of the mark at the worst point."""
        width, height = text_size(words, 8.5, bold=True)
        edges = painter.worldTransform().mapRect(self._bounds)
        room = edges.adjusted(4, 0, -4, 0)
        left = top.x() - HANDLE_PX if end == NEAR else top.x() + HANDLE_PX - width
        above, below = top.y() - HANDLE_PX - 4 - height, top.y() + HANDLE_PX + 4
        places = [
            QRectF(left, y, width, height)
            for y in (above, below, above - height, above - 2 * height, below + height)
        ]
        lowest = edges.bottom() - CAPTION_PX
        fitting = [
            _kept_inside(box, room)
            for box in places
            if edges.top() <= box.top() and box.bottom() <= lowest
        ] or [_kept_inside(places[0], room)]
        taken = self._worst_box(painter)
        box = next((b for b in fitting if not b.intersects(taken)), fitting[0])
        self._taken_boxes.append(box)
        ink, paper = self._theme.ink, self._theme.paper
        self._text.draw(painter, box.center(), words, ink, paper, points=8.5, bold=True)

    def _worst_box(self, painter: QPainter) -> QRectF:
        """What the mark at the worst point covers."""
        mark = None if self._curves is None else self._curves.worst
        if mark is None:
            return QRectF()
        to = painter.worldTransform()
        ends = (mark.ground_m, mark.clear_m)
        a, b = (to.map(QPointF(mark.distance_m, height)) for height in ends)
        return QRectF(a, b).normalized().adjusted(-6, -3, 6, 3)

    def _paint_pointer(self, painter: QPainter, view: PathView) -> None:
        if self.pointer_m is None:
            return
        x = self.pointer_m
        painter.setPen(hairline(self._theme.accent))
        painter.drawLine(QLineF(x, self._bounds.top(), x, self._bounds.bottom()))

    def _paint_caption(self, painter: QPainter, view: PathView) -> None:
        """Along the bottom: what is under the pointer, or else what the lines are."""
        is_pointing = self.pointer_m is not None
        edges = painter.worldTransform().mapRect(self._bounds)
        measure = QFontMetricsF(font(8.0, bold=is_pointing))
        words = legend_text(view)
        if self.pointer_m is not None:
            words = pointer_text(view, self.pointer_m)
        elif measure.horizontalAdvance(words) > edges.width() - 40:
            words = short_legend_text(view)
        words = measure.elidedText(words, Qt.TextElideMode.ElideRight, edges.width() - 40)
        middle = QPointF(edges.center().x(), edges.bottom() - CAPTION_PX / 2)
        ink, ground = self._theme.ink, self._theme.ground_fill
        self._text.draw(painter, middle, words, ink, ground, points=8.0, bold=is_pointing)

    def _free_place(self, box: QRectF, room: QRectF) -> QRectF:
        """The box inside the room, moved as little as keeps it off what is written already."""
        step = box.height() + 4
        moves = [(0.0, 0.0)]
        for n in (1, 2, 3):
            moves += [(0.0, n * step), (0.0, -n * step)]
        moves += [(-box.width(), 0.0), (box.width(), 0.0)]
        places = [_kept_inside(box.translated(x, y), room) for x, y in moves]
        return next(
            (p for p in places if not any(p.intersects(taken) for taken in self._taken_boxes)),
            places[0],
        )

    def _label(
        self, painter: QPainter, at: QPointF, words: str, color: str, *, below: bool = False
    ) -> None:
        """Write on a strip of paper beside a place, kept inside the plot."""
        face = font(8.5, bold=True)
        measure = QFontMetricsF(face)
        box = QRectF(0, 0, measure.horizontalAdvance(words) + GRID_PX, measure.height() + 2)
        edges = painter.worldTransform().mapRect(self._bounds)
        place = painter.worldTransform().map(at)
        box.moveCenter(place + QPointF(0, box.height() / 2 + 5) if below else place)
        box = self._free_place(box, edges.adjusted(2, 2, -2, -CAPTION_PX))
        with on_screen(painter):
            painter.setPen(hairline(color))
            painter.setBrush(QColor(self._theme.paper))
            painter.drawRoundedRect(box, 2, 2)
            painter.setFont(face)
            painter.setPen(QColor(self._theme.ink))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)


def _kept_inside(box: QRectF, room: QRectF) -> QRectF:
    left = min(max(box.left(), room.left()), room.right() - box.width())
    top = min(max(box.top(), room.top()), room.bottom() - box.height())
    return QRectF(left, top, box.width(), box.height())


def _points(x: Numbers, y: Numbers) -> list[QPointF]:
    return [QPointF(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True)]


def _known_stretches(x: Numbers, y: Numbers) -> list[list[QPointF]]:
    """The line cut wherever no data says."""
    known = ~np.isnan(y)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], known, [False])).astype(np.int8)))
    return [_points(x[a:b], y[a:b]) for a, b in zip(edges[::2], edges[1::2], strict=True)]
