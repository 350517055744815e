from __future__ import annotations

from math import inf

import numpy as np
import pytest

from guyline.core.plan import SiteId
from guyline.core.terrain.grid import Grid
from guyline.services.documents.content import MapExtract, Neighbour
from guyline.viewmodels.paper.marks import Frame, Mark, Rule, Shape, Words
from guyline.viewmodels.paper.terrain_map import terrain_map

pytestmark = pytest.mark.usefixtures("qapp")

WIDTH, HEIGHT = 80.0, 70.0
HALF_M = 1_000.0


def cone(peak_m: float = 200.0, foot_m: float = -20.0) -> MapExtract:
    """A round hill whose top is the site, with the sea round it."""
    cell = 20.0
    columns, rows = int(3.4 * HALF_M / cell), int(2.0 * HALF_M / cell)
    x = -1.7 * HALF_M + (np.arange(columns) + 0.5) * cell
    y = HALF_M - (np.arange(rows) + 0.5) * cell
    far = np.hypot(x[None, :], y[:, None])
    heights = np.maximum(peak_m - 0.25 * far, foot_m).astype(np.float32)
    grid = Grid(
        ground_amsl_m=heights,
        cell_m=cell,
        west_m=-1.7 * HALF_M,
        north_m=HALF_M,
        lat0_deg=-45.0,
        lon0_deg=-30.0,
    )
    return MapExtract(grid=grid, half_m=HALF_M)


NEAR = Neighbour(site_id=SiteId("NEAR"), east_m=600.0, north_m=300.0, is_linked=True)
FAR = Neighbour(site_id=SiteId("FAR"), east_m=-9_000.0, north_m=0.0, is_linked=True)
OTHER = Neighbour(site_id=SiteId("OTHER"), east_m=-500.0, north_m=-600.0, is_linked=False)
GONE = Neighbour(site_id=SiteId("GONE"), east_m=9_000.0, north_m=9_000.0, is_linked=False)


def drawn(extract: MapExtract | None = None) -> tuple[tuple[Mark, ...], float]:
    block, interval_m = terrain_map(
        "HILL", extract or cone(), (NEAR, FAR, OTHER, GONE), WIDTH, HEIGHT
    )
    assert (block.width_mm, block.height_mm) == (WIDTH, HEIGHT)
    return block.marks, interval_m


def words(marks: tuple[Mark, ...]) -> list[str]:
    return [mark.text for mark in marks if isinstance(mark, Words)]


def points(shape: Shape) -> list[tuple[float, float]]:
    path = shape.path
    return [(path.elementAt(i).x, path.elementAt(i).y) for i in range(path.elementCount())]


def test_the_map_names_the_site_its_links_and_what_is_near() -> None:
    told = words(drawn()[0])
    assert "HILL" in told
    assert "NEAR" in told
    assert "OTHER" in told
    assert "N" in told
    assert any(word.endswith((" m", " km")) for word in told)


def test_a_linked_site_beyond_the_rim_is_named_with_its_distance_and_others_are_not() -> None:
    told = words(drawn()[0])
    assert "to FAR, 9.0 km" in told
    assert not any("GONE" in word for word in told)


def test_contours_of_a_round_hill_are_circles_at_whole_intervals() -> None:
    """Law: the contour of height h of a cone of slope 1 in 4 has a radius of 4 (200 - h) m."""
    marks, interval_m = drawn()
    mm_per_m = HEIGHT / (2.0 * HALF_M)
    lines = [m for m in marks if isinstance(m, Shape) and m.pen_mm in (0.15, 0.3)]
    radii_m = [
        np.hypot(x - WIDTH / 2, y - HEIGHT / 2) / mm_per_m
        for shape in lines
        if not shape.is_filled and not shape.is_hatched
        for x, y in points(shape)
    ]
    heights_m = 200.0 - 0.25 * np.array(radii_m)
    on_land = heights_m[heights_m > 5.0]
    assert on_land.size > 200
    off = np.abs(on_land / interval_m - np.round(on_land / interval_m)) * interval_m
    # a broken end of a line stays on its contour; thinning strays by 0.3 cells: 0.3 * 20 / 4 m
    assert np.percentile(off, 99) < 2.0


def test_no_line_runs_through_a_name() -> None:
    marks, _ = drawn()
    boxes = [
        (m.x_mm, m.y_mm, m.x_mm + m.width_mm, m.y_mm + m.height_mm)
        for m in marks
        if isinstance(m, Words)
    ]
    lines = [m for m in marks if isinstance(m, Shape) and not m.is_filled]
    for shape in lines:
        for x, y in points(shape):
            for left, top, right, bottom in boxes:
                assert not (left < x < right and top < y < bottom)


def test_everything_stays_inside_the_frame() -> None:
    marks, _ = drawn()
    low, high = inf, -inf
    for mark in marks:
        if isinstance(mark, Shape):
            for x, y in points(mark):
                assert -0.01 <= x <= WIDTH + 0.01
                assert -0.01 <= y <= HEIGHT + 0.01
                low, high = min(low, x), max(high, x)
        elif isinstance(mark, Words):
            assert mark.x_mm >= 0.0
            assert mark.x_mm + mark.width_mm <= WIDTH
    assert high - low > 0.9 * WIDTH
    assert any(isinstance(mark, Frame) for mark in marks)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    marks, _ = drawn()
    bar = max(
        (m for m in marks if isinstance(m, Rule) and m.y1_mm == m.y2_mm),
        key=lambda m: m.x2_mm - m.x1_mm,
    )
    label = next(w for w in words(marks) if w.endswith((" m", " km")) and "FAR" not in w)
    figure, unit = label.split()
    long_m = float(figure) * (1000.0 if unit == "km" else 1.0)
    assert bar.x2_mm - bar.x1_mm == pytest.approx(long_m * HEIGHT / (2.0 * HALF_M))


def test_land_without_sea_has_no_lines_of_water() -> None:
    dry, _ = terrain_map("HILL", cone(foot_m=10.0), (), WIDTH, HEIGHT)
    wet, _ = terrain_map("HILL", cone(foot_m=-20.0), (), WIDTH, HEIGHT)

    def first(block: object) -> int:
        return next(m for m in block.marks if isinstance(m, Shape)).path.elementCount()  # type: ignore[attr-defined]

    assert first(dry) == 0
    assert first(wet) > 20
