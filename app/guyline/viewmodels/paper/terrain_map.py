"""The map of a site on its sheet: contours, shore, sites and links, all in black lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import hypot

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF
from shapely import LineString, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from guyline.core.plan import LayerKind
from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers
from guyline.services.documents.content import MapExtract, Neighbour
from guyline.services.geodesy import LocalFrame
from guyline.viewmodels.ground_view_relief import Contour, contour_levels, ground_lines_of
from guyline.viewmodels.paper.label_places import LabelPlaces, Point
from guyline.viewmodels.paper.map_frame import north_arrow, scale_bar
from guyline.viewmodels.paper.marks import Block, Frame, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import SMALL, STRONG, Style, line_height_mm, width_mm

_CONTOUR_MM, _INDEX_MM, _SHORE_MM, _LINK_MM, _TRACK_MM = 0.15, 0.3, 0.45, 0.5, 0.6
_WATER_MM = 1.3  # between the lines that stand for water
_OWN_MM, _DOT_MM = 1.7, 1.0
_LEVELS_APART_MM = 22.0
_INSET_MM = 1.2
_CLEAR_MM = 0.35
_SMALL_MAP_MM = 62.0  # our choice: on a smaller one every second contour is enough
_EACH_HEAVY = 4
_BREAK_MM = 0.5
LEVEL = Style(size_pt=7.5)


class _Paper:
    """Where metres round the site fall on a map of `width` by `height` mm."""

    def __init__(self, extract: MapExtract, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.mm_per_m = height / (2.0 * extract.half_m)
        self.frame = box(0.0, 0.0, width, height)

    def place(self, east_m: float, north_m: float) -> Point:
        return (
            self.width / 2.0 + east_m * self.mm_per_m,
            self.height / 2.0 - north_m * self.mm_per_m,
        )

    def line(self, x_m: Numbers, y_m: Numbers) -> LineString:
        points = np.column_stack(
            (
                self.width / 2.0 + x_m * self.mm_per_m,
                self.height / 2.0 - y_m * self.mm_per_m,
            )
        )
        return LineString(points)

    def holds(self, at: Point) -> bool:
        return 0.0 <= at[0] <= self.width and 0.0 <= at[1] <= self.height


def terrain_map(
    own: str, extract: MapExtract, neighbours: Sequence[Neighbour], width: float, height: float
) -> tuple[Block, float]:
    """The map, and the interval of its contours. [m].

    Lines are broken where a name or a figure stands, so that it can be read.
    """
    paper = _Paper(extract, width, height)
    names = _Names(paper)
    names.rim()
    names.sites(own, neighbours)
    ground = ground_lines_of(extract.grid)
    interval_m = ground.interval_m * (1.0 if height >= _SMALL_MAP_MM else 2.0)
    contours = _every(ground.contours, interval_m)
    for level in contour_levels(contours, _LEVELS_APART_MM / paper.mm_per_m):
        names.level(f"{level.height_m:.0f}", paper.place(level.x_m, level.y_m))
    shown = paper.frame.difference(names.taken)
    marks: list[Mark] = [_shape(_water(extract.grid, paper), shown, _CONTOUR_MM)]
    for is_index, pen in ((False, _CONTOUR_MM), (True, _INDEX_MM)):
        lines = [
            paper.line(c.points_m[:, 0], c.points_m[:, 1])
            for c in contours
            if c.is_index is is_index and len(c.points_m) > 1
        ]
        marks.append(_shape(lines, shown, pen))
    shore = [paper.line(points[:, 0], points[:, 1]) for points in ground.shore if len(points) > 1]
    marks.append(_shape(shore, shown, _SHORE_MM))
    marks += _layers(extract, paper, shown)
    marks += _links(neighbours, paper, names.taken)
    frame = Frame(x_mm=0.0, y_mm=0.0, width_mm=width, height_mm=height, pen_mm=0.3)
    return Block(width, height, (*marks, *names.marks, frame)), interval_m


def _every(contours: Iterable[Contour], interval_m: float) -> tuple[Contour, ...]:
    """Contours at whole intervals; the heavy ones, which carry their height, at every fourth."""
    kept = [c for c in contours if _is_multiple(c.height_m, interval_m)]
    return tuple(
        replace(c, is_index=_is_multiple(c.height_m, _EACH_HEAVY * interval_m)) for c in kept
    )


def _is_multiple(height_m: float, interval_m: float) -> bool:
    return abs(height_m / interval_m - round(height_m / interval_m)) < 1e-6


def _water(grid: Grid, paper: _Paper) -> list[LineString]:
    """Level lines over water, as maps in black have always shown it."""
    step = max(1, round(_WATER_MM / (grid.cell_m * paper.mm_per_m)))
    lines = []
    for row in range(step // 2, grid.ground_amsl_m.shape[0], step):
        is_wet = grid.ground_amsl_m[row] <= 0.0
        edges = np.flatnonzero(np.diff(np.concatenate(([False], is_wet, [False]))))
        y = float(grid.y_m[row])
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if end - start > 2:
                x = grid.west_m + grid.cell_m * np.array([start + 0.5, end - 0.5])
                lines.append(paper.line(x, np.full(2, y)))
    return lines


def _layers(extract: MapExtract, paper: _Paper, shown: BaseGeometry) -> Iterator[Mark]:
    """Tracks dashed and heavy; areas hatched inside a line."""
    frame = LocalFrame(extract.grid.lat0_deg, extract.grid.lon0_deg)
    for shape in extract.shapes:
        parts = [paper.line(*frame.to_xy(*part)) for part in shape.parts if len(part[0]) > 1]
        if shape.is_area and shape.kind is not LayerKind.ACCESS:
            for part in parts:
                if len(part.coords) > 3:
                    area = Polygon(part).buffer(0).intersection(paper.frame)
                    yield from (_hatched(piece) for piece in _polygons(area))
        else:
            yield _shape(parts, shown, _TRACK_MM, is_dashed=True)


def _polygons(area: BaseGeometry) -> Iterator[Polygon]:
    for piece in getattr(area, "geoms", (area,)):
        if isinstance(piece, Polygon) and not piece.is_empty:
            yield piece


def _hatched(piece: Polygon) -> Shape:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in piece.exterior.coords]))
    return Shape(path=path, is_hatched=True, pen_mm=0.3)


def _links(neighbours: Sequence[Neighbour], paper: _Paper, taken: BaseGeometry) -> Iterator[Mark]:
    here = paper.place(0.0, 0.0)
    lines = [
        LineString([here, paper.place(n.east_m, n.north_m)]) for n in neighbours if n.is_linked
    ]
    yield _shape(lines, paper.frame.difference(taken), _LINK_MM)


def _shape(
    lines: Iterable[BaseGeometry], shown: BaseGeometry, pen: float, *, is_dashed: bool = False
) -> Shape:
    """Lines as far as they are shown, in one path."""
    path = QPainterPath()
    for line in lines:
        seen = line.intersection(shown)
        for piece in getattr(seen, "geoms", (seen,)):
            if isinstance(piece, LineString) and piece.length > _BREAK_MM:
                path.addPolygon(QPolygonF([QPointF(x, y) for x, y in piece.coords]))
    return Shape(path=path, pen_mm=pen, is_dashed=is_dashed)


class _Names:
    """Marks and names, and the room in which no line may run."""

    def __init__(self, paper: _Paper) -> None:
        self._paper = paper
        self._places = LabelPlaces(paper.width, paper.height)
        self._boxes: list[BaseGeometry] = []
        self.marks: list[Mark] = []

    @property
    def taken(self) -> BaseGeometry:
        return unary_union(self._boxes)

    def rim(self) -> None:
        """North at the upper right, the scale at the lower left."""
        north = [m.moved(0.0, _INSET_MM) for m in north_arrow(self._paper.width - _INSET_MM)]
        scale = [
            m.moved(_INSET_MM, 0.0)
            for m in scale_bar(self._paper.mm_per_m, self._paper.height - _INSET_MM)
        ]
        for group in (north, scale):
            self.marks += group
            whole = unary_union([_box_of(mark) for mark in group]).envelope
            self._boxes.append(whole.buffer(_CLEAR_MM, join_style="mitre"))
            left, top, right, bottom = whole.bounds
            self._places.take_box(left, top, right, bottom)

    def sites(self, own: str, neighbours: Sequence[Neighbour]) -> None:
        """The site, linked ones and others; a linked one beyond the rim is named at the rim."""
        here = self._paper.place(0.0, 0.0)
        self._dot(here, _OWN_MM, is_filled=True)
        seen: list[tuple[str, Point, float]] = []
        for neighbour in sorted(neighbours, key=lambda n: not n.is_linked):
            at = self._paper.place(neighbour.east_m, neighbour.north_m)
            if self._paper.holds(at):
                self._dot(at, _DOT_MM, is_filled=neighbour.is_linked)
                seen.append((neighbour.site_id, at, _DOT_MM))
            elif neighbour.is_linked:
                km = hypot(neighbour.east_m, neighbour.north_m) / 1000.0
                seen.append((f"to {neighbour.site_id}, {km:.1f} km", self._at_rim(at), 0.0))
        for neighbour in neighbours:
            if neighbour.is_linked:
                self._places.take_line(here, self._at_rim_or(neighbour))
        self._name(own, here, STRONG, _OWN_MM + 0.6)
        for words, at, radius in seen:
            self._name(words, at, SMALL, radius + 0.6)

    def level(self, words: str, at: Point) -> None:
        """A height on its contour, where nothing else stands."""
        if self._paper.holds(at):
            left = at[0] - width_mm(words, LEVEL) / 2.0
            top = at[1] - line_height_mm(LEVEL) / 2.0
            self._put(self._places.label_at(words, left, top, LEVEL))

    def _at_rim_or(self, neighbour: Neighbour) -> Point:
        """A site where it is on the map, else where the way to it leaves."""
        at = self._paper.place(neighbour.east_m, neighbour.north_m)
        return at if self._paper.holds(at) else self._at_rim(at)

    def _at_rim(self, at: Point) -> Point:
        """Where the way to a site leaves the map, a little inside."""
        here = self._paper.place(0.0, 0.0)
        reach = max(
            abs(at[0] - here[0]) / (self._paper.width / 2.0 - 2.0),
            abs(at[1] - here[1]) / (self._paper.height / 2.0 - 2.0),
        )
        return (
            here[0] + (at[0] - here[0]) / reach,
            here[1] + (at[1] - here[1]) / reach,
        )

    def _dot(self, at: Point, radius: float, *, is_filled: bool) -> None:
        path = QPainterPath()
        path.addEllipse(at[0] - radius, at[1] - radius, 2 * radius, 2 * radius)
        self.marks.append(Shape(path=path, is_filled=is_filled, pen_mm=0.0 if is_filled else 0.35))
        self._places.take_disc(at, radius)
        self._boxes.append(_square(at, radius + _CLEAR_MM))

    def _name(self, words: str, at: Point, style: Style, gap: float) -> None:
        self._put(self._places.label(words, at, style, gap))

    def _put(self, words: Words | None) -> None:
        if words is not None:
            self.marks.append(words)
            self._boxes.append(_box_of(words).buffer(_CLEAR_MM, join_style="mitre"))


def _square(at: Point, half: float) -> BaseGeometry:
    return box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def _box_of(mark: Mark) -> BaseGeometry:
    if isinstance(mark, Words):
        return box(mark.x_mm, mark.y_mm, mark.x_mm + mark.width_mm, mark.y_mm + mark.height_mm)
    if isinstance(mark, Shape):
        ink = mark.path.boundingRect()
        return box(ink.left(), ink.top(), ink.right(), ink.bottom())
    assert isinstance(mark, Rule)
    xs, ys = sorted((mark.x1_mm, mark.x2_mm)), sorted((mark.y1_mm, mark.y2_mm))
    return box(xs[0], ys[0], xs[1] + 0.01, ys[1] + 0.01)
