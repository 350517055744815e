"""Blocks 2 to 8 of the site sheet: everything to know before work begins."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.documents.content import (
    Blank,
    ChainPart,
    Field,
    KitLine,
    LeadLine,
    SiteSheet,
)
from guyline.viewmodels.paper.blocks import (
    beside,
    blank,
    framed,
    lead_text,
    padded,
    space,
    stack,
    text,
    tick_box,
    writing_line,
)
from guyline.viewmodels.paper.code_square import code_square
from guyline.viewmodels.paper.field_columns import (
    COLUMN_GAP_MM,
    ROW_GAP_MM,
    field,
    field_columns,
    field_stack,
    label_width,
)
from guyline.viewmodels.paper.flow import Section, heading, numbered
from guyline.viewmodels.paper.marks import MEDIUM_MM, THICK_MM, Block, Rule
from guyline.viewmodels.paper.type import (
    BODY,
    STRONG,
    Style,
    width_mm,
)

SHORT_NOTES = 220  # letters: two lines of block 3
WIRE_MM = 7.0
_WHERE_SHARE = 0.56
_STOP_PAD_MM = 2.8
_KIT_GAP_MM = 0.4
_KIT_LEGEND = "first box packed, second box fitted; bold: vital"
DEFERENCE = "local codes, agency rules and licensed practice come first"
POSITION = Style(size_pt=12.0, is_bold=True)


def stop_box(sheet: SiteSheet, width: float) -> Block:
    """Block 2: what ends the job; never broken, never moved off the first side."""
    inner = width - 2 * _STOP_PAD_MM
    title = numbered("2 Stop box: read it out before work", inner * 0.6)
    initials = beside(
        [
            text("crew initials", width=20.0),
            *(part for _ in range(3) for part in (writing_line(18.0, 4.8), space(3.0, 0.0))),
        ]
    )
    gap = inner - title.width_mm - initials.width_mm
    top = beside([title, space(gap, 0.0), initials])
    lines = [lead_text(line.lead, line.line, width=inner) for line in sheet.stop]
    return framed(stack([top, *lines], 0.6), pad=_STOP_PAD_MM, pen=THICK_MM)


def where_and_who(sheet: SiteSheet, width: float) -> Block:
    """Blocks 3 and 4 beside one another, and below them what needs the whole width."""
    room = width - COLUMN_GAP_MM
    left = where(sheet, room * _WHERE_SHARE)
    right = who(sheet, room * (1.0 - _WHERE_SHARE))
    below = [Field(label="Last mile", value=sheet.access or None)]
    if are_notes_short(sheet):
        below.append(Field(label="Notes", value="", note=sheet.notes))
    return stack(
        [
            beside([left, space(COLUMN_GAP_MM, 0.0), right]),
            field_stack(below, width),
            blank_row(sheet.agreed, width),
        ],
        ROW_GAP_MM,
    )


def where(sheet: SiteSheet, width: float) -> Block:
    """Block 3: the place, for people and for telephones."""
    code = Block(0.0, 0.0) if sheet.geo_uri is None else code_square(sheet.geo_uri)
    lines = [*sheet.where]
    if sheet.geo_uri is not None:
        lines.append(Field(label="QR code", value=sheet.geo_uri))
    label = label_width(lines, width)
    rows: list[Block] = []
    tall = 0.0  # rows beside the code are narrower than those below it
    for line in lines:
        room = width - (code.width_mm if tall < code.height_mm else 0.0)
        if line.label == "Position" and line.value is not None:
            rows.append(text(line.value, POSITION, width=room))
        else:
            rows.append(field(line, label, room))
        tall += rows[-1].height_mm + ROW_GAP_MM
    body = stack(rows, ROW_GAP_MM)
    body = Block(
        width,
        max(body.height_mm, code.height_mm),
        (*body.marks, *code.moved(width - code.width_mm, 0.0)),
    )
    return stack([heading("3 Where", width, "datum WGS 84"), body])


def are_notes_short(sheet: SiteSheet) -> bool:
    """Whether the notes stand in block 3 and not in one of their own."""
    return 0 < len(sheet.notes) <= SHORT_NOTES


def who(sheet: SiteSheet, width: float) -> Block:
    """Block 4: whom to ask, to tell and to call for help."""
    return stack([heading("4 Who, and help", width), field_stack(sheet.who, width)])


def blank_row(blanks: Sequence[Blank], width: float, height: float = 6.8) -> Block:
    """Places to write, beside one another."""
    column = (width - (len(blanks) - 1) * COLUMN_GAP_MM) / len(blanks)
    return beside(
        [
            blank(
                line.label,
                line.unit,
                width=column,
                label_width=min(width_mm(line.label, BODY) + 2.5, 0.6 * column),
                height=height,
            )
            for line in blanks
        ],
        COLUMN_GAP_MM,
    )


def cautions(
    lines: Sequence[LeadLine], more: int, width: float, title: str = "5 Cautions"
) -> Block:
    """Block 5: fatal ones first; what has no room is counted and stands overleaf."""
    return stack([heading(title, width, DEFERENCE), caution_rows(lines, more, width)])


def caution_rows(lines: Sequence[LeadLine], more: int, width: float) -> Block:
    rows = [lead_text(line.lead, line.line, width=width) for line in lines]
    if more:
        rows.append(text(f"and {more} more on side 2", STRONG, width=width))
    return stack(rows, ROW_GAP_MM)


def take(lines: Sequence[KitLine], width: float) -> Section:
    """Block 6: the kit, each line with a box for packed and one for fitted."""
    if not lines:
        rows = [
            text("unknown: the plan has no kit list for this site", STRONG, width=width),
            *(_kit_blanks(width, 3) for _ in range(3)),
        ]
    else:
        ways = [_kit_rows(lines, width, columns) for columns in (2, 3)]
        rows = min(ways, key=lambda rows: stack(rows, _KIT_GAP_MM).height_mm)
    return Section(
        name="take", title="6 Take", note=_KIT_LEGEND, rows=tuple(rows), gap=_KIT_GAP_MM
    )


def _kit_rows(lines: Sequence[KitLine], width: float, columns: int) -> list[Block]:
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    cells = [
        Block(column, cell.height_mm, cell.marks)
        for cell in (_kit_row(line, column) for line in lines)
    ]
    return [beside(cells[n : n + columns], COLUMN_GAP_MM) for n in range(0, len(cells), columns)]


def _kit_row(line: KitLine, width: float) -> Block:
    boxes = _kit_boxes(line.state in ("packed", "fitted"), is_fitted=line.state == "fitted")
    room = width - boxes.width_mm
    words = f"{line.quantity} × {line.name}"
    notes = [line.note] if line.note else []
    if line.state == "needed":
        notes.insert(0, "NOT IN HAND")
    note = "; ".join(notes)
    if line.is_critical:
        body = lead_text(words, note, width=room) if note else text(words, STRONG, width=room)
    else:
        body = text(f"{words}  {note}".strip(), width=room)
    return beside([boxes, padded(body, top=0.4)])


def _kit_boxes(is_packed: bool = False, *, is_fitted: bool = False) -> Block:
    packed, fitted = tick_box(is_ticked=is_packed), tick_box(is_ticked=is_fitted)
    return padded(beside([packed, fitted], 1.2), right=2.0)


def _kit_blanks(width: float, columns: int) -> Block:
    boxes = _kit_boxes()
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    one = beside([boxes, writing_line(column - boxes.width_mm, 6.0)])
    return beside([one] * columns, COLUMN_GAP_MM)


def radio(sheet: SiteSheet, width: float) -> Block:
    """Block 7: what must be set; never broken, never moved off the first side."""
    note = f"band plan: {sheet.band_plan or 'none entered'}"
    return stack([heading("7 Radio settings", width, note), field_columns(sheet.radio, width)])


def antenna(sheet: SiteSheet, width: float) -> Block:
    """Block 8: how the antenna stands and what lies between it and the radio."""
    note = f"magnetic: declination {sheet.declination}" if sheet.declination else ""
    parts = [heading("8 Antenna", width, note), field_columns(sheet.antenna, width)]
    if sheet.connectors:
        parts += [space(width, 1.2), connector_chain(sheet.connectors, width)]
    return stack(parts)


def connector_chain(parts: Sequence[ChainPart], width: float) -> Block:
    """Boxes from radio to antenna, with the connectors that meet written on the line between."""
    pieces: list[list[Block]] = []
    for n, part in enumerate(parts):
        box = framed(text(part.name, width=width_mm(part.name, BODY) + 0.2), pad=1.0, pen=0.35)
        joint = None if n == len(parts) - 1 else _joint(part, box.height_mm)
        pieces.append([box] if joint is None else [box, joint])
    rows: list[list[Block]] = [[]]
    for piece in pieces:
        used = sum(block.width_mm for block in rows[-1])
        if rows[-1] and used + sum(block.width_mm for block in piece) > width:
            rows.append([])
        rows[-1] += piece
    return stack([beside(row, is_centred=True) for row in rows], 1.0)


def _joint(part: ChainPart, height: float) -> Block:
    words = f"LACKING {part.joint}" if part.is_lacking else part.joint
    style = STRONG if part.is_lacking else BODY
    wide = width_mm(words, style) + 4.0 if words else 8.0
    label = text(words, style, width=wide) if words else space(wide, 0.0)
    line = Rule(
        x1_mm=0.0,
        y1_mm=height - 1.0,
        x2_mm=wide,
        y2_mm=height - 1.0,
        pen_mm=MEDIUM_MM,
        is_dashed=part.is_lacking,
    )
    return Block(wide, height, (*label.moved(2.0, 0.4), line))


def chain(parts: tuple[str, ...], width: float) -> Block:
    """Boxes joined by both conductors: what feeds what, from left to right, over more rows."""
    rows: list[list[Block]] = [[]]
    used = 0.0
    for n, part in enumerate(parts):
        box = framed(text(part, width=width_mm(part, BODY) + 0.2), pad=1.3, pen=0.35)
        wires = conductors() if n else space(0.0, 0.0)
        if used + wires.width_mm + box.width_mm > width and rows[-1]:
            rows.append([])
            used = 0.0
        if n:
            rows[-1].append(wires)
            used += wires.width_mm
        rows[-1].append(box)
        used += box.width_mm
    return stack([beside(row, is_centred=True) for row in rows], 1.5)


def conductors() -> Block:
    """Plus as a solid line above, minus dashed below; their signs stand at the feeding end."""
    signs = [text(sign, width=width_mm(sign, BODY) + 0.2) for sign in "+−"]
    room = max(sign.width_mm for sign in signs) + 0.6
    lines = [
        Rule(
            x1_mm=room,
            y1_mm=sign.height_mm / 2,
            x2_mm=room + WIRE_MM,
            y2_mm=sign.height_mm / 2,
            pen_mm=MEDIUM_MM,
            is_dashed=is_dashed,
        )
        for sign, is_dashed in zip(signs, (False, True), strict=True)
    ]
    width = room + WIRE_MM
    return stack(
        [
            Block(width, sign.height_mm, (*sign.moved(0.3, 0.0), line))
            for sign, line in zip(signs, lines, strict=True)
        ]
    )
