"""Puts text and blocks together; nothing here knows what it is about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainterPath, QTextLayout, QTextOption, QTransform

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.paper.marks import (
    HAIR_MM,
    MEDIUM_MM,
    THIN_MM,
    Block,
    Frame,
    Mark,
    Rule,
    Shape,
    Words,
)
from guyline.viewmodels.paper.type import (
    BODY,
    STRONG,
    UNITS_PER_MM,
    Style,
    ascent_mm,
    font,
    line_height_mm,
    width_mm,
)
from guyline.viewmodels.verdict_marks import mark_path

BOX_MM = 5.0  # trade practice: a thumb in a glove ticks nothing smaller
LEAST_ROOM_MM = 12.0  # our choice: narrower ends of lines stay empty
UNKNOWN = "unknown"
_NUMBER_AND_UNIT = re.compile(
    r"(?<=[\d°]) (?=(?:m|km|cm|mi|ft|dBm?|dBi|V|A|W|Wh|h|days?|MHz|kHz|kg|°C|T|M)\b|%)|(?<=±) "
)


@lru_cache(maxsize=8192)
def wrapped(words: str, style: Style, width: float) -> tuple[str, ...]:
    """Lines of at most `width` mm; a word that is too long for a line is cut, never clipped."""
    lines: list[str] = []
    for paragraph in with_units_kept(words).split("\n"):
        lines += _wrapped_paragraph(" ".join(paragraph.split(" ")), style, width)
    return tuple(lines)


def with_units_kept(words: str) -> str:
    """Words in which a number and its unit are joined by a space that no line is broken at."""
    return _NUMBER_AND_UNIT.sub("\u00a0", words)


def _wrapped_paragraph(words: str, style: Style, width: float) -> list[str]:
    if not words:
        return [""]
    layout = QTextLayout(words, font(style))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    option.setUseDesignMetrics(True)
    layout.setTextOption(option)
    layout.beginLayout()
    lines = []
    while (line := layout.createLine()).isValid():
        line.setLineWidth(width * UNITS_PER_MM)
        start = line.textStart()
        lines.append(words[start : start + line.textLength()].rstrip())
    layout.endLayout()
    return lines


def text(words: str, style: Style = BODY, *, width: float) -> Block:
    """A paragraph, wrapped."""
    height = line_height_mm(style)
    lines = wrapped(words, style, width)
    marks = tuple(
        Words(
            x_mm=0.0,
            y_mm=n * height,
            width_mm=width_mm(line, style),
            height_mm=height,
            text=line,
            style=style,
        )
        for n, line in enumerate(lines)
    )
    return Block(width, height * len(lines), marks)


def lead_text(lead: str, words: str, *, width: float) -> Block:
    """A paragraph that begins with a bold lead; the rest follows where the lead ends."""
    height = line_height_mm(BODY)
    bold = wrapped(lead, STRONG, width)
    indent = width_mm(bold[-1] + "  ", STRONG)
    if indent > width - LEAST_ROOM_MM:  # the rest begins on a line of its own
        return stack([text(lead, STRONG, width=width), text(words, width=width)])
    first, rest = _first_line(words, width - indent)
    above = text(lead, STRONG, width=width)
    tail = Words(
        x_mm=indent,
        y_mm=above.height_mm - height,
        width_mm=width_mm(first, BODY),
        height_mm=height,
        text=first,
        style=BODY,
    )
    head = Block(width, above.height_mm, (*above.marks, tail))
    return stack([head, text(rest, width=width)]) if rest else head


def _first_line(words: str, width: float) -> tuple[str, str]:
    """What of the words fits on a line, and the rest; a word is not cut for a short line."""
    words = with_units_kept(" ".join(words.split()))
    first = wrapped(words, BODY, width)[0]
    is_cut = len(first) < len(words) and words[len(first)] != " " and words[len(first) - 1] != "-"
    if is_cut:
        return "", words
    return first, words[len(first) :].strip(" ")


def stack(blocks: Sequence[Block], gap: float = 0.0) -> Block:
    """Blocks below one another."""
    marks: list[Mark] = []
    y = 0.0
    for n, block in enumerate(blocks):
        y += gap if n else 0.0
        marks += block.moved(0.0, y)
        y += block.height_mm
    return Block(max((b.width_mm for b in blocks), default=0.0), y, tuple(marks))


def beside(blocks: Sequence[Block], gap: float = 0.0, *, is_centred: bool = False) -> Block:
    """Blocks beside one another, aligned at their tops or middles."""
    height = max((block.height_mm for block in blocks), default=0.0)
    marks: list[Mark] = []
    x = 0.0
    for n, block in enumerate(blocks):
        x += gap if n else 0.0
        marks += block.moved(x, (height - block.height_mm) / 2 if is_centred else 0.0)
        x += block.width_mm
    return Block(x, height, tuple(marks))


def in_rows(blocks: Sequence[Block], width: float, gap: float) -> Block:
    """Blocks beside one another, in as many rows as they need."""
    rows: list[list[Block]] = [[]]
    used = 0.0
    for block in blocks:
        if rows[-1] and used + gap + block.width_mm > width:
            rows.append([])
            used = 0.0
        used += block.width_mm + (gap if rows[-1] else 0.0)
        rows[-1].append(block)
    return stack([beside(row, gap) for row in rows], 1.0)


def space(width: float, height: float) -> Block:
    return Block(width, height)


def padded(
    block: Block, *, left: float = 0.0, top: float = 0.0, right: float = 0.0, bottom: float = 0.0
) -> Block:
    return Block(
        block.width_mm + left + right,
        block.height_mm + top + bottom,
        block.moved(left, top),
    )


def framed(block: Block, *, pad: float, pen: float = MEDIUM_MM) -> Block:
    """A block inside a frame."""
    inner = padded(block, left=pad, top=pad, right=pad, bottom=pad)
    frame = Frame(
        x_mm=0.0, y_mm=0.0, width_mm=inner.width_mm, height_mm=inner.height_mm, pen_mm=pen
    )
    return Block(inner.width_mm, inner.height_mm, (frame, *inner.marks))


def rule(width: float, pen: float = THIN_MM) -> Block:
    """A rule that takes the room of its own thickness."""
    line = Rule(x1_mm=0.0, y1_mm=pen / 2, x2_mm=width, y2_mm=pen / 2, pen_mm=pen)
    return Block(width, pen, (line,))


def writing_line(width: float, height: float = 7.0) -> Block:
    """An empty line to write on, high enough for a cold hand."""
    line = Rule(x1_mm=0.0, y1_mm=height - 0.6, x2_mm=width, y2_mm=height - 0.6, pen_mm=HAIR_MM)
    return Block(width, height, (line,))


def tick_box(*, is_ticked: bool = False, size: float = BOX_MM) -> Block:
    """A box to tick; ticked already where the plan knows it is done."""
    marks: list[Mark] = [
        Frame(x_mm=0.0, y_mm=0.0, width_mm=size, height_mm=size, pen_mm=0.35),
    ]
    if is_ticked:
        tick = QPainterPath()
        tick.moveTo(0.20 * size, 0.52 * size)
        tick.lineTo(0.42 * size, 0.76 * size)
        tick.lineTo(0.82 * size, 0.22 * size)
        marks.append(Shape(path=tick, pen_mm=0.7))
    return Block(size, size, tuple(marks))


def verdict_mark(verdict: Verdict, size: float) -> Block:
    """The mark of a verdict, told apart by its outline alone."""
    path = mark_path(verdict, QRectF(0.0, 0.0, size, size))
    ink = path.boundingRect()
    over = max(ink.width(), ink.height()) / size
    if over > 1.0:  # the ends of crossed boards stick out of their box
        half = size / 2
        about_centre = QTransform.fromTranslate(half, half).scale(1 / over, 1 / over)
        path = about_centre.translate(-half, -half).map(path)
    return Block(size, size, (Shape(path=path, is_filled=True),))


def unknown(width: float, note: str = "") -> Block:
    """The word "unknown", what to do about it, and a line to write on."""
    told = f"{UNKNOWN}, {note}" if note else UNKNOWN
    word = text(told, width=width)
    used = width_mm(told + "  ", BODY)
    if used > width - LEAST_ROOM_MM:
        return stack([word, writing_line(width, 5.5)])
    y = ascent_mm(BODY) + 0.4
    line = Rule(x1_mm=used, y1_mm=y, x2_mm=width, y2_mm=y, pen_mm=HAIR_MM)
    return Block(width, word.height_mm, (*word.marks, line))


def blank(
    label: str, unit: str, *, width: float, label_width: float, height: float = 6.8
) -> Block:
    """A label, a line to write on, and the unit at its end."""
    name = text(label, width=label_width - 1.5)
    tall = max(height, name.height_mm)
    tail = width_mm(" " + unit, BODY) + 0.8 if unit else 0.0
    marks: list[Mark] = list(name.moved(0.0, tall - name.height_mm))
    base = tall - line_height_mm(BODY) + ascent_mm(BODY) + 0.5
    marks.append(
        Rule(x1_mm=label_width, y1_mm=base, x2_mm=width - tail, y2_mm=base, pen_mm=HAIR_MM)
    )
    if unit:
        words = text(unit, width=tail + 1.0)
        marks += words.moved(width - tail + 0.8, tall - words.height_mm)
    return Block(width, tall, tuple(marks))
