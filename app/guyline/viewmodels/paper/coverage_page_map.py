"""The map of coverage on paper: hatching under contours, a grid, sites and places by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPolygonF

from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers
from guyline.services.documents.content import CoverageNode, CoveragePage, CoveragePlace
from guyline.services.geodesy import LocalFrame
from guyline.services.map_shapes import MapShape
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.ground_view_coverage import Reach
from guyline.viewmodels.ground_view_grid import GridKind, GridLine, grid_lines
from guyline.viewmodels.ground_view_relief import GroundLines, contour_levels
from guyline.viewmodels.paper.blocks import beside, in_rows, padded, text
from guyline.viewmodels.paper.coverage_page_hatching import (
    DOTS_PER_MM,
    PRINTED,
    black_and_white,
    hatched,
    service_classes,
)
from guyline.viewmodels.paper.label_places import LabelPlaces, Point
from guyline.viewmodels.paper.map_frame import north_arrow, scale_bar
from guyline.viewmodels.paper.marks import MEDIUM_MM, Block, Frame, Mark, Picture, Shape, Words
from guyline.viewmodels.paper.network_sketch import RADIUS_MM, node_mark
from guyline.viewmodels.paper.type import (
    BODY,
    SMALL,
    STRONG,
    Style,
    line_height_mm,
    width_mm,
)

LEVELS_APART_MM = 32.0
_HOUSE_MM = 3.4
_MINOR_DOTS, _INDEX_DOTS, _SHORE_DOTS, _GRID_DOTS = 1, 3, 5, 2
_CLEAR_MM = 0.5
_INSET_MM = 2.0
_SWATCH_MM = (9.0, 4.6)
LEVEL = Style(size_pt=7.5)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where the metres of a grid fall on the paper."""

    grid: Grid
    mm_per_m: float

    @property
    def width_mm(self) -> float:
        return (self.grid.east_m - self.grid.west_m) * self.mm_per_m

    @property
    def height_mm(self) -> float:
        return (self.grid.north_m - self.grid.south_m) * self.mm_per_m

    def place(self, east_m: float, north_m: float) -> Point:
        return (
            (east_m - self.grid.west_m) * self.mm_per_m,
            (self.grid.north_m - north_m) * self.mm_per_m,
        )

    def holds(self, at: Point) -> bool:
        return 0.0 <= at[0] <= self.width_mm and 0.0 <= at[1] <= self.height_mm

    def polygon(self, x_m: Numbers, y_m: Numbers) -> QPolygonF:
        """A line in dots of the picture."""
        x = (x_m - self.grid.west_m) * self.mm_per_m * DOTS_PER_MM
        y = (self.grid.north_m - y_m) * self.mm_per_m * DOTS_PER_MM
        return QPolygonF([QPointF(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True)])


def sheet_of(grid: Grid, width: float, most_height: float) -> Sheet:
    """All of a grid, as large as it fits."""
    wide, tall = grid.east_m - grid.west_m, grid.north_m - grid.south_m
    return Sheet(grid, min(width / wide, most_height / tall))


def coverage_map(page: CoveragePage, sheet: Sheet, ground: GroundLines, width: float) -> Block:
    """All that was worked out, north up, in the middle of `width`."""
    grid = sheet.grid
    lines = _grid_lines(grid)
    names = _Names(sheet)
    names.keep_free(north_arrow(sheet.width_mm - _INSET_MM), dx=0.0, dy=_INSET_MM)
    names.keep_free(scale_bar(sheet.mm_per_m, sheet.height_mm - _INSET_MM), dx=_INSET_MM, dy=0.0)
    marks: list[Mark] = [*names.free]
    marks += names.nodes(page.nodes)
    marks += names.places(page.places)
    marks += names.shapes(page.shapes)
    marks += names.grid_labels(lines)
    marks += names.levels(ground)
    picture = hatched(service_classes(page.coverage), sheet.width_mm, sheet.height_mm)
    _paint_ground(picture, sheet, ground, lines, page.shapes)
    _clear(picture, names.cleared)
    made = Picture(
        x_mm=0.0,
        y_mm=0.0,
        width_mm=sheet.width_mm,
        height_mm=sheet.height_mm,
        image=black_and_white(picture),
    )
    frame = Frame(
        x_mm=0.0,
        y_mm=0.0,
        width_mm=sheet.width_mm,
        height_mm=sheet.height_mm,
        pen_mm=MEDIUM_MM,
    )
    block = Block(sheet.width_mm, sheet.height_mm, (made, frame, *marks))
    return padded(block, left=(width - sheet.width_mm) / 2.0)


