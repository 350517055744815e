"""Lays the page of coverage out: figures, map, key, and everybody by name."""

from __future__ import annotations

from guyline.services.documents.content import CoveragePage, CoveragePlace
from guyline.services.geodesy import LocalFrame, degrees_minutes
from guyline.viewmodels.ground_view_relief import GroundLines, ground_lines_of
from guyline.viewmodels.paper.blocks import lead_text, rule, stack, text, unknown
from guyline.viewmodels.paper.coverage_page_map import (
    Sheet,
    coverage_legend,
    coverage_map,
    sheet_of,
)
from guyline.viewmodels.paper.field_columns import field
from guyline.viewmodels.paper.flow import Section
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import cells, finished, titled_flow
from guyline.viewmodels.paper.type import BODY, SMALL, STRONG

MOST_MAP_SHARE = 0.52  # of the height of a page: the names must stand beside the map
_SHARES = (0.20, 0.19, 0.09, 0.33, 0.08, 0.11)
_HEADS = ("place", "state", "people", "margin", "likely", "servers")
_LABEL_MM = 26.0
_GAP_MM = 2.0


def coverage_pages(page: CoveragePage, size: PageSize) -> tuple[Page, ...]:
    """The map on the first side, and what does not fit overleaf."""
    width = size.inner_width_mm
    flow = titled_flow("Coverage", page.summary, page.imprint, size)
    sheet = sheet_of(page.coverage.grid, width, MOST_MAP_SHARE * size.height_mm)
    ground = ground_lines_of(sheet.grid)
    flow.place("map", coverage_map(page, sheet, ground, width))
    flow.place("key", stack([coverage_legend(width), _origin(page, sheet, ground, width)], 1.2))
    if page.places:
        rows = tuple(_row(place, width) for place in page.places)
        flow.add(
            Section(
                name="places",
                title="Places that need service, the unserved first",
                rows=rows,
                head=_head(width),
                gap=0.3,
            )
        )
    if page.skipped:
        rows = tuple(lead_text(line.lead, line.line, width=width) for line in page.skipped)
        flow.add(Section(name="skipped", title="Not counted", rows=rows))
    flow.add(
        Section(
            name="counted",
            title="What was reckoned with",
            rows=tuple(field(f, _LABEL_MM, width) for f in page.counted),
        )
    )
    return finished(flow, page.imprint, "coverage, ", width)


def _origin(page: CoveragePage, sheet: Sheet, ground: GroundLines, width: float) -> Block:
    """Scale, contours, grid, where the corners are, and who made the ground."""
    grid = sheet.grid
    frame = LocalFrame(grid.lat0_deg, grid.lon0_deg)
    corners = [
        degrees_minutes(*(float(v) for v in frame.to_lat_lon(x, y)))
        for x, y in ((grid.west_m, grid.south_m), (grid.east_m, grid.north_m))
    ]
    words = (
        f"Scale 1 : {_round(1000.0 / sheet.mm_per_m)}. Contours every {ground.interval_m:g} m."
        f" Grid: UTM in kilometres, WGS 84. Corners: south-west {corners[0]}, north-east"
        f" {corners[1]}. {page.attribution}"
    )
    return text(words.strip(), SMALL, width=width)


def _round(scale: float) -> str:
    """Three figures are as exact as paper is long."""
    return f"{float(f'{scale:.3g}'):,.0f}".replace(",", " ")


def _head(width: float) -> Block:
    names = [text(h, width=_room(s, width)) for h, s in zip(_HEADS, _SHARES, strict=True)]
    return stack([cells(names, _SHARES, width), rule(width, MEDIUM_MM)], 0.4)


def _row(place: CoveragePlace, width: float) -> Block:
    rooms = [_room(share, width) for share in _SHARES]
    blocks = [
        text(place.name, STRONG, width=rooms[0]),
        text(place.state, STRONG if place.is_served is not True else BODY, width=rooms[1]),
        _known(place.people or None, rooms[2]),
        _known(place.margin, rooms[3]),
        _known(place.probability, rooms[4]),
        text(place.servers, width=rooms[5]),
    ]
    return stack([cells(blocks, _SHARES, width), rule(width, HAIR_MM)], 0.4)


def _known(words: str | None, width: float) -> Block:
    return unknown(width) if words is None else text(words, width=width)


def _room(share: float, width: float) -> float:
    return share * width - _GAP_MM
