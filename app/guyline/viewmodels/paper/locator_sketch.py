"""A small map of the sites around one, with north up and a scale: no terrain, no roads."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, hypot, log10

from PySide6.QtGui import QPainterPath

from guyline.services.documents.content import Neighbour
from guyline.viewmodels.paper.blocks import stack, text
from guyline.viewmodels.paper.marks import Block, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import BODY, SMALL, STRONG, Style, line_height_mm, width_mm

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
    tall = line_height_mm(SMALL)
    east = [0.0, *(n.east_m for n in near)]
    north = [0.0, *(n.north_m for n in near)]
    room = (width - 2 * _EDGE_MM, height - 2 * _EDGE_MM - tall)
    scale = min(
        room[0] / max(max(east) - min(east), 1.0), room[1] / max(max(north) - min(north), 1.0)
    )
    left = (width - scale * (max(east) - min(east))) / 2
    top = _EDGE_MM + (room[1] - scale * (max(north) - min(north))) / 2

    def place(east_m: float, north_m: float) -> tuple[float, float]:
        return left + scale * (east_m - min(east)), top + scale * (max(north) - north_m)

    here = place(0.0, 0.0)
    marks: list[Mark] = [
        *(_link(here, place(n.east_m, n.north_m)) for n in near if n.is_linked),
        *(_dot(place(n.east_m, n.north_m), _DOT_MM, is_filled=n.is_linked) for n in near),
        _dot(here, _OWN_MM, is_filled=True),
    ]
    dots = [_around(place(n.east_m, n.north_m), _DOT_MM) for n in near]
    for n in near:
        if n.is_linked:
            dots += _along(here, place(n.east_m, n.north_m))
    compass = _north(width)
    north_words = [mark for mark in compass if isinstance(mark, Words)]
    taken: list[Words] = []
    for name, at, style in [
        (own, here, STRONG),
        *((n.site_id, place(n.east_m, n.north_m), SMALL) for n in near),
    ]:
        others = [*taken, *dots, _around(here, _OWN_MM), *north_words]
        label = _label(name, at, style, (width, height - tall), others)
        if label is not None:
            taken.append(label)
    return Block(width, height, (*marks, *taken, *compass, *_scale(scale, height)))


def _link(here: tuple[float, float], there: tuple[float, float]) -> Rule:
    return Rule(x1_mm=here[0], y1_mm=here[1], x2_mm=there[0], y2_mm=there[1], pen_mm=0.3)


def _dot(at: tuple[float, float], radius: float, *, is_filled: bool) -> Shape:
    path = QPainterPath()
    path.addEllipse(at[0] - radius, at[1] - radius, 2 * radius, 2 * radius)
    return Shape(path=path, is_filled=is_filled, pen_mm=0.0 if is_filled else 0.3)


def _label(
    name: str,
    at: tuple[float, float],
    style: Style,
    bounds: tuple[float, float],
    taken: Sequence[Words],
) -> Words | None:
    """A name where it covers no other, or none at all: better unnamed than unreadable."""
    wide, tall = width_mm(name, style), line_height_mm(style)
    for x, y in (
        (at[0] + 2.2, at[1] - tall / 2),
        (at[0] - 2.2 - wide, at[1] - tall / 2),
        (at[0] - wide / 2, at[1] - 1.7 - tall),
        (at[0] - wide / 2, at[1] + 1.7),
    ):
        label = Words(x_mm=x, y_mm=y, width_mm=wide, height_mm=tall, text=name, style=style)
        inside = x >= 0.0 and x + wide <= bounds[0] and y >= 0.0 and y + tall <= bounds[1]
        if inside and not any(_overlap(label, other) for other in taken):
            return label
    return None


def _around(at: tuple[float, float], radius: float) -> Words:
    """The room a dot takes, as an empty word."""
    return Words(
        x_mm=at[0] - radius,
        y_mm=at[1] - radius,
        width_mm=2 * radius,
        height_mm=2 * radius,
        text="",
        style=SMALL,
    )


def _along(here: tuple[float, float], there: tuple[float, float]) -> list[Words]:
    """The room a link takes, as beads on it."""
    steps = max(1, int(hypot(there[0] - here[0], there[1] - here[1])))
    return [
        _around(
            (
                here[0] + (there[0] - here[0]) * n / steps,
                here[1] + (there[1] - here[1]) * n / steps,
            ),
            0.3,
        )
        for n in range(steps + 1)
    ]


def _overlap(a: Words, b: Words) -> bool:
    return (
        a.x_mm < b.x_mm + b.width_mm
        and b.x_mm < a.x_mm + a.width_mm
        and a.y_mm < b.y_mm + b.height_mm
        and b.y_mm < a.y_mm + a.height_mm
    )


def _north(width: float) -> tuple[Mark, ...]:
    x, top = width - 2.2, 0.3
    arrow = QPainterPath()
    arrow.moveTo(x, top)
    arrow.lineTo(x + 1.5, top + 4.5)
    arrow.lineTo(x, top + 3.5)
    arrow.lineTo(x - 1.5, top + 4.5)
    arrow.closeSubpath()
    wide = width_mm("N", BODY)
    name = Words(
        x_mm=x - wide / 2,
        y_mm=top + 4.6,
        width_mm=wide,
        height_mm=line_height_mm(BODY),
        text="N",
        style=BODY,
    )
    return Shape(path=arrow, is_filled=True), name


def _scale(mm_per_m: float, height: float) -> tuple[Mark, ...]:
    """A bar of a round length, between a sixth and a third of 60 mm."""
    length_m = _round_length(18.0 / mm_per_m)
    y = height - 1.2
    long = length_m * mm_per_m
    words = f"{length_m / 1000:g} km" if length_m >= 1000.0 else f"{length_m:g} m"
    return (
        Rule(x1_mm=0.2, y1_mm=y, x2_mm=0.2 + long, y2_mm=y, pen_mm=0.4),
        Rule(x1_mm=0.2, y1_mm=y - 1.0, x2_mm=0.2, y2_mm=y, pen_mm=0.4),
        Rule(x1_mm=0.2 + long, y1_mm=y - 1.0, x2_mm=0.2 + long, y2_mm=y, pen_mm=0.4),
        Words(
            x_mm=long + 1.8,
            y_mm=height - line_height_mm(SMALL),
            width_mm=width_mm(words, SMALL),
            height_mm=line_height_mm(SMALL),
            text=words,
            style=SMALL,
        ),
    )


def _round_length(at_most_m: float) -> float:
    power = 10.0 ** floor(log10(at_most_m))
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= at_most_m)
