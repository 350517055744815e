"""Finds room for names on a small map: none covers a mark, a line or another name."""

from __future__ import annotations

from math import cos, hypot, radians, sin

from guyline.viewmodels.paper.marks import Words
from guyline.viewmodels.paper.type import Style, line_height_mm, width_mm

Point = tuple[float, float]
_BEAD_MM = 0.3
_DIRECTIONS_DEG = (0, 180, 270, 90, 315, 225, 45, 135)  # right, left, above, below, corners
_RINGS_MM = (0.0, 2.5, 5.0)


class LabelPlaces:
    """A drawing of `width` by `height` mm and what is taken of it already."""

    def __init__(self, width: float, height: float) -> None:
        self._width, self._height = width, height
        self._taken: list[tuple[float, float, float, float]] = []

    def take(self, words: Words) -> None:
        right, bottom = words.x_mm + words.width_mm, words.y_mm + words.height_mm
        self._taken.append((words.x_mm, words.y_mm, right, bottom))

    def take_box(self, left: float, top: float, right: float, bottom: float) -> None:
        self._taken.append((left, top, right, bottom))

    def take_disc(self, at: Point, radius: float) -> None:
        self._taken.append((at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))

    def take_line(self, start: Point, end: Point) -> None:
        """Take a line as beads on it."""
        count = max(1, int(hypot(end[0] - start[0], end[1] - start[1])))
        for n in range(count + 1):
            share = n / count
            bead = (
                start[0] + (end[0] - start[0]) * share,
                start[1] + (end[1] - start[1]) * share,
            )
            self.take_disc(bead, _BEAD_MM)

    def label(self, name: str, at: Point, style: Style, gap: float) -> Words | None:
        """A name beside a mark, which is taken then; None where there is no room for it."""
        wide, tall = width_mm(name, style), line_height_mm(style)
        for ring in _RINGS_MM:
            for direction in _DIRECTIONS_DEG:
                across, down = cos(radians(direction)), sin(radians(direction))
                centre_x = at[0] + across * (gap + ring + wide / 2)
                centre_y = at[1] + down * (gap + ring + tall / 2)
                words = Words(
                    x_mm=centre_x - wide / 2,
                    y_mm=centre_y - tall / 2,
                    width_mm=wide,
                    height_mm=tall,
                    text=name,
                    style=style,
                )
                if self._is_free(words):
                    self.take(words)
                    return words
        return None

    def label_at(self, name: str, left: float, top: float, style: Style) -> Words | None:
        """A name at one place and no other, which is taken then; None without room there."""
        words = Words(
            x_mm=left,
            y_mm=top,
            width_mm=width_mm(name, style),
            height_mm=line_height_mm(style),
            text=name,
            style=style,
        )
        if not self._is_free(words):
            return None
        self.take(words)
        return words

    def _is_free(self, words: Words) -> bool:
        left, top = words.x_mm, words.y_mm
        right, bottom = left + words.width_mm, top + words.height_mm
        if left < 0.0 or top < 0.0 or right > self._width or bottom > self._height:
            return False
        return not any(
            left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            for other in self._taken
        )
