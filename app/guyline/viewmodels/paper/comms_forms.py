"""What net control fills in by hand: who decides what, a message form, a log."""

from __future__ import annotations

from guyline.services.documents.content import Blank
from guyline.viewmodels.paper.blocks import (
    beside,
    framed,
    rule,
    space,
    stack,
    text,
    tick_box,
    writing_line,
)
from guyline.viewmodels.paper.flow import Section, heading
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block
from guyline.viewmodels.paper.site_sheet_front import blank_row
from guyline.viewmodels.paper.type import STRONG

AGREED = (
    "Check-in times",
    "If a call is missed",
    "Second way to reach them",
    "Third way",
    "Last way: who drives",
    "May change settings",
    "Keeps the keys",
    "Keys roll over on",
)
PRECEDENCE = ("emergency: life", "priority: time presses", "welfare: is somebody well", "routine")
"""The order of messages that amateur services use, from memory: the first goes first."""
_LINE_MM = 7.4
_LOG_LINES, _MESSAGE_LINES, _REPLY_LINES = 14, 6, 3


def agreed(width: float) -> Block:
    """Times, other ways, and who decides: agreed by hand, and written here."""
    rows = [
        blank_row([Blank(label=label) for label in AGREED[n : n + 2]], width, _LINE_MM)
        for n in range(0, len(AGREED), 2)
    ]
    return stack([heading("Agreed by hand", width), *rows])


def message_form(width: float) -> Block:
    """A message as the general form of incident command has it, with its precedence to tick."""
    inner = width - 2 * 3.0
    ticks = [
        beside([tick_box(), space(1.5, 0.0), text(words, width=inner / 4 - 8.0)])
        for words in PRECEDENCE
    ]
    parts = [
        text("Message", STRONG, width=inner),
        beside(ticks, 1.0),
        blank_row((Blank(label="To, position"), Blank(label="From, position")), inner, _LINE_MM),
        blank_row(
            (Blank(label="Subject"), Blank(label="Date, time"), Blank(label="Approved by")),
            inner,
            _LINE_MM,
        ),
        *(writing_line(inner, _LINE_MM) for _ in range(_MESSAGE_LINES)),
        text("Reply", STRONG, width=inner),
        *(writing_line(inner, _LINE_MM) for _ in range(_REPLY_LINES)),
        blank_row((Blank(label="Replied by"), Blank(label="Date, time")), inner, _LINE_MM),
    ]
    return framed(stack(parts, 0.6), pad=3.0, pen=MEDIUM_MM)


def log(width: float) -> Section:
    """Empty lines for what happens: when, between whom, what."""
    shares = (0.10, 0.12, 0.12, 0.66)
    words = ("time", "from", "to", "what")
    cells = [
        Block(width * share, block.height_mm, block.marks)
        for share, block in (
            (share, text(word, width=width * share - 2.0))
            for share, word in zip(shares, words, strict=True)
        )
    ]
    line = stack([space(width, _LINE_MM - HAIR_MM), rule(width, HAIR_MM)])
    head = stack([beside(cells), rule(width, MEDIUM_MM)], 0.4)
    return Section(name="log", title="Log", rows=(line,) * _LOG_LINES, head=head, gap=0.0)
