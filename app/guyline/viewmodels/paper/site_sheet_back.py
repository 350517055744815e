"""Blocks 9 to 12 of the site sheet: what to do, prove and write down."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.documents.content import Blank, LinkLine, SiteSheet
from guyline.services.documents.radio_blocks import PACKETS, PASS_WITHIN_DB
from guyline.viewmodels.paper.blocks import (
    BOX_MM,
    beside,
    padded,
    rule,
    space,
    stack,
    text,
    tick_box,
    unknown,
    writing_line,
)
from guyline.viewmodels.paper.field_columns import COLUMN_GAP_MM, ROW_GAP_MM, field_columns
from guyline.viewmodels.paper.flow import Section, heading
from guyline.viewmodels.paper.marks import HAIR_MM, Block
from guyline.viewmodels.paper.site_sheet_front import blank_row, chain
from guyline.viewmodels.paper.type import BODY, STRONG, width_mm

_SHARES = (0.20, 0.147, 0.093, 0.19, 0.37)
_CELL_GAP_MM = 2.0
_WRITE_MM = 7.4
_BLANK_MM = 36.0
_STEP_COLUMNS_MM = 150.0


def links(sheet: SiteSheet, width: float) -> Section:
    """Block 9: each link with what is expected and blanks for what was measured."""
    if sheet.links:
        rows = tuple(_link_row(line, width) for line in sheet.links)
    else:
        rows = (
            text("unknown: the plan lists no link to prove for this site", STRONG, width=width),
            *(_link_blank(width) for _ in range(2)),
        )
    return Section(
        name="links",
        title="9 Links to prove",
        note=f"levels at this radio; {PASS_WITHIN_DB:.0f} dB off, up or down: find out why",
        head=_head(width),
        rows=rows,
        gap=0.3,
    )


def _cells(blocks: Sequence[Block], width: float) -> Block:
    fitted = [
        Block(width * share, block.height_mm, block.marks)
        for share, block in zip(_SHARES, blocks, strict=True)
    ]
    return beside(fitted)


def _rooms(width: float) -> list[float]:
    return [width * share - _CELL_GAP_MM for share in _SHARES[:-1]] + [width * _SHARES[-1]]


def _head(width: float) -> Block:
    words = ("to", "bearing", "distance", "expected, least", f"measured, packets of {PACKETS}")
    cells = [text(w, width=room) for w, room in zip(words, _rooms(width), strict=True)]
    return stack([_cells(cells, width), rule(width, HAIR_MM)], 0.2)


def _link_row(line: LinkLine, width: float) -> Block:
    rooms = _rooms(width)
    to = stack([text(line.far_id, STRONG, width=rooms[0]), text(line.far_name, width=rooms[0])])
    bearing = _two(line.bearing, line.elevation, rooms[1])
    distance = _two(line.distance, "", rooms[2])
    if line.falls_short:
        distance = stack([distance, text("TOO WEAK", STRONG, width=rooms[2])])
    if line.why_unknown:
        expected = text(line.why_unknown, width=rooms[3])
    else:
        expected = _two(line.expected, line.least, rooms[3])
    row = _cells([to, bearing, distance, expected, _measured(rooms[4])], width)
    return stack([row, rule(width, HAIR_MM)], 0.4)


def _two(first: str | None, second: str | None, width: float) -> Block:
    top = unknown(width) if first is None else text(first, STRONG, width=width)
    return stack([top, text(second, width=width)]) if second else top


def _measured(width: float) -> Block:
    """Four places to write beside one another: level, ratio, packets in and out."""
    units = ("dBm", "dB SNR", "in", "out")
    shares = (0.29, 0.33, 0.18, 0.20)
    return beside(
        [
            _unit_line(unit, (width - 3 * _CELL_GAP_MM) * share, last=n == len(units) - 1)
            for n, (unit, share) in enumerate(zip(units, shares, strict=True))
        ]
    )


def _unit_line(unit: str, width: float, *, last: bool) -> Block:
    tail = width_mm(unit, BODY) + 0.5
    word = padded(text(unit, width=tail), top=_WRITE_MM - 4.0)
    gap = 0.0 if last else _CELL_GAP_MM
    return padded(
        beside([writing_line(width - tail - 0.6, _WRITE_MM), space(0.6, 0.0), word]), right=gap
    )


def _link_blank(width: float) -> Block:
    rooms = _rooms(width)
    cells = [writing_line(room, _WRITE_MM) for room in rooms[:4]]
    return _cells([*cells, _measured(rooms[4])], width)


def power(sheet: SiteSheet, width: float) -> Block:
    """Block 10: how it is fed, what is expected, and blanks for what was measured."""
    parts = [heading("10 Power", width), field_columns(sheet.power, width)]
    wiring = chain(sheet.power_chain, width) if sheet.power_chain else Block(0.0, 0.0)
    beside_it = _blanks_beside(sheet.measured, width - wiring.width_mm - COLUMN_GAP_MM)
    count = len(beside_it)
    if wiring.height_mm:
        parts.append(space(width, 1.0))
        down = max(0.0, wiring.height_mm - 6.8) / 2.0
        row = [wiring, *(padded(one, left=COLUMN_GAP_MM, top=down) for one in beside_it)]
        parts.append(beside(row))
    rest = sheet.measured[count:]
    columns = 4
    for n in range(0, len(rest), columns):
        row_of = rest[n : n + columns]
        used = (width + COLUMN_GAP_MM) * len(row_of) / columns - COLUMN_GAP_MM
        parts.append(blank_row(row_of, used))
    return stack(parts)


def _blanks_beside(blanks: Sequence[Blank], room: float) -> list[Block]:
    """As many places to write as there is room for beside the drawing of the wiring."""
    count = min(len(blanks), int((room + COLUMN_GAP_MM) // (_BLANK_MM + COLUMN_GAP_MM)))
    if count < 1:
        return []
    column = (room + COLUMN_GAP_MM) / count - COLUMN_GAP_MM
    return [blank_row([line], column) for line in blanks[:count]]


def steps(sheet: SiteSheet, width: float) -> Block:
    """Block 11: numbered, each with a box, in the order that damages nothing."""
    columns = 2 if width > _STEP_COLUMNS_MM else 1
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    rows = [_step(n, words, column) for n, words in enumerate(sheet.steps, 1)]
    piles = [rows] if columns == 1 else _halves(rows)
    body = beside([stack(pile, 0.8) for pile in piles], COLUMN_GAP_MM)
    return stack([heading("11 Do in this order", width), body])


def _halves(rows: list[Block]) -> list[list[Block]]:
    """Two piles, read one after the other, as even in height as can be."""
    cut = min(
        range(1, len(rows) + 1),
        key=lambda n: max(stack(rows[:n], 0.8).height_mm, stack(rows[n:], 0.8).height_mm),
    )
    return [rows[:cut], rows[cut:]]


def _step(number: int, words: str, width: float) -> Block:
    name = text(str(number), STRONG, width=6.0)
    box = padded(tick_box(), right=2.0)
    body = text(words, width=width - box.width_mm - name.width_mm)
    return beside([box, padded(name, top=0.4), padded(body, top=0.4)])


def as_built(sheet: SiteSheet, width: float) -> Block:
    """Block 12: what really stands there, and who says so."""
    lines = [
        blank_row(sheet.as_built, width),
        space(width, 0.8),
        _ticks("Photos", sheet.photos, width),
        _ticks("Left", sheet.left_behind, width),
        blank_row((Blank(label="Built by, when"), Blank(label="Checked by, when")), width, 7.4),
    ]
    return stack([heading("12 As built", width), stack(lines, 0.3)])


def _ticks(lead: str, lines: tuple[str, ...], width: float) -> Block:
    """Boxes to tick after a word, in as many rows as they need."""
    start = width_mm("Photos", BODY) + 3.0
    cells = []
    for words in lines:
        room = min(width_mm(words, BODY) + 0.3, width - start - BOX_MM - 6.0)
        body = text(words, width=room)
        cells.append(beside([padded(tick_box(), right=1.5), padded(body, top=0.4)]))
    rows: list[list[Block]] = [[]]
    used = 0.0
    for cell in cells:
        if rows[-1] and used + cell.width_mm + 4.0 > width - start:
            rows.append([])
            used = 0.0
        rows[-1].append(cell)
        used += cell.width_mm + 4.0
    name = padded(text(lead, width=start), top=0.4)
    return beside([name, stack([beside(row, 4.0) for row in rows], ROW_GAP_MM)])
