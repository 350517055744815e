"""The site sheet on paper: one leaf, the second side for doing and proving."""

from __future__ import annotations

from dataclasses import dataclass, replace

from guyline.services.documents.content import SiteSheet
from guyline.viewmodels.paper import site_sheet_back as back
from guyline.viewmodels.paper import site_sheet_front as front
from guyline.viewmodels.paper.blocks import beside, space, stack, text
from guyline.viewmodels.paper.flow import BLOCK_GAP_MM, Flow, Section, split, whole
from guyline.viewmodels.paper.imprint import FOOT_MM, foot
from guyline.viewmodels.paper.marks import Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.type import STRONG

_ONWARD = "Take continues on side 2"
_WHERE_SHARE = 0.58
_STEPS_SHARE = 0.56


@dataclass(frozen=True, slots=True, kw_only=True)
class _Foot:
    """What fills the first side below the cautions, and what it leaves for the second."""

    block: Block
    take_left: Section | None
    has_antenna: bool


def site_sheet_pages(sheet: SiteSheet, size: PageSize) -> tuple[Page, ...]:
    """Lay a site sheet out on paper of a size; sketches are drawn where they cost no side."""
    plain = _laid_out(sheet, size, Section(name="sketches", title="", rows=()))
    sketches = back.sketches(sheet, size.inner_width_mm)
    if not sketches.rows:
        return plain
    drawn = _laid_out(sheet, size, sketches)
    return drawn if len(drawn) == len(plain) else plain


def _laid_out(sheet: SiteSheet, size: PageSize, sketches: Section) -> tuple[Page, ...]:
    width = size.inner_width_mm
    flow = Flow(size=size, foot_mm=FOOT_MM, top=lambda n: _top(sheet, n, width))
    flow.new_page()
    flow.place("stop box", front.stop_box(sheet, width))
    flow.place("where and who", _where_and_who(sheet, width))
    shown, below = _below(sheet, width, flow.room_mm)
    hidden = (*sheet.cautions[shown:], *sheet.beyond)
    flow.place("cautions", front.cautions(sheet.cautions[:shown], len(hidden), width))
    flow.place("take, radio", below.block)
    has_antenna = below.has_antenna
    if not has_antenna and front.antenna(sheet, width, 2).height_mm <= flow.room_mm:
        flow.place("antenna", front.antenna(sheet, width, 2))
        has_antenna = True
    flow.new_page()
    if below.take_left is not None:
        flow.add(below.take_left)
    if hidden:
        flow.add_whole("cautions", front.cautions(hidden, 0, width, "5 Cautions, continued"))
    if not has_antenna:
        flow.add_whole("antenna", front.antenna(sheet, width, 2))
    flow.add(back.links(sheet, width))
    if sketches.rows:
        flow.add(sketches)
    flow.add_whole("power", back.power(sheet, width))
    _place_steps_and_as_built(flow, sheet, width)
    return flow.finished(
        lambda n, count: foot(sheet.imprint, f"{sheet.site_id} ", n, count, width)
    )


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


def _top(sheet: SiteSheet, page: int, width: float) -> Block:
    return front.header(sheet, width) if page == 1 else front.running_head(sheet, page, width)


def _where_and_who(sheet: SiteSheet, width: float) -> Block:
    room = width - front.COLUMN_GAP_MM
    where = front.where(sheet, room * _WHERE_SHARE)
    who = front.who(sheet, room * (1.0 - _WHERE_SHARE))
    return beside([where, space(front.COLUMN_GAP_MM, 0.0), who])


def _below(sheet: SiteSheet, width: float, room: float) -> tuple[int, _Foot]:
    """How many cautions the first side shows, and what stands below them.

    The radio settings never leave the first side; for them the least severe cautions do.
    """
    for shown in range(len(sheet.cautions), 0, -1):
        more = len(sheet.cautions) - shown + len(sheet.beyond)
        used = front.cautions(sheet.cautions[:shown], more, width).height_mm + BLOCK_GAP_MM
        for arrange in (_side_by_side, _below_one_another):
            found = arrange(sheet, width, room - used)
            if found is not None:
                return shown, found
    return 0, _radio_alone(sheet, width)


def _side_by_side(sheet: SiteSheet, width: float, room: float) -> _Foot | None:
    """Take at the left, radio settings at the right, the antenna below them if it fits."""
    column = (width - front.COLUMN_GAP_MM) / 2
    right = front.radio(sheet, column, 1)
    with_antenna = stack([right, front.antenna(sheet, column, 1)], BLOCK_GAP_MM)
    has_antenna = with_antenna.height_mm <= room
    if has_antenna:
        right = with_antenna
    if right.height_mm > room:
        return None
    left, take_left = _take(sheet, column, width, room)
    return _Foot(
        block=beside([left, space(front.COLUMN_GAP_MM, 0.0), right]),
        take_left=take_left,
        has_antenna=has_antenna,
    )


def _below_one_another(sheet: SiteSheet, width: float, room: float) -> _Foot | None:
    """Radio settings in two columns, and above them as much of the kit as there is room for."""
    radio = front.radio(sheet, width, 2)
    left = room - radio.height_mm - BLOCK_GAP_MM
    above, take_left = _take(sheet, width, width, left)
    if above.height_mm > left:
        return None
    return _Foot(block=stack([above, radio], BLOCK_GAP_MM), take_left=take_left, has_antenna=False)


def _take(
    sheet: SiteSheet, column: float, width: float, room: float
) -> tuple[Block, Section | None]:
    """As much of the kit as there is room for, and the rest in two columns for overleaf."""
    piece, rest = split(front.take(sheet.take, column), column, room, _ONWARD)
    if rest is None:
        assert piece is not None
        return piece, None
    if piece is None:
        return text("6 Take: see side 2", STRONG, width=column), _take_overleaf(sheet, 0, width)
    done = len(sheet.take) - len(rest.rows)
    return piece, replace(_take_overleaf(sheet, done, width), title=rest.title)


def _take_overleaf(sheet: SiteSheet, done: int, width: float) -> Section:
    return front.take(sheet.take[done:], width, columns=2)


def _radio_alone(sheet: SiteSheet, width: float) -> _Foot:
    return _Foot(
        block=front.radio(sheet, width, 2),
        take_left=_take_overleaf(sheet, 0, width),
        has_antenna=False,
    )
