"""Names on the map do not lie on one another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF

from guyline.viewmodels.ground_view_labels import Name, box_on_line, mark_box, placed_names

VIEW = QRectF(0, 0, 700, 400)


def name(x: float, y: float, *, is_first: bool = False) -> Name:
    return Name(
        at=QPointF(x, y), mark_px=14.0, long_px=(110, 24), short_px=(50, 13), is_first=is_first
    )


def test_no_name_lies_on_another_name_or_mark_or_over_the_edge() -> None:
    rng = np.random.default_rng(3)
    names = [name(*place) for place in rng.uniform((0, 0), (700, 400), (40, 2))]
    placed = placed_names(names, VIEW)
    assert len(placed) >= 20
    for a, b in combinations(placed, 2):
        assert not a.box.intersects(b.box)
    for p in placed:
        assert VIEW.contains(p.box)
        assert not any(p.box.intersects(mark_box(n)) for i, n in enumerate(names) if i != p.which)


def test_a_lone_name_is_long_and_at_the_right() -> None:
    (placed,) = placed_names([name(300, 200)], VIEW)
    assert placed.is_long
    assert placed.box.left() > 300


def test_a_crowded_name_is_shortened_before_it_is_left_out() -> None:
    crowd = [name(300 + 40 * i, 200 + 22 * j) for i in range(4) for j in range(4)]
    assert any(not p.is_long for p in placed_names(crowd, VIEW))


def test_the_selected_name_is_never_left_out() -> None:
    crowd = [name(300 + i, 200, is_first=i == 17) for i in range(40)]
    assert 17 in {p.which for p in placed_names(crowd, VIEW)}


def test_what_is_out_of_view_has_no_name() -> None:
    assert placed_names([name(-30, 200)], VIEW) == ()


def test_a_figure_slides_along_its_line_to_a_free_place() -> None:
    line = QLineF(100, 200, 600, 200)
    middle = QRectF(320, 180, 60, 40)
    free = box_on_line(line, (40, 12), [middle], VIEW)
    assert free is not None
    assert not free.intersects(middle)
    assert free.center().y() == 200
    assert box_on_line(line, (40, 12), [VIEW], VIEW) is None
