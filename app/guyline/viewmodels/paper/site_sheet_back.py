"""Blocks 9 to 12 of the site sheet: what to do, prove and write down."""

from __future__ import annotations

from guyline.services.documents.content import Blank, LinkLine, SiteSheet
from guyline.services.documents.radio_blocks import PACKETS, PASS_WITHIN_DB
from guyline.viewmodels.paper.blocks import (
    BOX_MM,
    beside,
    blank,
    padded,
    rule,
    space,
    stack,
    text,
    tick_box,
    unknown,
    writing_line,
)
from guyline.viewmodels.paper.flow import ROW_GAP_MM, Section, heading
from guyline.viewmodels.paper.locator_sketch import locator_sketch
from guyline.viewmodels.paper.marks import HAIR_MM, Block
from guyline.viewmodels.paper.profile_sketch import profile_sketch, sketch_height_mm
from guyline.viewmodels.paper.site_sheet_front import COLUMN_GAP_MM, chain, in_columns
from guyline.viewmodels.paper.type import STRONG, width_mm

_SKETCH_ASPECT = 0.42
_SHARES = (0.15, 0.18, 0.11, 0.30, 0.26)


def links(sheet: SiteSheet, width: float) -> Section:
    """Block 9: each link with what is expected and blanks for what was measured."""
    if not sheet.links:
        rows: tuple[Block, ...] = (
            text("unknown: the plan lists no link to prove for this site", STRONG, width=width),
            *(_link_blank(width) for _ in range(2)),
        )
        return Section(name="links", title="9 Links to prove", rows=rows, head=_head(width))
    return Section(
        name="links",
        title="9 Links to prove",
        head=_head(width),
        rows=(
            *(_link_row(line, width) for line in sheet.links),
            text(
                f"Levels at this site's radio. {PASS_WITHIN_DB:.0f} dB off, up or down: find out"
                " why before you leave.",
                width=width,
            ),
        ),
        gap=0.8,
    )


def _cells(blocks: list[Block], width: float) -> Block:
    fitted = [
        Block(width * share, block.height_mm, block.marks)
        for share, block in zip(_SHARES, blocks, strict=True)
    ]
    return beside(fitted)


def _head(width: float) -> Block:
    words = ("to", "bearing", "distance", "expected / least", "measured")
    cells = [text(w, width=width * s - 2.0) for w, s in zip(words, _SHARES, strict=True)]
    return stack([_cells(cells, width), rule(width, HAIR_MM)], 0.4)


def _link_row(line: LinkLine, width: float) -> Block:
    rooms = [width * share - 2.0 for share in _SHARES]
    to = stack([text(line.far_id, STRONG, width=rooms[0]), text(line.far_name, width=rooms[0])])
    bearing = _two(line.bearing, line.elevation, rooms[1])
    distance = _two(line.distance, "", rooms[2])
    if line.why_unknown:
        expected = text(line.why_unknown, width=rooms[3])
    else:
        expected = _two(line.expected, line.least and f"least {line.least}", rooms[3])
    if line.falls_short:
        expected = stack([expected, text("FALLS SHORT", STRONG, width=rooms[3])])
    row = _cells([to, bearing, distance, expected, _measured(rooms[4])], width)
    return stack([row, rule(width, HAIR_MM)], 0.6)


def _two(first: str | None, second: str | None, width: float) -> Block:
    top = unknown(width) if first is None else text(first, STRONG, width=width)
    return stack([top, text(second, width=width)]) if second else top


def _measured(width: float) -> Block:
    half = (width - 2.0) / 2
    return stack(
        [
            beside([_unit_line("dBm", half), space(2.0, 0.0), _unit_line("SNR", half)]),
            beside(
                [
                    _unit_line(f"/{PACKETS} in", half),
                    space(2.0, 0.0),
                    _unit_line(f"/{PACKETS} out", half),
                ]
            ),
        ]
    )


def _unit_line(unit: str, width: float) -> Block:
    tail = width_mm(unit, STRONG) + 0.5
    word = padded(text(unit, width=tail), top=2.6)
    return beside([writing_line(width - tail, 6.8), word])


def _link_blank(width: float) -> Block:
    rooms = [width * share - 2.0 for share in _SHARES]
    cells = [writing_line(room, 8.0) for room in rooms[:4]]
    return _cells([*cells, _measured(rooms[4])], width)


def sketches(sheet: SiteSheet, width: float, columns: int) -> Section:
    """The site among the others, and the paths to prove, the weakest first."""
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    height = column * _SKETCH_ASPECT
    cells = [
        profile_sketch(line.path, f"to {line.far_id}", line.is_from_here, column, height)
        for line in sheet.links
        if line.path is not None
    ]
    if sheet.neighbours:
        tall = sketch_height_mm(height)
        cells.insert(0, locator_sketch(sheet.site_id, sheet.neighbours, column, tall))
    rows = tuple(
        beside(cells[n : n + columns], COLUMN_GAP_MM) for n in range(0, len(cells), columns)
    )
    return Section(name="sketches", title="Sketches", rows=rows, gap=2.0)


def power(sheet: SiteSheet, width: float) -> Block:
    """Block 10: how it is fed, what is expected, and blanks for what was measured."""
    parts = [heading("10 Power", width), in_columns(sheet.power, 26.0, width, 2)]
    if sheet.power_chain:
        parts += [space(width, 1.5), chain(sheet.power_chain, width)]
    columns = 4 if len(sheet.measured) == 4 else 3
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    for n in range(0, len(sheet.measured), columns):
        row = blanks(sheet.measured[n : n + columns], column, 24.0)
        parts.append(beside(row, COLUMN_GAP_MM))
    return stack(parts)


def blanks(lines: tuple[Blank, ...], width: float, label_width: float) -> list[Block]:
    return [blank(line.label, line.unit, width=width, label_width=label_width) for line in lines]


def steps(sheet: SiteSheet, width: float) -> Section:
    """Block 11: numbered, each with a box, in the order that damages nothing."""
    rows = tuple(_step(n, words, width) for n, words in enumerate(sheet.steps, 1))
    return Section(name="steps", title="11 Do in this order", rows=rows, gap=1.1)


def _step(number: int, words: str, width: float) -> Block:
    name = text(str(number), STRONG, width=8.0)
    box = padded(tick_box(), right=2.5)
    body = text(words, width=width - box.width_mm - name.width_mm)
    return beside([box, padded(name, top=0.4), padded(body, top=0.4)])


def as_built(sheet: SiteSheet, width: float) -> Block:
    """Block 12: what really stands there, and who says so."""
    lines = [
        *blanks(sheet.as_built, width, 34.0),
        space(width, 1.0),
        text("photos", STRONG, width=width),
        _ticks(sheet.photos, width, 2),
        text("left on site", STRONG, width=width),
        _ticks(sheet.left_behind, width, 1),
        blank("Built by, when", "", width=width, label_width=34.0, height=8.0),
        blank("Checked by, when", "", width=width, label_width=34.0, height=8.0),
    ]
    return stack([heading("12 As built", width), stack(lines, 0.5)])


def _ticks(lines: tuple[str, ...], width: float, columns: int) -> Block:
    column = width / columns
    rows = []
    for n in range(0, len(lines), columns):
        cells = []
        for words in lines[n : n + columns]:
            body = text(words, width=column - BOX_MM - 3.5)
            cell = beside([padded(tick_box(), right=2.0), padded(body, top=0.4)])
            cells.append(Block(column, cell.height_mm, cell.marks))
        rows.append(beside(cells))
    return stack(rows, ROW_GAP_MM)
