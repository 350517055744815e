"""Pages with one table: readiness review, and sites still lacking power."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.documents.content import (
    Imprint,
    PowerLine,
    PowerPage,
    ReviewLine,
    ReviewPage,
)
from guyline.viewmodels.paper.blocks import (
    beside,
    lead_text,
    padded,
    rule,
    space,
    stack,
    text,
    unknown,
    verdict_mark,
)
from guyline.viewmodels.paper.flow import Flow, Section
from guyline.viewmodels.paper.imprint import FOOT_MM, foot
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, THICK_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.type import BODY, HEADING, STRONG, TITLE

_GAP_MM = 2.5
_GATE_MM = 6.4
_MARK_MM = 4.4


def power_pages(page: PowerPage, size: PageSize) -> tuple[Page, ...]:
    """Lay the page of sites lacking power out."""
    width = size.inner_width_mm
    shares = (0.18, 0.13, 0.14, 0.13, 0.17, 0.25)
    heads = ("site", "fed by", "missing", "first outage", "not known", "least effort to mend")
    rows = tuple(_power_row(line, shares, width) for line in page.lines)
    flow = titled_flow("Sites still lacking power", page.summary, page.imprint, size)
    if rows:
        head = stack(
            [
                cells(
                    [text(h, width=_room(width, s)) for h, s in zip(heads, shares, strict=True)],
                    shares,
                    width,
                ),
                rule(width, MEDIUM_MM),
            ],
            0.6,
        )
        flow.add(Section(name="table", title="", rows=rows, head=head, gap=1.4))
    for name, words in (("ranking", page.ranking), ("up", page.up)):
        if words:
            flow.add_whole(name, text(words, width=width))
    if page.trips:
        trips = tuple(text(line, width=width) for line in page.trips)
        title = "Trips with charged batteries or fuel"
        flow.add(Section(name="trips", title=title, rows=trips, gap=0.6))
    return finished(flow, page.imprint, "power, ", width)


def _power_row(line: PowerLine, shares: Sequence[float], width: float) -> Block:
    rooms = [_room(width, share) for share in shares]
    site = stack([text(line.site_id, HEADING, width=rooms[0]), text(line.name, width=rooms[0])])
    fed = unknown(rooms[1]) if line.source is None else text(line.source, width=rooms[1])
    state = text("LACKS" if line.is_known else "UNKNOWN", STRONG, width=rooms[2])
    if line.shortfall is not None:
        state = stack([state, text(line.shortfall, STRONG, width=rooms[2])])
    outage = unknown(rooms[3]) if line.outage is None else text(line.outage, width=rooms[3])
    gaps = text(", ".join(line.missing) or "–", width=rooms[4])
    cures = stack(
        [text(f"or {words}" if n else words, width=rooms[5]) for n, words in enumerate(line.cures)]
        or [unknown(rooms[5])]
    )
    row = cells([site, fed, state, outage, gaps, cures], shares, width)
    return stack([row, rule(width, HAIR_MM)], 1.2)


def review_pages(page: ReviewPage, size: PageSize) -> tuple[Page, ...]:
    """Lay the readiness review out."""
    width = size.inner_width_mm
    flow = titled_flow("Readiness review", page.decision, page.imprint, size)
    if page.network:
        flow.add_whole(
            "network",
            stack([lead_text(line.lead, line.line, width=width) for line in page.network], 0.8),
        )
    flow.add(
        Section(
            name="table",
            title="",
            rows=tuple(_review_row(line, width) for line in page.lines),
            head=_review_head(len(page.gates), width),
            gap=1.2,
        )
    )
    flow.add_whole("legend", _legend(page, width))
    return finished(flow, page.imprint, "review, ", width)


_SITE_SHARE = 0.255
_VERDICT_MM = 8.0


def _review_widths(width: float) -> tuple[float, float]:
    site = width * _SITE_SHARE
    return site, width - site - _VERDICT_MM - _GAP_MM


def _review_head(count: int, width: float) -> Block:
    site, words = _review_widths(width)
    numbers = [
        Block(_GATE_MM, b.height_mm, b.marks)
        for b in (text(str(n), width=_GATE_MM) for n in range(1, count + 1))
    ]
    room = words - count * _GATE_MM
    row = beside(
        [
            space(_VERDICT_MM, 0.0),
            text("site", width=site),
            space(_GAP_MM, 0.0),
            *numbers,
            text("gates; first blocker, remedy", width=room),
        ]
    )
    return stack([row, rule(width, MEDIUM_MM)], 0.6)


def _review_row(line: ReviewLine, width: float) -> Block:
    site, words = _review_widths(width)
    about = stack(
        [
            text(line.site_id, HEADING, width=site),
            *([text(line.name, width=site)] if line.name else []),
            text(str(line.verdict), STRONG, width=site),
        ]
    )
    marks = beside(
        [Block(_GATE_MM, _MARK_MM, verdict_mark(v, _MARK_MM).marks) for v in line.gates]
    )
    row = beside(
        [
            Block(_VERDICT_MM, 6.0, verdict_mark(line.verdict, 6.0).marks),
            about,
            space(_GAP_MM, 0.0),
            stack([padded(marks, top=0.2), *_told(line, words)], 0.4),
        ]
    )
    return stack([row, rule(width, HAIR_MM)], 1.0)


def _told(line: ReviewLine, width: float) -> list[Block]:
    if not line.blocker:
        return []
    told = [text(line.blocker, width=width)]
    owner = f"owner: {line.owner}" if line.owner else "no owner"
    more = f"; {line.more} more" if line.more else ""
    told.append(lead_text(line.remedy or "No remedy known.", f"({owner}{more})", width=width))
    return told


def _legend(page: ReviewPage, width: float) -> Block:
    """What the numbers over the marks stand for."""
    names = ",  ".join(f"{n} {name}" for n, name in enumerate(page.gates, 1))
    return stack([rule(width), text(f"Gates: {names}", BODY, width=width)], 1.0)


def finished(flow: Flow, imprint: Imprint, subject: str, width: float) -> tuple[Page, ...]:
    return flow.finished(lambda n, count: foot(imprint, subject, n, count, width))


def titled_flow(title: str, summary: str, imprint: Imprint, size: PageSize) -> Flow:
    width = size.inner_width_mm

    def top(number: int) -> Block:
        parts = [
            rule(width, THICK_MM),
            text(title if number == 1 else f"{title}, continued", TITLE, width=width),
        ]
        if number == 1:
            parts.append(text(imprint.incident or "incident unknown", width=width))
            if summary:
                parts.append(text(summary, STRONG, width=width))
        return stack(parts, 1.4)

    flow = Flow(size=size, foot_mm=FOOT_MM, top=top)
    flow.new_page()
    return flow


def _room(width: float, share: float) -> float:
    return width * share - _GAP_MM


def cells(blocks: Sequence[Block], shares: Sequence[float], width: float) -> Block:
    return beside(
        [
            Block(width * share, block.height_mm, block.marks)
            for share, block in zip(shares, blocks, strict=True)
        ]
    )
