"""Where names go on a map, so that they lie on one another as little as they can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF

GAP_PX = 4.0
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74)  # where on a line a figure may stand
MOST_NAMED = 150  # beyond it names would only hide the ground


@dataclass(frozen=True, slots=True)
class Name:
    """What wants a name: its place, the size of its mark, and sizes of a long and a short name.

    All in pixels; the long name is taken where there is room for it.
    """

    at: QPointF
    mark_px: float
    long_px: tuple[float, float]
    short_px: tuple[float, float]
    is_first: bool = False
    """Whether it is placed before all others and never left out."""


@dataclass(frozen=True, slots=True)
class PlacedName:
    """A name that found a place; `which` counts in the given sequence."""

    which: int
    box: QRectF
    is_long: bool


def placed_names(
    names: Sequence[Name], view: QRectF, obstacles: Sequence[QRectF] = ()
) -> tuple[PlacedName, ...]:
    """Boxes for as many names as fit; one that would lie on another is left out."""
    marks = [mark_box(n) for n in names]
    seen = [i for i, n in enumerate(names) if view.contains(n.at)]
    if len(seen) > MOST_NAMED:
        seen = [i for i in seen if names[i].is_first]
    taken: list[PlacedName] = []
    for i in sorted(seen, key=lambda i: not names[i].is_first):
        others = [*(p.box for p in taken), *marks[:i], *marks[i + 1 :], *obstacles]
        found = _place(i, names[i], others, view)
        if found is not None:
            taken.append(found)
    return tuple(taken)


def box_on_line(
    line: QLineF, size: tuple[float, float], taken: Sequence[QRectF], view: QRectF
) -> QRectF | None:
    """Box for a figure on a line, as near to its middle as it is free; None where it is not."""
    for share in SHARES:
        box = QRectF(0.0, 0.0, *size)
        box.moveCenter(line.pointAt(share))
        if view.contains(box) and not any(box.intersects(other) for other in taken):
            return box
    return None


def mark_box(name: Name) -> QRectF:
    """The square that a mark covers."""
    return _around(name.at, name.mark_px)


def _place(which: int, name: Name, others: list[QRectF], view: QRectF) -> PlacedName | None:
    for size, is_long in ((name.long_px, True), (name.short_px, False)):
        boxes = _candidates(name.at, name.mark_px, size)
        for box in boxes:
            if view.contains(box) and not any(box.intersects(other) for other in others):
                return PlacedName(which, box, is_long)
        if name.is_first and not is_long:
            return PlacedName(which, min(boxes, key=lambda b: _cost(b, others, view)), is_long)
    return None


def _candidates(at: QPointF, mark_px: float, size: tuple[float, float]) -> list[QRectF]:
    """Eight boxes round the mark, the most readable first."""
    w, h = size
    r = mark_px / 2 + GAP_PX
    x, y = at.x(), at.y()
    corners = (
        (x + r, y - h / 2),
        (x - r - w, y - h / 2),
        (x - w / 2, y - r - h),
        (x - w / 2, y + r),
        (x + r * 0.7, y - r * 0.7 - h),
        (x + r * 0.7, y + r * 0.7),
        (x - r * 0.7 - w, y - r * 0.7 - h),
        (x - r * 0.7 - w, y + r * 0.7),
    )
    return [QRectF(left, top, w, h) for left, top in corners]


def _cost(box: QRectF, others: list[QRectF], view: QRectF) -> float:
    """Pixels hidden by or hiding something, and pixels lost beyond the edge."""
    hidden = sum(_shared(box, other) for other in others if box.intersects(other))
    return hidden + _size(box) - _shared(box, view)


def _shared(a: QRectF, b: QRectF) -> float:
    return _size(a.intersected(b))


def _size(box: QRectF) -> float:
    return max(0.0, box.width()) * max(0.0, box.height())


def _around(at: QPointF, side_px: float) -> QRectF:
    return QRectF(at.x() - side_px / 2, at.y() - side_px / 2, side_px, side_px)
