"""Blocks 2 to 8 of the site sheet: everything to know before work begins."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.documents.content import Field, KitLine, LeadLine, SiteSheet
from guyline.viewmodels.paper.blocks import (
    beside,
    field,
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
from guyline.viewmodels.paper.flow import ROW_GAP_MM, Section, heading, numbered
from guyline.viewmodels.paper.marks import MEDIUM_MM, THICK_MM, Block, Rule
from guyline.viewmodels.paper.type import (
    BODY,
    STRONG,
    Style,
    width_mm,
)

COLUMN_GAP_MM = 6.0
SHORT_NOTES = 120  # letters: two or three lines of block 3
LABEL_MM = 26.0
WIRE_MM = 7.0
POSITION = Style(size_pt=12.0, is_bold=True)


def stop_box(sheet: SiteSheet, width: float) -> Block:
    """Block 2: what ends the job; never broken, never moved off the first side."""
    inner = width - 2 * 3.5
    title = numbered("2 Stop box: read it out before work", inner * 0.6)
    initials = beside(
        [
            text("Initials", width=16.0),
            writing_line(22.0, 4.8),
            space(3.0, 0.0),
            writing_line(22.0, 4.8),
        ]
    )
    gap = inner - title.width_mm - initials.width_mm
    top = beside([title, space(gap, 0.0), initials])
    lines = [lead_text(line.lead, line.line, width=inner) for line in sheet.stop]
    return framed(stack([top, *lines], 1.0), pad=3.5, pen=THICK_MM)


def where(sheet: SiteSheet, width: float) -> Block:
    """Block 3: the place, for people and for telephones."""
    code = Block(0.0, 0.0) if sheet.geo_uri is None else code_square(sheet.geo_uri)
    rows: list[Block] = []
    tall = 0.0  # rows beside the code are narrower than those below it
    for line in sheet.where:
        room = width - (code.width_mm if tall < code.height_mm else 0.0)
        if line.label == "Position" and line.value is not None:
            rows.append(text(line.value, POSITION, width=room))
        else:
            rows.append(field(line.label, line.value, line.note, label_width=LABEL_MM, width=room))
        tall += rows[-1].height_mm + ROW_GAP_MM
    if tall < code.height_mm:
        rows.append(space(width, code.height_mm - tall))
    if sheet.geo_uri is not None:
        rows.append(field("QR code", sheet.geo_uri, label_width=LABEL_MM, width=width))
    rows.append(field("Last mile", sheet.access or None, label_width=LABEL_MM, width=width))
    if are_notes_short(sheet):
        rows.append(field("Notes", "", sheet.notes, label_width=LABEL_MM, width=width))
    body = Block(
        width,
        stack(rows, ROW_GAP_MM).height_mm,
        (*stack(rows, ROW_GAP_MM).marks, *code.moved(width - code.width_mm, 0.0)),
    )
    return stack([heading("3 Where", width, "datum WGS 84"), body])


def are_notes_short(sheet: SiteSheet) -> bool:
    """Whether the notes stand in block 3 and not in one of their own."""
    return 0 < len(sheet.notes) <= SHORT_NOTES


def who(sheet: SiteSheet, width: float) -> Block:
    """Block 4: whom to ask, to call and to tell."""
    rows = fields(sheet.who, LABEL_MM, width)
    lines = [
        beside([text(label, width=LABEL_MM), writing_line(width - LABEL_MM, 6.5)])
        for label in ("Crew", "Check-in at")
    ]
    return stack([heading("4 Who", width), stack([*rows, *lines], ROW_GAP_MM)])


def fields(lines: tuple[Field, ...], label_width: float, width: float) -> tuple[Block, ...]:
    return tuple(
        field(line.label, line.value, line.note, label_width=label_width, width=width)
        for line in lines
    )


def cautions(
    lines: tuple[LeadLine, ...], more: int, width: float, title: str = "5 Cautions"
) -> Block:
    """Block 5: fatal ones first; what has no room is counted and stands overleaf."""
    rows = [lead_text(line.lead, line.line, width=width) for line in lines]
    if more:
        rows.append(text(f"and {more} more on side 2", STRONG, width=width))
    note = "local codes, agency rules and licensed practice come first"
    return stack([heading(title, width, note), stack(rows, ROW_GAP_MM)])


def take(lines: Sequence[KitLine], width: float, columns: int = 1) -> Section:
    """Block 6: the kit, each line with a box for packed and one for fitted."""
    if not lines:
        rows = [
            text("unknown: the plan has no kit list for this site", STRONG, width=width),
            *(_kit_blank(width) for _ in range(6)),
        ]
    else:
        column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
        cells = [
            Block(column, cell.height_mm, cell.marks)
            for cell in (_kit_row(line, column) for line in lines)
        ]
        rows = [
            beside(cells[n : n + columns], COLUMN_GAP_MM) for n in range(0, len(cells), columns)
        ]
    head = text("First box packed, second box fitted. Bold: vital for the site.", width=width)
    return Section(name="take", title="6 Take", rows=tuple(rows), head=head, gap=1.1)


def _kit_row(line: KitLine, width: float) -> Block:
    boxes = _kit_boxes(line.state in ("packed", "fitted"), is_fitted=line.state == "fitted")
    room = width - boxes.width_mm
    words = f"{line.quantity} × {line.name}"
    notes = [line.note] if line.note else []
    if line.state == "needed":
        notes.append("NOT IN HAND")
    label = text(words, STRONG if line.is_critical else BODY, width=room)
    body = stack([label, text("; ".join(notes), width=room)]) if notes else label
    return beside([boxes, padded(body, top=0.4)])


def _kit_boxes(is_packed: bool = False, *, is_fitted: bool = False) -> Block:
    packed, fitted = tick_box(is_ticked=is_packed), tick_box(is_ticked=is_fitted)
    return padded(beside([packed, fitted], 2.0), right=3.0)


def _kit_blank(width: float) -> Block:
    boxes = _kit_boxes()
    return beside([boxes, writing_line(width - boxes.width_mm, 6.0)])


def radio(sheet: SiteSheet, width: float, columns: int) -> Block:
    """Block 7: what must be set; never broken, never moved off the first side."""
    return stack(
        [heading("7 Radio settings", width), in_columns(sheet.radio, 32.0, width, columns)]
    )


def antenna(sheet: SiteSheet, width: float, columns: int) -> Block:
    """Block 8: how the antenna stands and what lies between it and the radio."""
    rows = in_columns(sheet.antenna, 32.0, width, columns)
    return stack([heading("8 Antenna", width), rows])


def in_columns(lines: tuple[Field, ...], label_width: float, width: float, columns: int) -> Block:
    """Fields in columns that are read downward."""
    column = (width - (columns - 1) * COLUMN_GAP_MM) / columns
    each = -(-len(lines) // columns)
    blocks = [
        stack(fields(lines[n : n + each], label_width, column), ROW_GAP_MM)
        for n in range(0, len(lines), each)
    ]
    blocks = [Block(column, block.height_mm, block.marks) for block in blocks]
    return beside(blocks, COLUMN_GAP_MM)


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
