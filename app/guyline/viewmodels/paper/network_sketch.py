"""The network as a diagram: function by shape, links by the kind of line, readable in grey."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF

from guyline.core.plan import SiteFunction, SiteId
from guyline.services.documents.content import DiagramEdge, DiagramNode
from guyline.viewmodels.paper.blocks import beside, in_rows, padded, text
from guyline.viewmodels.paper.label_places import LabelPlaces, Point
from guyline.viewmodels.paper.map_frame import MapFrame, north_arrow, scale_bar
from guyline.viewmodels.paper.marks import THIN_MM, Block, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import BODY, SMALL, STRONG, line_height_mm, width_mm

RADIUS_MM = 2.0
_END_MM = 8.0


def network_sketch(
    nodes: Sequence[DiagramNode], edges: Sequence[DiagramEdge], width: float, height: float
) -> tuple[Block, tuple[SiteId, ...]]:
    """Sites where they are, joined by their links, and those whose name found no room."""
    room = height - line_height_mm(SMALL)
    side = max(width_mm(node.site_id, STRONG) for node in nodes) + 6.0
    frame = MapFrame([(n.east_m, n.north_m) for n in nodes], width, room, side, _END_MM)
    at = {node.site_id: frame.place(node.east_m, node.north_m) for node in nodes}
    names = LabelPlaces(width, room)
    marks: list[Mark] = [*north_arrow(width), *scale_bar(frame.mm_per_m, height)]
    for edge in edges:
        if all(end in at for end in edge.ends):
            start, end = (at[site_id] for site_id in edge.ends)
            drawn = link_marks(start, end, edge.is_kept)
            marks += drawn
            names.take_line(start, end)
            for mark in drawn:
                if isinstance(mark, Words):
                    names.take(mark)
    for node in nodes:
        marks.append(node_mark(node.function, at[node.site_id], node.is_ready))
        names.take_disc(at[node.site_id], RADIUS_MM + 0.3)
    unnamed = []
    for node in nodes:
        label = names.label(node.site_id, at[node.site_id], STRONG, RADIUS_MM + 0.8)
        if label is None:
            unnamed.append(node.site_id)
        else:
            marks.append(label)
    return Block(width, height, tuple(marks)), tuple(unnamed)


def node_mark(function: SiteFunction, at: Point, is_ready: bool) -> Shape:
    """Gateway square, relay hexagon, end point circle; black where ready, open where not."""
    r, path = RADIUS_MM, QPainterPath()
    if function is SiteFunction.GATEWAY:
        path.addRect(at[0] - r, at[1] - r, 2 * r, 2 * r)
    elif function is SiteFunction.RELAY:
        corners = ((1.0, 0.0), (0.5, 0.87), (-0.5, 0.87), (-1.0, 0.0), (-0.5, -0.87), (0.5, -0.87))
        path.addPolygon(QPolygonF([QPointF(at[0] + r * x, at[1] + r * y) for x, y in corners]))
        path.closeSubpath()
    else:
        path.addEllipse(at[0] - r, at[1] - r, 2 * r, 2 * r)
    return Shape(path=path, is_filled=is_ready, pen_mm=0.0 if is_ready else 0.5)


def link_marks(start: Point, end: Point, is_kept: bool | None) -> tuple[Mark, ...]:
    """Solid where the margin is kept, dashed where not, thin dashes and a ? where unknown."""
    x1, y1, x2, y2 = _between(start, end)
    line = Rule(
        x1_mm=x1,
        y1_mm=y1,
        x2_mm=x2,
        y2_mm=y2,
        pen_mm=THIN_MM if is_kept is None else 0.5,
        is_dashed=not is_kept,
    )
    if is_kept is not None:
        return (line,)
    wide, tall = width_mm("?", BODY), line_height_mm(BODY)
    query = Words(
        x_mm=(x1 + x2) / 2 + 0.6,
        y_mm=(y1 + y2) / 2 - tall,
        width_mm=wide,
        height_mm=tall,
        text="?",
        style=BODY,
    )
    return line, query


def _between(start: Point, end: Point) -> tuple[float, float, float, float]:
    """The line from rim to rim, so that open marks stay empty."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = max((dx**2 + dy**2) ** 0.5, 1e-9)
    cut = min(RADIUS_MM + 0.2, length / 2) / length
    return (
        start[0] + dx * cut,
        start[1] + dy * cut,
        end[0] - dx * cut,
        end[1] - dy * cut,
    )


def network_legend(width: float) -> Block:
    """What shapes and lines stand for."""
    shapes = (
        (SiteFunction.GATEWAY, True, "gateway"),
        (SiteFunction.RELAY, True, "relay"),
        (SiteFunction.END_POINT, True, "end point"),
        (SiteFunction.END_POINT, False, "open: not ready"),
    )
    lines = ((True, "margin kept"), (False, "too weak"), (None, "unknown"))
    entries = [
        beside([Block(6.0, 4.2, (node_mark(function, (2.2, 2.1), ready),)), _words(words)])
        for function, ready, words in shapes
    ]
    entries += [
        beside([Block(14.0, 4.2, link_marks((0.0, 3.6), (13.0, 3.6), kept)), _words(words)])
        for kept, words in lines
    ]
    return in_rows(entries, width, 4.0)


def _words(words: str) -> Block:
    return padded(text(words, BODY, width=width_mm(words, BODY) + 0.2), left=0.5)
