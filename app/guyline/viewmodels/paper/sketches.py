"""The foot of the second side: the map, and the paths to prove, as far as there is room."""

from __future__ import annotations

from guyline.services.documents.content import SiteSheet
from guyline.viewmodels.paper.blocks import beside, stack, text
from guyline.viewmodels.paper.field_columns import COLUMN_GAP_MM
from guyline.viewmodels.paper.flow import heading
from guyline.viewmodels.paper.locator_sketch import locator_sketch
from guyline.viewmodels.paper.marks import Block
from guyline.viewmodels.paper.profile_sketch import profile_sketch, sketch_height_mm
from guyline.viewmodels.paper.terrain_map import terrain_map
from guyline.viewmodels.paper.type import SMALL, line_height_mm

LEAST_MAP_MM = 30.0  # our choice: on a smaller map names cover all of the ground
_MOST_MAP_MM = 105.0
_PROFILE_MM = 17.0  # height of the drawing alone
_ROW_GAP_MM = 1.5


def sketches(sheet: SiteSheet, width: float, room: float) -> Block | None:
    """Map at the left, profiles at its right, the weakest path first; None without room."""
    title = heading("Map and paths", width)
    tall = min(room - title.height_mm, _MOST_MAP_MM)
    if tall < LEAST_MAP_MM or not (sheet.neighbours or sheet.links):
        return None
    wide = min(tall * 1.15, (width - COLUMN_GAP_MM) * 0.6)
    column = width - wide - COLUMN_GAP_MM
    drawn = _profiles(sheet, column, tall)
    if not drawn.height_mm:
        wide = min(width, tall * 1.6)
    return stack([title, beside([_map(sheet, wide, tall), Block(COLUMN_GAP_MM, 0.0), drawn])])


def _map(sheet: SiteSheet, width: float, height: float) -> Block:
    """The ground round the site; the other sites alone where nobody knows the ground."""
    if sheet.extract is None:
        return locator_sketch(sheet.site_id, sheet.neighbours, width, height)
    tall = height - line_height_mm(SMALL)
    drawn, interval_m = terrain_map(sheet.site_id, sheet.extract, sheet.neighbours, width, tall)
    return stack([drawn, text(f"contours every {interval_m:g} m", SMALL, width=width)])


def credits_line(sheet: SiteSheet, width: float) -> Block:
    """Who made the ground, in the small type of an imprint."""
    if not sheet.credits:
        return Block(width, 0.0)
    return text(sheet.credits, SMALL, width=width)


def _profiles(sheet: SiteSheet, width: float, room: float) -> Block:
    """As many profiles as fit, in one or two columns."""
    paths = [line for line in sheet.links if line.path is not None]
    each = sketch_height_mm(_PROFILE_MM) + _ROW_GAP_MM
    rows = int((room + _ROW_GAP_MM) // each)
    columns = 2 if len(paths) > rows and width > 110.0 else 1
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    fits = rows * columns
    if not fits or not paths:
        return Block(0.0, 0.0)
    used_rows = -(-min(len(paths), fits) // columns)
    height = (room + _ROW_GAP_MM) / used_rows - _ROW_GAP_MM - sketch_height_mm(0.0)
    cells = [
        profile_sketch(
            line.path, f"to {line.far_id}", line.is_from_here, column, min(height, 0.42 * column)
        )
        for line in paths[:fits]
    ]
    return stack(
        [beside(cells[n : n + columns], COLUMN_GAP_MM) for n in range(0, len(cells), columns)],
        _ROW_GAP_MM,
    )
