"""The frame of a small map: where a place falls, which way is north, how far is far."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

from PySide6.QtGui import QPainterPath

from guyline.viewmodels.paper.marks import Mark, Rule, Shape, Words
from guyline.viewmodels.paper.type import BODY, SMALL, line_height_mm, width_mm

_LONGEST_BAR_MM = 18.0


class MapFrame:
    """Fits places in metres east and north into `width` by `height` mm, north up."""

    def __init__(
        self,
        places_m: Sequence[tuple[float, float]],
        width: float,
        height: float,
        side: float,
        end: float,
    ) -> None:
        east, north = [p[0] for p in places_m], [p[1] for p in places_m]
        self._west, self._north = min(east), max(north)
        wide, tall = max(east) - self._west, self._north - min(north)
        self.mm_per_m = min(
            (width - 2.0 * side) / max(wide, 1.0), (height - 2.0 * end) / max(tall, 1.0)
        )
        self._left = (width - self.mm_per_m * wide) / 2.0
        self._top = (height - self.mm_per_m * tall) / 2.0

    def place(self, east_m: float, north_m: float) -> tuple[float, float]:
        """Where a place falls, in mm from the top left."""
        return (
            self._left + self.mm_per_m * (east_m - self._west),
            self._top + self.mm_per_m * (self._north - north_m),
        )


def north_arrow(width: float) -> tuple[Mark, ...]:
    """An arrow in the top right corner."""
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


def scale_bar(mm_per_m: float, height: float) -> tuple[Mark, ...]:
    """A bar of a round length in the bottom left corner."""
    length_m = _round_length(_LONGEST_BAR_MM / mm_per_m)
    y, long = height - 1.2, length_m * mm_per_m
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
