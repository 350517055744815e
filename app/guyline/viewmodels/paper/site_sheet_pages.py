"""The site sheet on paper: one leaf where it can be, and no type made smaller for that."""

from __future__ import annotations

from guyline.services.documents.content import SiteSheet
from guyline.viewmodels.paper.flow import BLOCK_GAP_MM, Flow
from guyline.viewmodels.paper.imprint import FOOT_MM, foot
from guyline.viewmodels.paper.marks import Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.sheet_sides import SideChooser
from guyline.viewmodels.paper.site_sheet_head import header, running_head
from guyline.viewmodels.paper.sketches import credits_line, sketches

_ROUNDING_MM = 0.01


def site_sheet_pages(sheet: SiteSheet, size: PageSize) -> tuple[Page, ...]:
    """Lay a site sheet out on paper of a size."""
    width = size.inner_width_mm
    sides = SideChooser(sheet, width, size.bottom_mm - FOOT_MM - size.end_mm).choose()

    def top(number: int) -> Block:
        if number == 1:
            return header(sheet, width, sides.reasons)
        return running_head(sheet, number, width)

    flow = Flow(size=size, foot_mm=FOOT_MM, top=top)
    flow.new_page()
    for name, block in sides.first:
        flow.place(name, block)
    if sides.others:
        flow.new_page()
    for section in sides.others:
        if len(section.rows) == 1 and not section.title:
            flow.add_whole(section.name, section.rows[0])
        else:
            flow.add(section)
    makers = credits_line(sheet, width)
    drawn = sketches(sheet, width, flow.room_mm - makers.height_mm - BLOCK_GAP_MM)
    if drawn is not None:
        flow.place("sketches", drawn)
    if makers.height_mm:
        if makers.height_mm > flow.room_mm + _ROUNDING_MM:
            flow.new_page()
        flow.place("sketches", makers)
    return flow.finished(
        lambda n, count: foot(
            sheet.imprint,
            f"{sheet.site_id}, ",
            n,
            count,
            width,
            _onward(sides.overleaf) if n == 1 else "",
        )
    )


def _onward(blocks: tuple[int, ...]) -> str:
    if not blocks:
        return ""
    name = "block" if len(blocks) == 1 else "blocks"
    return f"→ {name} {', '.join(map(str, blocks))}: side 2"
