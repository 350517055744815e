"""The site sheet on paper: one leaf where it can be, and no type made smaller for that."""

from __future__ import annotations

from dataclasses import replace

from guyline.services.documents.content import SiteSheet
from guyline.viewmodels.paper import site_sheet_back as back
from guyline.viewmodels.paper import site_sheet_front as front
from guyline.viewmodels.paper.blocks import beside, space, text, wrapped
from guyline.viewmodels.paper.first_side import FirstSide, first_side
from guyline.viewmodels.paper.flow import Flow, Section, whole
from guyline.viewmodels.paper.imprint import FOOT_MM, foot
from guyline.viewmodels.paper.marks import Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.site_sheet_head import are_reasons_continued, reason, running_head
from guyline.viewmodels.paper.type import BODY

_STEPS_SHARE = 0.56


def site_sheet_pages(sheet: SiteSheet, size: PageSize) -> tuple[Page, ...]:
    """Lay a site sheet out on paper of a size."""
    width = size.inner_width_mm
    side = first_side(sheet, width, size.bottom_mm - FOOT_MM - size.end_mm)

    def top(number: int) -> Block:
        return side.head if number == 1 else running_head(sheet, number, width)

    flow = Flow(size=size, foot_mm=FOOT_MM, top=top)
    flow.new_page()
    overleaf = _place_first_side(flow, sheet, side, width)
    flow.new_page()
    for section in overleaf:
        flow.add(section)
    flow.add(back.links(sheet, width))
    flow.add_whole("power", back.power(sheet, width))
    _place_steps_and_as_built(flow, sheet, width)
    if are_reasons_continued(sheet, width, side.reasons_shown):
        flow.add(_reasons(sheet, width))
    if sheet.notes and not front.are_notes_short(sheet):
        flow.add(_notes(sheet, width))
    _place_sketches(flow, sheet, width)
    return flow.finished(
        lambda n, count: foot(sheet.imprint, f"{sheet.site_id} ", n, count, width)
    )


def _place_first_side(
    flow: Flow, sheet: SiteSheet, side: FirstSide, width: float
) -> list[Section]:
    """Place what has room, and return what must go overleaf."""
    shown = sheet.cautions[: side.cautions_shown]
    hidden = (*sheet.cautions[side.cautions_shown :], *sheet.beyond)
    flow.place("stop box", side.stop_box)
    flow.place("where and who", side.where)
    flow.place("cautions", front.cautions(shown, len(hidden), width))
    flow.add_whole("take, radio", side.foot.block)
    overleaf: list[Section] = []
    if not side.has_who:
        overleaf.append(_one_piece(front.who(sheet, width)))
    if hidden:
        title = "5 Cautions, continued"
        overleaf.append(_one_piece(front.cautions(hidden, 0, width, title)))
    if side.foot.take_left is not None:
        overleaf.append(side.foot.take_left)
    if not side.foot.has_antenna:
        antenna = front.antenna(sheet, width, 2)
        if antenna.height_mm <= flow.room_mm:
            flow.place("antenna", antenna)
        else:
            overleaf.append(_one_piece(antenna))
    return overleaf


def _one_piece(block: Block) -> Section:
    """A block with its own heading, as a section of one row."""
    return Section(name="overleaf", title="", rows=(block,))


def _place_steps_and_as_built(flow: Flow, sheet: SiteSheet, width: float) -> None:
    """Beside one another, so that no step is overleaf; else one after the other."""
    column = (width - front.COLUMN_GAP_MM) * _STEPS_SHARE
    steps = whole(back.steps(sheet, column), column)
    as_built = back.as_built(sheet, width - front.COLUMN_GAP_MM - column)
    both = beside([steps, space(front.COLUMN_GAP_MM, 0.0), as_built])
    if both.height_mm > flow.room_mm:
        flow.new_page()
    if both.height_mm <= flow.room_mm:
        flow.place("steps, as built", both)
        return
    flow.add(back.steps(sheet, width))
    flow.add_whole("as built", back.as_built(sheet, width))


def _reasons(sheet: SiteSheet, width: float) -> Section:
    rows = tuple(reason(line, width) for line in sheet.reasons)
    return Section(name="reasons", title=f"1 {sheet.verdict}, in full", rows=rows)


def _notes(sheet: SiteSheet, width: float) -> Section:
    lines = wrapped(sheet.notes, BODY, width)
    rows = tuple(text(line, width=width) for line in lines)
    return Section(name="notes", title="Notes", rows=rows, gap=0.0)


def _place_sketches(flow: Flow, sheet: SiteSheet, width: float) -> None:
    """Draw as many as the last side has room for: they never cost another one."""
    large = back.sketches(sheet, width, 2)
    if large.rows and whole(large, width).height_mm <= flow.room_mm:
        flow.place("sketches", whole(large, width))
        return
    sketches = back.sketches(sheet, width, 3)
    for count in range(len(sketches.rows), 0, -1):
        drawn = whole(replace(sketches, rows=sketches.rows[:count]), width)
        if drawn.height_mm <= flow.room_mm:
            flow.place("sketches", drawn)
            return
