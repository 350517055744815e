"""Block 1 of the site sheet, and what stands at the head of its other sides."""

from __future__ import annotations

from guyline.services.documents.content import LeadLine, SiteSheet
from guyline.viewmodels.paper.blocks import (
    beside,
    framed,
    lead_text,
    padded,
    rule,
    space,
    stack,
    text,
    verdict_mark,
)
from guyline.viewmodels.paper.marks import THICK_MM, Block
from guyline.viewmodels.paper.site_sheet_front import COLUMN_GAP_MM
from guyline.viewmodels.paper.type import (
    BODY,
    IDENTIFIER,
    RUNNING,
    STRONG,
    SUBTITLE,
    VERDICT,
    line_height_mm,
    width_mm,
)

_VERDICT_MM = 68.0


def header(sheet: SiteSheet, width: float, reasons: int) -> Block:
    """Block 1: who is meant, what it is for, and whether to go, with so many reasons."""
    verdict = _verdict(sheet)
    room = width - verdict.width_mm - COLUMN_GAP_MM
    about = " · ".join(part for part in (sheet.name, sheet.function) if part)
    name = stack([text(sheet.site_id, IDENTIFIER, width=room), text(about, SUBTITLE, width=room)])
    incident = text(sheet.imprint.incident or "incident unknown", width=room)
    top = beside([stack([name, incident], 0.5), space(COLUMN_GAP_MM, 0.0), verdict])
    parts = [rule(width, THICK_MM), top]
    parts += [_short_reason(line, width) for line in sheet.reasons[:reasons]]
    if are_reasons_continued(sheet, width, reasons):
        count = len(sheet.reasons)
        note = "→ reason in full" if count == 1 else f"→ all {count} reasons in full"
        parts.append(text(f"{note} on the last side", STRONG, width=width))
    return stack(parts, 1.2)


def are_reasons_continued(sheet: SiteSheet, width: float, reasons: int) -> bool:
    """Whether a header with so many reasons does not tell all that keeps the site from GO."""
    return len(sheet.reasons) > reasons or any(
        _short_reason(line, width) != reason(line, width) for line in sheet.reasons
    )


def reason(line: LeadLine, width: float) -> Block:
    """What keeps the site from GO."""
    return lead_text(line.lead, line.line, width=width)


def _short_reason(line: LeadLine, width: float) -> Block:
    """The same in two lines at most: the first side needs its room for what must not move."""
    words = line.line
    block = reason(line, width)
    while block.height_mm > 2.5 * line_height_mm(BODY):
        words = words[: int(len(words) * 0.9)]
        block = lead_text(line.lead, words + " …", width=width)
    return block


def _verdict(sheet: SiteSheet) -> Block:
    mark = verdict_mark(sheet.verdict, 13.0)
    word = text(str(sheet.verdict), VERDICT, width=_VERDICT_MM - 13.0 - 12.0)
    inside = beside([mark, space(4.0, 0.0), word], is_centred=True)
    return framed(inside, pad=3.0, pen=THICK_MM)


def running_head(sheet: SiteSheet, side: int, width: float) -> Block:
    """What stands at the head of the second side, so that a loose page finds its other."""
    mark = verdict_mark(sheet.verdict, 5.5)
    tail_words = f"{sheet.verdict} · side {side}"
    tail = text(tail_words, STRONG, width=width_mm(tail_words, STRONG) + 0.5)
    room = width - tail.width_mm - mark.width_mm - 6.0
    title = _title(sheet, room)
    line = beside([title, space(4.0, 0.0), mark, space(2.0, 0.0), tail], is_centred=True)
    return stack([rule(width, THICK_MM), line], 1.0)


def _title(sheet: SiteSheet, width: float) -> Block:
    lead = width_mm(sheet.site_id, RUNNING) + 3.0
    if lead > width - 20.0:
        return text(sheet.site_id, RUNNING, width=width)
    name = padded(text(sheet.name, SUBTITLE, width=width - lead), top=0.5)
    return beside([text(sheet.site_id, RUNNING, width=lead), name])
