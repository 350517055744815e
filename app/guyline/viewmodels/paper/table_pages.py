"""Pages with one table, and the page of sites still lacking power."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.documents.content import (
    Imprint,
    PowerLine,
    PowerPage,
)
from guyline.viewmodels.paper.blocks import (
    beside,
    rule,
    stack,
    text,
    unknown,
)
from guyline.viewmodels.paper.flow import Flow, Section
from guyline.viewmodels.paper.imprint import FOOT_MM, foot
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, THICK_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.type import HEADING, STRONG, TITLE

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
