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
from guyline.viewmodels.paper.field_columns import COLUMN_GAP_MM
from guyline.viewmodels.paper.marks import THICK_MM, Block
from guyline.viewmodels.paper.type import (
    BODY,
    IDENTIFIER,
    RUNNING,
    STRONG,
    SUBTITLE,
    VERDICT,
    ascent_mm,
    line_height_mm,
    width_mm,
)

_VERDICT_MM = 66.0
_MARK_MM = 9.0


def header(sheet: SiteSheet, width: float, reasons: int) -> Block:
    """Block 1: who is meant, what it is for, and whether to go, with so many reasons."""
    verdict = _verdict(sheet)
    name = _name(sheet, width - verdict.width_mm - COLUMN_GAP_MM)
    top = beside([name, space(COLUMN_GAP_MM, 0.0), verdict])
    stamp = " · ".join((*sheet.stamp, f"revision {sheet.imprint.revision}"))
    parts = [rule(width, THICK_MM), top, text(stamp, width=width)]
    parts += [_short_reason(line, width) for line in sheet.reasons[:reasons]]
    if are_reasons_continued(sheet, width, reasons):
        count = len(sheet.reasons)
        note = "→ reason in full" if count == 1 else f"→ {count} reasons"
        parts.append(text(f"{note} on the last side", STRONG, width=width))
    return stack(parts, 0.8)


def _name(sheet: SiteSheet, width: float) -> Block:
    """The identifier with name and function beside it, or below it where it is long."""
    lead = width_mm(sheet.site_id, IDENTIFIER) + 4.0
    if lead > 0.55 * width:
        words = " · ".join(part for part in (sheet.name, sheet.function) if part)
        below = text(words, SUBTITLE, width=width)
        return stack([text(sheet.site_id, IDENTIFIER, width=width), below])
    room = width - lead
    about = [text(sheet.name, SUBTITLE, width=room)] if sheet.name else []
    about.append(text(sheet.function, width=room))
    down = max(0.0, ascent_mm(IDENTIFIER) - stack(about).height_mm + 1.0)
    return beside([text(sheet.site_id, IDENTIFIER, width=lead), padded(stack(about), top=down)])


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
    return shortened(line, width, 2)


def shortened(line: LeadLine, width: float, lines: int) -> Block:
    """A reason in at most so many lines, with an ellipsis where words are left out."""
    words = line.line
    block = reason(line, width)
    while block.height_mm > (lines + 0.5) * line_height_mm(BODY):
        words = words[: int(len(words) * 0.95)]
        block = lead_text(line.lead, words + " …", width=width)
    return block


def _verdict(sheet: SiteSheet) -> Block:
    mark = verdict_mark(sheet.verdict, _MARK_MM)
    word = text(str(sheet.verdict), VERDICT, width=_VERDICT_MM - _MARK_MM - 8.0)
    inside = beside([mark, space(4.0, 0.0), word], is_centred=True)
    return framed(inside, pad=2.0, pen=THICK_MM)


def running_head(sheet: SiteSheet, side: int, width: float) -> Block:
    """What stands at the head of the second side, so that a loose page finds its other."""
    mark = verdict_mark(sheet.verdict, 5.0)
    tail_words = f"{sheet.verdict} · side {side}"
    tail = text(tail_words, STRONG, width=width_mm(tail_words, STRONG) + 0.5)
    room = width - tail.width_mm - mark.width_mm - 6.0
    title = _title(sheet, room)
    line = beside([title, space(4.0, 0.0), mark, space(2.0, 0.0), tail], is_centred=True)
    return stack([rule(width, THICK_MM), line], 0.6)


def _title(sheet: SiteSheet, width: float) -> Block:
    lead = width_mm(sheet.site_id, RUNNING) + 3.0
    if lead > width - 20.0:
        return text(sheet.site_id, RUNNING, width=width)
    name = padded(text(sheet.name, SUBTITLE, width=width - lead), top=0.5)
    return beside([text(sheet.site_id, RUNNING, width=lead), name])
