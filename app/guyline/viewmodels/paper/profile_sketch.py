"""A small drawing of a path: ground, line of sight, lower edge of 0.6 of the Fresnel zone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainterPath

from guyline.core.network.path import (
    CLEAR_RATIO,
    PathAssessment,
    fresnel_radii_m,
    line_of_sight_m,
    raised_ground_m,
)
from guyline.core.units import Numbers
from guyline.viewmodels.paper.blocks import space, stack, text
from guyline.viewmodels.paper.marks import HAIR_MM, THIN_MM, Block, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import BODY, SMALL, line_height_mm, width_mm

_MOST_POINTS = 160  # finer than a printer's dots on so small a drawing
_AIR = 0.12  # of the height of the drawing kept free above and below

Place = Callable[[Numbers, Numbers], list[tuple[float, float]]]


def profile_sketch(
    path: PathAssessment | None, caption: str, is_from_here: bool, width: float, height: float
) -> Block:
    """The path as seen from this site at the left; without terrain a sentence instead."""
    title = text(caption, width=width)
    if path is None or path.void_ranges_m or path.profile.distance_m.size < 2:
        words = text("terrain on the way unknown", width=width)
        return stack([title, words, space(width, height - words.height_mm)], 0.5)
    drawing = _drawing(path, is_from_here, width, height)
    return stack([title, drawing, text(_caption(path), SMALL, width=width)], 0.5)


def _caption(path: PathAssessment) -> str:
    worst = path.worst
    if worst is None:
        return "clearance unknown"
    state = "clear by" if worst.clearance_m >= 0.0 else "cut by"
    return f"{state} {abs(worst.clearance_m):.0f} m at the mark, {worst.clearance_ratio:.1f} F1"


def _drawing(path: PathAssessment, is_from_here: bool, width: float, height: float) -> Block:
    distance = path.profile.distance_m
    ground = raised_ground_m(path, path.earth_k)
    top = ground + path.clutter_m
    sight = line_of_sight_m(path)
    zone = sight - CLEAR_RATIO * fresnel_radii_m(path)
    keep = _thinned(top)
    low = float(min(ground.min(), zone.min()))
    high = float(max(top.max(), sight.max()))
    span = max(high - low, 1.0)
    label_room = width_mm(f"{high:.0f} m", SMALL) + 1.0
    room = width - label_room

    def place(x_m: Numbers, y_m: Numbers) -> list[tuple[float, float]]:
        share = x_m / path.profile.length_m
        x = label_room + room * (share if is_from_here else 1.0 - share)
        y = height * (1.0 - _AIR - (1.0 - 2.0 * _AIR) * (y_m - low) / span)
        return list(zip(x.tolist(), y.tolist(), strict=True))

    marks: list[Mark] = [
        *_ground(place(distance[keep], ground[keep]), height),
        _line(place(distance[[0, -1]], sight[[0, -1]]), is_dashed=True),
        _line(place(distance[keep], zone[keep]), pen=HAIR_MM),
        *_masts(path, place),
        *_clutter(path, place(distance[keep], top[keep])),
        *_worst(path, top, sight, place),
        *_heights(low, high, label_room, height),
    ]
    return Block(width, height, tuple(marks))


def _thinned(ground: Numbers) -> NDArray[np.intp]:
    """Indices of the highest sample of each stretch, and both ends."""
    count = ground.size
    if count <= _MOST_POINTS:
        return np.arange(count)
    edges = np.linspace(0, count, _MOST_POINTS + 1).astype(int)
    peaks = [a + int(np.argmax(ground[a:b])) for a, b in pairwise(edges)]
    return np.unique([0, *peaks, count - 1])


def _ground(points: Sequence[tuple[float, float]], height: float) -> tuple[Mark, ...]:
    area = _path(points)
    area.lineTo(points[-1][0], height)
    area.lineTo(points[0][0], height)
    area.closeSubpath()
    return Shape(path=area, is_hatched=True), Shape(path=_path(points), pen_mm=0.4)


def _clutter(path: PathAssessment, tops: Sequence[tuple[float, float]]) -> tuple[Mark, ...]:
    """The tops of trees and houses as a thin line over the ground; nothing where none count."""
    return (Shape(path=_path(tops), pen_mm=HAIR_MM),) if path.has_clutter else ()


def _line(
    points: Sequence[tuple[float, float]], *, pen: float = THIN_MM, is_dashed: bool = False
) -> Shape:
    return Shape(path=_path(points), pen_mm=pen, is_dashed=is_dashed)


def _path(points: Sequence[tuple[float, float]]) -> QPainterPath:
    path = QPainterPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    return path


def _masts(path: PathAssessment, place: Place) -> tuple[Mark, ...]:
    ends = np.array([0.0, path.profile.length_m])
    feet = place(ends, path.profile.ground_amsl_m[[0, -1]])
    tops = place(ends, np.array([path.tx_amsl_m, path.rx_amsl_m]))
    return tuple(
        Rule(x1_mm=foot[0], y1_mm=foot[1], x2_mm=top[0], y2_mm=top[1], pen_mm=0.6)
        for foot, top in zip(feet, tops, strict=True)
    )


def _worst(path: PathAssessment, top: Numbers, sight: Numbers, place: Place) -> tuple[Mark, ...]:
    """A bar from the line of sight to what stands in its way where the clearance is least."""
    if path.worst is None:
        return ()
    i = int(np.argmin(np.abs(path.profile.distance_m - path.worst.distance_m)))
    at = path.profile.distance_m[[i, i]]
    (x, upper), (_, lower) = place(at, np.array([sight[i], top[i]]))
    half = 0.8
    return (
        Rule(x1_mm=x, y1_mm=upper, x2_mm=x, y2_mm=lower, pen_mm=0.5),
        Rule(x1_mm=x - half, y1_mm=upper, x2_mm=x + half, y2_mm=upper, pen_mm=0.5),
        Rule(x1_mm=x - half, y1_mm=lower, x2_mm=x + half, y2_mm=lower, pen_mm=0.5),
    )


def _heights(low: float, high: float, room: float, height: float) -> tuple[Mark, ...]:
    tall = line_height_mm(SMALL)
    found = []
    for value, y in ((high, height * _AIR), (low, height * (1.0 - _AIR))):
        words = f"{value:.0f} m"
        width = width_mm(words, SMALL)
        found.append(
            Words(
                x_mm=room - 1.0 - width,
                y_mm=y - tall / 2,
                width_mm=width,
                height_mm=tall,
                text=words,
                style=SMALL,
            )
        )
    return tuple(found)


def sketch_height_mm(drawing_mm: float) -> float:
    """Height of a sketch with the words above and below its drawing."""
    return drawing_mm + line_height_mm(BODY) + line_height_mm(SMALL) + 1.0
