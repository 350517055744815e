"""Areas and tracks of a file, hatched and dashed over the ground."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPolygonF
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from guyline.core.plan import LayerKind
from guyline.services.geodesy import LocalFrame
from guyline.services.map_shapes import MapShape
from guyline.widgets.ground_map_text import HaloText, hairline, text_size
from guyline.widgets.theme import Theme

# Never hatched one way, so that nobody takes an area for unknown ground. The pattern and the word
# tell the kinds apart; the number is that of the theme's line whose colour goes with it.
LOOKS = {
    LayerKind.FLOOD: (Qt.BrushStyle.HorPattern, 0),
    LayerKind.FIRE: (Qt.BrushStyle.CrossPattern, 1),
    LayerKind.ACCESS: (Qt.BrushStyle.Dense7Pattern, 3),
    LayerKind.OTHER: (Qt.BrushStyle.DiagCrossPattern, 3),
}
NAME_POINTS = 8.0


class ShapesDrawing(pg.GraphicsObject):  # type: ignore[misc]  # pyqtgraph ships no types
    """All areas and tracks in one item, in metres of the local frame."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._shapes: tuple[MapShape, ...] = ()
        self._areas: dict[LayerKind, QPainterPath] = {}
        self._tracks = QPainterPath()
        self._names: list[tuple[QPointF, str, QRectF]] = []
        self._text = HaloText()

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self._text.clear()
        self.update()

    def show_shapes(self, shapes: tuple[MapShape, ...], frame: LocalFrame) -> None:
        self.prepareGeometryChange()
        self._shapes = shapes
        self._areas, self._tracks, self._names = {}, QPainterPath(), []
        for known in shapes:
            areas = self._areas.setdefault(known.kind, QPainterPath())
            path = areas if known.is_area else self._tracks
            room = QRectF()
            for lat, lon in known.parts:
                x, y = frame.to_xy(lat, lon)
                corners = [QPointF(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True)]
                path.addPolygon(QPolygonF(corners))
                room = room.united(QPolygonF(corners).boundingRect())
            x0, y0 = frame.to_xy(*known.anchor)
            self._names.append((QPointF(float(x0), float(y0)), known.label, room))
        self.update()

    def boundingRect(self) -> QRectF:
        box = self._tracks.boundingRect()
        for areas in self._areas.values():
            box = box.united(areas.boundingRect())
        return box

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        for kind, areas in self._areas.items():
            pattern, line = LOOKS[kind]
            ink = QColor(self._theme.lines[line])
            hatch = QBrush(ink, pattern)
            hatch.setTransform(painter.worldTransform().inverted()[0])
            painter.setPen(hairline(ink))
            painter.setBrush(hatch)
            painter.drawPath(areas)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(hairline(self._theme.ink, style=Qt.PenStyle.DashDotLine))
        painter.drawPath(self._tracks)
        for at, name, room in self._names:
            place = painter.worldTransform().map(at)
            seen = painter.worldTransform().mapRect(room)
            # a name larger than what it names would only hide the plan; the pointer tells it
            has_room = max(seen.width(), seen.height()) > text_size(name, NAME_POINTS)[0]
            if name and has_room and QRectF(painter.viewport()).contains(place):
                ink_name, paper = self._theme.ink, self._theme.paper
                self._text.draw(painter, place, name, ink_name, paper, points=NAME_POINTS)
