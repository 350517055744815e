from __future__ import annotations

import pytest

from guyline.core.plan import SiteFunction, SiteId
from guyline.services.documents.content import DiagramEdge, DiagramNode, Neighbour
from guyline.viewmodels.paper.label_places import LabelPlaces
from guyline.viewmodels.paper.locator_sketch import locator_sketch
from guyline.viewmodels.paper.map_frame import MapFrame
from guyline.viewmodels.paper.marks import Rule, Shape, Words
from guyline.viewmodels.paper.network_sketch import network_sketch, node_mark
from guyline.viewmodels.paper.type import STRONG

pytestmark = pytest.mark.usefixtures("qapp")

A, B, C = SiteId("A"), SiteId("B"), SiteId("C")


def node(site_id: SiteId, east_m: float, north_m: float) -> DiagramNode:
    return DiagramNode(
        site_id=site_id,
        function=SiteFunction.RELAY,
        is_ready=True,
        east_m=east_m,
        north_m=north_m,
    )


def test_north_is_up_and_east_is_right() -> None:
    frame = MapFrame([(0.0, 0.0), (1000.0, 500.0)], 100.0, 80.0, 10.0, 10.0)
    west, south = frame.place(0.0, 0.0)
    east, north = frame.place(1000.0, 500.0)
    assert east > west
    assert north < south
    assert (east - west) / frame.mm_per_m == pytest.approx(1000.0)
    assert (south - north) / frame.mm_per_m == pytest.approx(500.0)


def test_every_place_falls_inside_the_edges() -> None:
    places = [(0.0, 0.0), (9000.0, -100.0), (-3000.0, 7000.0)]
    frame = MapFrame(places, 100.0, 80.0, 10.0, 5.0)
    for place in places:
        x, y = frame.place(*place)
        assert 10.0 - 1e-6 <= x <= 90.0 + 1e-6
        assert 5.0 - 1e-6 <= y <= 75.0 + 1e-6


def test_a_single_place_stands_in_the_middle() -> None:
    frame = MapFrame([(5.0, 5.0)], 100.0, 80.0, 10.0, 10.0)
    assert frame.place(5.0, 5.0) == pytest.approx((50.0, 40.0))


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    neighbours = [Neighbour(site_id=B, east_m=3000.0, north_m=-2000.0, is_linked=True)]
    block = locator_sketch("A", neighbours, 58.0, 34.0)
    label = next(m for m in block.marks if isinstance(m, Words) and m.text.endswith((" m", " km")))
    number, unit = label.text.split()
    length_m = float(number) * (1000.0 if unit == "km" else 1.0)
    level = [m for m in block.marks if isinstance(m, Rule) and m.y1_mm == m.y2_mm]
    bar = next(m for m in level if m.x1_mm == pytest.approx(0.2))
    link = next(m for m in block.marks if isinstance(m, Rule) and m.pen_mm == 0.3)
    link_mm = ((link.x2_mm - link.x1_mm) ** 2 + (link.y2_mm - link.y1_mm) ** 2) ** 0.5
    mm_per_m = link_mm / (3000.0**2 + 2000.0**2) ** 0.5
    assert bar.x2_mm - bar.x1_mm == pytest.approx(length_m * mm_per_m)


def test_a_name_never_covers_what_is_taken() -> None:
    names = LabelPlaces(40.0, 20.0)
    first = names.label("SITE", (20.0, 10.0), STRONG, 1.0)
    second = names.label("SITE", (20.0, 10.0), STRONG, 1.0)
    assert first is not None
    assert second is not None
    assert first != second
    apart = (
        first.x_mm + first.width_mm <= second.x_mm
        or second.x_mm + second.width_mm <= first.x_mm
        or first.y_mm + first.height_mm <= second.y_mm
        or second.y_mm + second.height_mm <= first.y_mm
    )
    assert apart


def test_a_name_without_room_is_left_out_and_told() -> None:
    assert LabelPlaces(5.0, 5.0).label("A LONG NAME", (2.0, 2.0), STRONG, 1.0) is None
    crowd = [node(SiteId(f"SITE-{n}"), 0.0, float(n)) for n in range(40)]
    block, unnamed = network_sketch(crowd, [], 100.0, 40.0)
    named = {m.text for m in block.marks if isinstance(m, Words)} - {"N"}
    assert unnamed
    assert set(unnamed).isdisjoint(named)
    assert {n.site_id for n in crowd} == set(unnamed) | {n for n in named if "SITE" in n}


def test_links_are_told_apart_without_colour() -> None:
    nodes = [node(A, 0.0, 0.0), node(B, 1000.0, 0.0), node(C, 500.0, 800.0)]
    edges = [
        DiagramEdge(ends=(A, B), is_kept=True),
        DiagramEdge(ends=(B, C), is_kept=False),
        DiagramEdge(ends=(A, C), is_kept=None),
    ]
    block, unnamed = network_sketch(nodes, edges, 120.0, 80.0)
    assert unnamed == ()
    lines = [m for m in block.marks if isinstance(m, Rule) and m.pen_mm in (0.5, 0.25)]
    assert [(line.is_dashed, line.pen_mm) for line in lines] == [
        (False, 0.5),
        (True, 0.5),
        (True, 0.25),
    ]
    assert sum(isinstance(m, Words) and m.text == "?" for m in block.marks) == 1


def test_functions_have_outlines_of_their_own() -> None:
    outlines = {
        function: node_mark(function, (0.0, 0.0), True).path.elementCount()
        for function in SiteFunction
    }
    assert len(set(outlines.values())) == len(SiteFunction)


def test_a_site_that_is_not_ready_is_open() -> None:
    ready, not_ready = (node_mark(SiteFunction.RELAY, (0.0, 0.0), r) for r in (True, False))
    assert isinstance(ready, Shape)
    assert ready.is_filled
    assert not not_ready.is_filled
    assert not_ready.pen_mm > 0.0