def _grid_lines(grid: Grid) -> tuple[GridLine, ...]:
    area = Area(west_m=grid.west_m, south_m=grid.south_m, east_m=grid.east_m, north_m=grid.north_m)
    frame = LocalFrame(grid.lat0_deg, grid.lon0_deg)
    return grid_lines(GridKind.UTM, frame, area)


class _Names:
    """Marks and names over the picture, and which places they need white beneath them."""

    def __init__(self, sheet: Sheet) -> None:
        self._sheet = sheet
        self._room = LabelPlaces(sheet.width_mm, sheet.height_mm)
        self.cleared: list[QRectF] = []
        self.free: list[Mark] = []

    def keep_free(self, marks: Sequence[Mark], *, dx: float, dy: float) -> None:
        """Marks near the rim of the map, which nothing may cover."""
        for mark in (mark.moved(dx, dy) for mark in marks):
            self.free.append(mark)
            self._take(_box(mark))

    def nodes(self, nodes: Iterable[CoverageNode]) -> list[Mark]:
        """Every site on the sheet, black where it was counted."""
        placed = [(n, self._sheet.place(n.east_m, n.north_m)) for n in nodes]
        seen = [(n, at) for n, at in placed if self._sheet.holds(at)]
        marks: list[Mark] = []
        for node, at in seen:
            marks.append(node_mark(node.function, at, node.is_server))
            self._take(_round(at, RADIUS_MM + 0.4))
        return [*marks, *self._named((n.site_id, at, STRONG) for n, at in seen)]

    def places(self, places: Iterable[CoveragePlace]) -> list[Mark]:
        """Houses, black where served; a place that is not has its state beside its name."""
        placed = [(p, self._sheet.place(p.east_m, p.north_m)) for p in places]
        seen = [(p, at) for p, at in placed if self._sheet.holds(at)]
        marks: list[Mark] = []
        for place, at in seen:
            marks.append(house_mark(at, place.is_served))
            self._take(_round(at, _HOUSE_MM / 2 + 0.4))
        return [*marks, *self._named((_place_name(p), at, BODY) for p, at in seen)]

    def shapes(self, shapes: Iterable[MapShape]) -> list[Mark]:
        """What areas and tracks are, in words on them."""
        frame = LocalFrame(self._sheet.grid.lat0_deg, self._sheet.grid.lon0_deg)
        marks: list[Mark] = []
        for shape in shapes:
            east, north = frame.to_xy(*shape.anchor)
            x, y = self._sheet.place(float(east), float(north))
            left, top = x - width_mm(shape.label, SMALL) / 2, y - line_height_mm(SMALL) / 2
            if shape.label:
                marks += self._put_if_free(shape.label, left, top, SMALL)
        return marks

    def grid_labels(self, lines: Sequence[GridLine]) -> list[Mark]:
        """Eastings along the upper edge, northings along the right one."""
        marks: list[Mark] = []
        for line in lines:
            wide, tall = width_mm(line.label, SMALL), line_height_mm(SMALL)
            x, y = self._sheet.place(float(line.x_m[-1]), float(line.y_m[-1]))
            left = x - wide / 2 if line.is_upright else self._sheet.width_mm - wide - 1.0
            top = 0.8 if line.is_upright else y - tall / 2
            marks += self._put_if_free(line.label, left, top, SMALL)
        return marks

    def levels(self, ground: GroundLines) -> list[Mark]:
        """Heights on the heavier contours."""
        marks: list[Mark] = []
        for level in contour_levels(ground.contours, LEVELS_APART_MM / self._sheet.mm_per_m):
            x, y = self._sheet.place(level.x_m, level.y_m)
            words = f"{level.height_m:.0f}"
            left, top = x - width_mm(words, LEVEL) / 2, y - line_height_mm(LEVEL) / 2
            marks += self._put_if_free(words, left, top, LEVEL)
        return marks

    def _put_if_free(self, words: str, left: float, top: float, style: Style) -> list[Mark]:
        box = QRectF(left, top, width_mm(words, style), line_height_mm(style))
        whole = QRectF(0.0, 0.0, self._sheet.width_mm, self._sheet.height_mm)
        if not whole.contains(box) or any(box.intersects(taken) for taken in self.cleared):
            return []
        made = _words(words, box, style)
        self._take(box)
        return [made]

    def _named(self, wanted: Iterable[tuple[str, Point, Style]]) -> list[Mark]:
        found = []
        for words, at, style in wanted:
            label = self._room.label(words, at, style, RADIUS_MM + 0.6)
            if label is not None:
                found.append(label)
                self.cleared.append(_box(label))
        return [*found]

    def _take(self, box: QRectF) -> None:
        self.cleared.append(box)
        self._room.take(_words("", box, BODY))


def _place_name(place: CoveragePlace) -> str:
    if place.is_served is None:
        return f"{place.name} ?"
    return place.name if place.is_served else f"{place.name} – {place.state}"


