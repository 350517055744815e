"""Arranges the first side of the site sheet, so that what must not leave it stays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from guyline.services.documents.content import SiteSheet
from guyline.viewmodels.paper import site_sheet_front as front
from guyline.viewmodels.paper.blocks import beside, space, stack, text
from guyline.viewmodels.paper.flow import BLOCK_GAP_MM, Section, split
from guyline.viewmodels.paper.marks import Block
from guyline.viewmodels.paper.site_sheet_head import header
from guyline.viewmodels.paper.type import STRONG

_ONWARD = "→ Take continues on side 2"
_WHERE_SHARE = 0.58
MOST_REASONS = 2  # our choice: more are not read before the first box


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """What fills the first side below the cautions, and what it leaves for the second."""

    block: Block
    take_left: Section | None
    has_antenna: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstSide:
    """The blocks of the first side; the counts say how many found room on it."""

    head: Block
    stop_box: Block
    where: Block
    foot: Foot
    reasons_shown: int
    cautions_shown: int
    has_who: bool


def first_side(sheet: SiteSheet, width: float, room: float) -> FirstSide:
    """Arrange blocks 1 to 8 on the first side.

    Stop box, cautions and radio settings never leave it. For them go, in this order: the kit,
    the antenna, the reasons of the verdict, the names of people; only where even that is not
    enough, the least severe cautions.
    """
    best: FirstSide | None = None
    for has_who in (True, False):
        for reasons in (MOST_REASONS, 1, 0):
            side = _arranged(sheet, width, room, reasons, has_who=has_who)
            if side.cautions_shown == len(sheet.cautions):
                return side
            if best is None or side.cautions_shown > best.cautions_shown:
                best = side
    assert best is not None
    return best


def _arranged(
    sheet: SiteSheet, width: float, room: float, reasons: int, *, has_who: bool
) -> FirstSide:
    head, stop = header(sheet, width, reasons), front.stop_box(sheet, width)
    where = _where_and_who(sheet, width) if has_who else front.where(sheet, width)
    left = room - sum(block.height_mm + BLOCK_GAP_MM for block in (head, stop, where))
    side = partial(
        FirstSide,
        head=head,
        stop_box=stop,
        where=where,
        reasons_shown=reasons,
        has_who=has_who,
    )
    for shown in range(len(sheet.cautions), 0, -1):
        more = len(sheet.cautions) - shown + len(sheet.beyond)
        block = front.cautions(sheet.cautions[:shown], more, width)
        foot = _foot(sheet, width, left - block.height_mm - BLOCK_GAP_MM)
        if foot is not None:
            return side(foot=foot, cautions_shown=shown)
    alone = Foot(
        block=front.radio(sheet, width, 2),
        take_left=_take_overleaf(sheet, 0, width),
        has_antenna=False,
    )
    return side(foot=alone, cautions_shown=0)


def _where_and_who(sheet: SiteSheet, width: float) -> Block:
    room = width - front.COLUMN_GAP_MM
    where = front.where(sheet, room * _WHERE_SHARE)
    who = front.who(sheet, room * (1.0 - _WHERE_SHARE))
    return beside([where, space(front.COLUMN_GAP_MM, 0.0), who])


def _foot(sheet: SiteSheet, width: float, room: float) -> Foot | None:
    return _side_by_side(sheet, width, room) or _below_one_another(sheet, width, room)


def _side_by_side(sheet: SiteSheet, width: float, room: float) -> Foot | None:
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
    return Foot(
        block=beside([left, space(front.COLUMN_GAP_MM, 0.0), right]),
        take_left=take_left,
        has_antenna=has_antenna,
    )


def _below_one_another(sheet: SiteSheet, width: float, room: float) -> Foot | None:
    """Radio settings in two columns, and above them as much of the kit as there is room for."""
    radio = front.radio(sheet, width, 2)
    left = room - radio.height_mm - BLOCK_GAP_MM
    above, take_left = _take(sheet, width, width, left)
    if above.height_mm > left:
        return None
    return Foot(block=stack([above, radio], BLOCK_GAP_MM), take_left=take_left, has_antenna=False)


def _take(
    sheet: SiteSheet, column: float, width: float, room: float
) -> tuple[Block, Section | None]:
    """As much of the kit as there is room for, and the rest in two columns for overleaf."""
    piece, rest = split(front.take(sheet.take, column), column, room, _ONWARD)
    if rest is None:
        assert piece is not None
        return piece, None
    if piece is None:
        see = text("6  Take: see side 2", STRONG, width=column)
        return see, _take_overleaf(sheet, 0, width)
    done = len(sheet.take) - len(rest.rows)
    return piece, replace(_take_overleaf(sheet, done, width), title=rest.title)


def _take_overleaf(sheet: SiteSheet, done: int, width: float) -> Section:
    return front.take(sheet.take[done:], width, columns=2)
