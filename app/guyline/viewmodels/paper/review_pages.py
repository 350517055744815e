"""The readiness review on paper: the network above, one entry a site below, worst first."""

from __future__ import annotations

from datetime import date

from guyline.core.readiness.finding import Verdict
from guyline.services.documents.content import ReviewLine, ReviewPage
from guyline.viewmodels.paper.blocks import (
    beside,
    lead_text,
    padded,
    rule,
    space,
    stack,
    text,
    verdict_mark,
)
from guyline.viewmodels.paper.flow import Section
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import finished, titled_flow

_VERDICT_MM = 7.0
_GATE_MM = 5.6
_MARK_MM = 4.0
_OWNER_SHARE = 0.29
_GAP_MM = 2.5


def review_pages(page: ReviewPage, size: PageSize) -> tuple[Page, ...]:
    """Lay the readiness review out."""
    width = size.inner_width_mm
    flow = titled_flow("Readiness review", page.decision, page.imprint, size)
    if page.network:
        flow.add_whole(
            "network",
            stack([lead_text(line.lead, line.line, width=width) for line in page.network], 0.5),
        )
    rows = tuple(_row(line, page.imprint.printed_on, width) for line in page.lines)
    flow.add(Section(name="table", title="", rows=rows, head=_head(page.gates, width), gap=0.7))
    return finished(flow, page.imprint, "review, ", width)


def _rooms(count: int, width: float) -> tuple[float, float, float]:
    """Widths of the site, the gates and the owner."""
    gates, owner = count * _GATE_MM + _GAP_MM, _OWNER_SHARE * width
    return width - _VERDICT_MM - gates - owner, gates, owner


def _head(gates: tuple[str, ...], width: float) -> Block:
    site, _, owner = _rooms(len(gates), width)
    numbers = [
        Block(_GATE_MM, block.height_mm, block.marks)
        for block in (text(str(n), width=_GATE_MM) for n in range(1, len(gates) + 1))
    ]
    name = text("site, function, priority", width=site - _GAP_MM)
    row = beside(
        [
            space(_VERDICT_MM, 0.0),
            Block(site, name.height_mm, name.marks),
            *numbers,
            space(_GAP_MM, 0.0),
            text("owner, due", width=owner),
        ]
    )
    names = ", ".join(f"{n} {name}" for n, name in enumerate(gates, 1))
    legend = text(f"Gates: {names}", width=width)
    return stack([legend, row, rule(width, MEDIUM_MM)], 0.5)


def _row(line: ReviewLine, today: date | None, width: float) -> Block:
    """A site in one line, and below it what stops it first and what mends that."""
    site, _, owner = _rooms(len(line.gates), width)
    marks = beside(
        [Block(_GATE_MM, _MARK_MM, verdict_mark(v, _MARK_MM).marks) for v in line.gates]
    )
    name = _site(line, site - _GAP_MM)
    first = beside(
        [
            Block(_VERDICT_MM, 5.0, verdict_mark(line.verdict, 5.0).marks),
            padded(Block(site, name.height_mm, name.marks), top=0.3),
            padded(marks, top=0.3, right=_GAP_MM),
            padded(text(_owner(line, today), width=owner), top=0.3),
        ]
    )
    told = _told(line, width - _VERDICT_MM)
    parts = [first, padded(told, left=_VERDICT_MM), rule(width, HAIR_MM)]
    return stack([part for part in parts if part.height_mm], 0.5)


def _site(line: ReviewLine, width: float) -> Block:
    priority = "" if line.priority is None else f", {line.priority}"
    about = ", ".join(part for part in (line.name, line.function) if part)
    return lead_text(line.site_id, f"{about}{priority}", width=width)


def _owner(line: ReviewLine, today: date | None) -> str:
    if line.verdict is Verdict.GO:
        return ""
    if line.due_on is None:
        return line.owner or "no owner"
    left = "" if today is None else _days((line.due_on - today).days)
    return f"{line.owner or 'nobody'}, {line.due_on:%d %b}{left}"


def _days(left: int) -> str:
    if left < 0:
        return f", {-left} d OVERDUE"
    return f", in {left} d"


def _told(line: ReviewLine, width: float) -> Block:
    if not line.blocker:
        return Block(width, 0.0)
    more = f"  (+ {line.more} more)" if line.more else ""
    return lead_text(f"{line.verdict}:", f"{line.blocker} {line.remedy}{more}", width=width)