def house_mark(at: Point, is_served: bool | None) -> Shape:
    """A gable where people need service: black with service, open without."""
    half, path = _HOUSE_MM / 2, QPainterPath()
    corners = ((-1, 1), (-1, -0.2), (0, -1), (1, -0.2), (1, 1))
    path.addPolygon(QPolygonF([QPointF(at[0] + half * x, at[1] + half * y) for x, y in corners]))
    path.closeSubpath()
    return Shape(
        path=path,
        pen_mm=0.45,
        is_filled=is_served is True,
        is_dashed=is_served is None,
    )


def _paint_ground(
    image: QImage,
    sheet: Sheet,
    ground: GroundLines,
    lines: Sequence[GridLine],
    shapes: Sequence[MapShape],
) -> None:
    """Draw contours, shore, grid and areas into the picture, in black and nothing else."""
    painter = QPainter(image)
    for contour in ground.contours:
        painter.setPen(_pen(_INDEX_DOTS if contour.is_index else _MINOR_DOTS))
        painter.drawPolyline(sheet.polygon(contour.points_m[:, 0], contour.points_m[:, 1]))
    painter.setPen(_pen(_SHORE_DOTS))
    for line in ground.shore:
        painter.drawPolyline(sheet.polygon(line[:, 0], line[:, 1]))
    painter.setPen(_pen(_GRID_DOTS, Qt.PenStyle.DashLine))
    for made in lines:
        painter.drawPolyline(sheet.polygon(made.x_m, made.y_m))
    frame = LocalFrame(sheet.grid.lat0_deg, sheet.grid.lon0_deg)
    for shape in shapes:
        style = Qt.PenStyle.DashDotLine if not shape.is_area else Qt.PenStyle.DashLine
        painter.setPen(_pen(5 if shape.is_area else 4, style))
        for lat, lon in shape.parts:
            painter.drawPolyline(sheet.polygon(*frame.to_xy(lat, lon)))
    painter.end()


def _clear(image: QImage, boxes: Iterable[QRectF]) -> None:
    """White beneath what is written, or hatching would run through the letters."""
    painter = QPainter(image)
    for box in boxes:
        roomy = box.adjusted(-_CLEAR_MM, 0.0, _CLEAR_MM, 0.0)
        scaled = QRectF(roomy.topLeft() * DOTS_PER_MM, roomy.size() * DOTS_PER_MM)
        painter.fillRect(scaled, QColor(255, 255, 255))
    painter.end()


def _pen(dots: int, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    return QPen(QColor(0, 0, 0), dots, style)


def _words(words: str, box: QRectF, style: Style) -> Words:
    return Words(
        x_mm=box.left(),
        y_mm=box.top(),
        width_mm=box.width(),
        height_mm=box.height(),
        text=words,
        style=style,
    )


def _round(at: Point, reach: float) -> QRectF:
    return QRectF(at[0] - reach, at[1] - reach, 2 * reach, 2 * reach)


def _box(mark: Mark) -> QRectF:
    """The room that a mark takes. [mm]"""
    match mark:
        case Shape():
            return mark.path.boundingRect()
        case Words() | Frame() | Picture():
            return QRectF(mark.x_mm, mark.y_mm, mark.width_mm, mark.height_mm)
        case _:
            box = QRectF(QPointF(mark.x1_mm, mark.y1_mm), QPointF(mark.x2_mm, mark.y2_mm))
            half = mark.pen_mm / 2
            return box.normalized().adjusted(-half, -half, half, half)


def coverage_legend(width: float) -> Block:
    """What hatching and marks stand for."""
    entries = [
        beside([_swatch(reach), _legend_words(words)], 0.8, is_centred=True)
        for reach, words in PRINTED
    ]
    for is_served, words in ((True, "place served"), (False, "place not served")):
        house = Block(_HOUSE_MM + 1.0, _SWATCH_MM[1], (house_mark((2.2, 2.3), is_served),))
        entries.append(beside([house, _legend_words(words)], is_centred=True))
    return in_rows(entries, width, 4.0)


def _swatch(reach: Reach) -> Block:
    wide, tall = _SWATCH_MM
    classes = np.full((1, 1), reach.value, dtype=np.uint8)
    picture = Picture(
        x_mm=0.0,
        y_mm=0.0,
        width_mm=wide,
        height_mm=tall,
        image=black_and_white(hatched(classes, wide, tall)),
    )
    frame = Frame(x_mm=0.0, y_mm=0.0, width_mm=wide, height_mm=tall)
    return Block(wide, tall, (picture, frame))


def _legend_words(words: str) -> Block:
    return padded(text(words, BODY, width=width_mm(words, BODY) + 0.2), left=0.4)
