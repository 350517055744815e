"""The foot of every page: which plan, which revision, when, which sheet of how many."""

from __future__ import annotations

from guyline.services.documents.content import Imprint
from guyline.viewmodels.paper.blocks import beside, rule, space, stack, text
from guyline.viewmodels.paper.marks import THIN_MM, Block
from guyline.viewmodels.paper.type import SMALL, STRONG, width_mm

FOOT_MM = 10.5


def foot(imprint: Imprint, subject: str, number: int, count: int, width: float) -> Block:
    """Two lines of small type under a rule, with the count of sheets at the right."""
    sheet = f"{subject}sheet {number} of {count}"
    tail = text(sheet, STRONG, width=width_mm(sheet, STRONG) + 0.5)
    planner = f"planner {imprint.planner}" if imprint.planner else "planner unknown"
    origin = (
        f"{imprint.plan_name} · plan revision {imprint.revision} · this sheet {imprint.digest}"
    )
    top = beside([_one_line(origin, width - tail.width_mm), tail])
    below = _one_line(f"printed {imprint.printed} · {planner}", width)
    return stack([rule(width, THIN_MM), space(width, 0.8), top, below])


def _one_line(words: str, width: float) -> Block:
    """Words cut with an ellipsis where they are too long: the digests stand first."""
    short = words
    while width_mm(short, SMALL) > width and len(short) > 1:
        short = short[:-2] + "…"
    return text(short, SMALL, width=width)
