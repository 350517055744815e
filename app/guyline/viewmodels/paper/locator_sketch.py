"""A small map of the sites around one, with north up and a scale: no terrain, no roads."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from PySide6.QtGui import QPainterPath

from guyline.services.documents.content import Neighbour
from guyline.viewmodels.paper.blocks import stack, text
from guyline.viewmodels.paper.label_places import LabelPlaces
from guyline.viewmodels.paper.map_frame import MapFrame, north_arrow, scale_bar
from guyline.viewmodels.paper.marks import Block, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import SMALL, STRONG, line_height_mm

_DOT_MM, _OWN_MM = 0.9, 1.6
_EDGE_MM = 3.0
_NEAREST = 9  # our choice: more names than that cannot be told apart on so small a map


def locator_sketch(
    own: str, neighbours: Sequence[Neighbour], width: float, height: float
) -> Block:
    """The site itself as a disc, linked ones joined to it, others as rings."""
    title = text("where the others are", width=width)
    tall = height - title.height_mm - 0.5
    near = sorted(neighbours, key=lambda n: (not n.is_linked, hypot(n.east_m, n.north_m)))
    return stack([title, _map(own, near[:_NEAREST], width, tall)], 0.5)


def _map(own: str, near: Sequence[Neighbour], width: float, height: float) -> Block:
    room = height - line_height_mm(SMALL)
    places_m = [(0.0, 0.0), *((n.east_m, n.north_m) for n in near)]
    frame = MapFrame(places_m, width, room, _EDGE_MM, _EDGE_MM)
    here, *there = (frame.place(*place) for place in places_m)
    names = LabelPlaces(width, room)
    north = north_arrow(width)
    for mark in north:
        if isinstance(mark, Words):
            names.take(mark)
    names.take_disc(here, _OWN_MM)
    marks: list[Mark] = [*north, *scale_bar(frame.mm_per_m, height), _dot(here, _OWN_MM, True)]
    for neighbour, at in zip(near, there, strict=True):
        names.take_disc(at, _DOT_MM)
        marks.append(_dot(at, _DOT_MM, neighbour.is_linked))
        if neighbour.is_linked:
            names.take_line(here, at)
            marks.append(Rule(x1_mm=here[0], y1_mm=here[1], x2_mm=at[0], y2_mm=at[1], pen_mm=0.3))
    labels = [
        names.label(own, here, STRONG, _OWN_MM + 0.6),
        *(
            names.label(n.site_id, at, SMALL, _DOT_MM + 0.6)
            for n, at in zip(near, there, strict=True)
        ),
    ]
    return Block(width, height, (*marks, *(label for label in labels if label is not None)))


def _dot(at: tuple[float, float], radius: float, is_filled: bool) -> Shape:
    path = QPainterPath()
    path.addEllipse(at[0] - radius, at[1] - radius, 2 * radius, 2 * radius)
    return Shape(path=path, is_filled=is_filled, pen_mm=0.0 if is_filled else 0.3)
