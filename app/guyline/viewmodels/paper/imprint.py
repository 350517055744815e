"""The foot of every page: which plan, which revision, when, which page of how many."""

from __future__ import annotations

from guyline.services.documents.content import Imprint
from guyline.viewmodels.paper.blocks import beside, rule, space, stack, text
from guyline.viewmodels.paper.marks import THIN_MM, Block
from guyline.viewmodels.paper.type import SMALL, STRONG, width_mm

FOOT_MM = 9.5


def foot(
    imprint: Imprint, subject: str, number: int, count: int, width: float, onward: str = ""
) -> Block:
    """Two lines of small type under a rule, with the count of pages at the right.

    `onward` stands below that and says what continues on another side.
    """
    sheet = f"{subject}page {number} of {count}"
    tail = text(sheet, STRONG, width=width_mm(sheet, STRONG) + 0.5)
    planner = f"planner {imprint.planner}" if imprint.planner else "planner unknown"
    origin = (
        f"{imprint.plan_name} · plan revision {imprint.revision} · this sheet {imprint.digest}"
    )
    top = beside([_one_line(origin, width - tail.width_mm), tail])
    mark = text(onward, STRONG, width=width_mm(onward, STRONG) + 0.5)
    printed = _one_line(f"printed {imprint.printed} · {planner}", width - mark.width_mm - 2.0)
    below = beside([printed, space(2.0, 0.0), mark])
    return stack([rule(width, THIN_MM), space(width, 0.6), top, below])


def _one_line(words: str, width: float) -> Block:
    """Words cut with an ellipsis where they are too long: the digests stand first."""
    short = words
    while width_mm(short, SMALL) > width and len(short) > 1:
        short = short[:-2] + "…"
    return text(short, SMALL, width=width)
