"""The pages that hold what was read on the links against the plan, direction by direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainterPath

from guyline.services.documents.content import ReadingLine, ReadingsPage
from guyline.services.documents.readings_page import line_words
from guyline.viewmodels.paper.blocks import beside, rule, space, stack, text
from guyline.viewmodels.paper.flow import Section
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block, Mark, Page, Rule, Shape
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import finished, titled_flow
from guyline.viewmodels.paper.type import BODY, STRONG

_WAY_SHARE, _STRIP_SHARE, _WORDS_SHARE = 0.17, 0.43, 0.40
_STRIP_MM = 7.0
_BAND_MM = 3.4
_GAP_MM = 2.5


@dataclass(frozen=True, slots=True)
class _Scale:
    """Levels in dBm along a strip of some width."""

    low_dbm: float
    high_dbm: float
    width_mm: float

    def x_mm(self, level_dbm: float) -> float:
        share = (level_dbm - self.low_dbm) / (self.high_dbm - self.low_dbm)
        return min(max(share, 0.0), 1.0) * self.width_mm


def readings_pages(page: ReadingsPage, size: PageSize) -> tuple[Page, ...]:
    """Lay planned and read levels out, every direction as a strip over one scale."""
    width = size.inner_width_mm
    flow = titled_flow("Planned against read", page.summary, page.imprint, size)
    scale = _scale(page.lines, _STRIP_SHARE * width - _GAP_MM)
    if page.lines and scale is not None:
        flow.add(
            Section(
                name="readings",
                title="",
                rows=tuple(_row(line, scale, width) for line in page.lines),
                head=_head(scale, width),
                gap=0.8,
            )
        )
        flow.add_whole("legend", _legend(width))
    return finished(flow, page.imprint, "readings, ", width)


def _scale(lines: Sequence[ReadingLine], width: float) -> _Scale | None:
    levels = [
        level
        for line in lines
        for level in (
            line.planned_dbm,
            line.low_dbm,
            line.high_dbm,
            line.sensitivity_dbm,
            line.level_dbm,
        )
        if level is not None and level == level
    ]
    if not levels:
        return None
    step = 10.0
    low = step * (min(levels) // step)
    high = step * (max(levels) // step + 1.0)
    return _Scale(low, high, width)


def _columns(blocks: Sequence[Block], width: float) -> Block:
    rooms = [share * width for share in (_WAY_SHARE, _STRIP_SHARE, _WORDS_SHARE)]
    held = [Block(r, b.height_mm, b.marks) for b, r in zip(blocks, rooms, strict=True)]
    return beside(held)


def _head(scale: _Scale, width: float) -> Block:
    left = text(f"{scale.low_dbm:.0f} dBm", width=scale.width_mm / 2)
    right_words = f"{scale.high_dbm:.0f} dBm"
    right = text(right_words, width=scale.width_mm / 2)
    shift = scale.width_mm - max(m.width_mm for m in right.marks if hasattr(m, "width_mm"))
    axis = Block(scale.width_mm, left.height_mm, (*left.marks, *right.moved(shift, 0.0)))
    row = _columns(
        [
            text("heard at / from", width=_WAY_SHARE * width - _GAP_MM),
            axis,
            text("planned, read, packets, who", width=_WORDS_SHARE * width),
        ],
        width,
    )
    return stack([row, rule(width, MEDIUM_MM)], 0.6)


def _row(line: ReadingLine, scale: _Scale, width: float) -> Block:
    room = _WAY_SHARE * width - _GAP_MM
    way = stack(
        [text(line.listener_id, STRONG, width=room), text(line.talker_id, BODY, width=room)]
    )
    levels, details = line_words(line)
    told = [text(levels, STRONG if line.is_read else BODY, width=_WORDS_SHARE * width)]
    told += [text(details, width=_WORDS_SHARE * width)] if details else []
    return stack(
        [_columns([way, _strip(line, scale), stack(told)], width), rule(width, HAIR_MM)], 0.8
    )


def _strip(line: ReadingLine, scale: _Scale) -> Block:
    """Band that should hold nine of ten, planned level, level read, sensitivity."""
    middle = _STRIP_MM / 2
    marks: list[Mark] = [
        Rule(x1_mm=0.0, y1_mm=middle, x2_mm=scale.width_mm, y2_mm=middle, pen_mm=HAIR_MM)
    ]
    if line.low_dbm is not None and line.high_dbm is not None:
        band = QPainterPath()
        left, right = scale.x_mm(line.low_dbm), scale.x_mm(line.high_dbm)
        band.addRect(QRectF(left, middle - _BAND_MM / 2, right - left, _BAND_MM))
        marks += [Shape(path=band, is_hatched=True), Shape(path=band, pen_mm=HAIR_MM)]
    if line.sensitivity_dbm is not None:
        marks.append(_upright(scale.x_mm(line.sensitivity_dbm), 0.0, _STRIP_MM, 0.8))
    if line.planned_dbm is not None:
        x = scale.x_mm(line.planned_dbm)
        marks.append(_upright(x, middle - _BAND_MM / 2, middle + _BAND_MM / 2, 0.5))
    if line.level_dbm is not None:
        marks.append(_diamond(scale.x_mm(line.level_dbm), middle))
    return Block(scale.width_mm, _STRIP_MM, tuple(marks))


def _upright(x: float, top: float, bottom: float, pen: float) -> Rule:
    return Rule(x1_mm=x, y1_mm=top, x2_mm=x, y2_mm=bottom, pen_mm=pen)


def _diamond(x: float, y: float, half: float = 1.9) -> Shape:
    path = QPainterPath()
    path.moveTo(x, y - half)
    for dx, dy in ((half, 0.0), (0.0, half), (-half, 0.0)):
        path.lineTo(x + dx, y + dy)
    path.closeSubpath()
    return Shape(path=path, is_filled=True)


def _legend(width: float) -> Block:
    diamond = Block(5.0, 4.4, (_diamond(2.2, 2.2),))
    tick = Block(5.0, 4.4, (_upright(2.2, 0.4, 4.0, 0.5),))
    thick = Block(5.0, 4.4, (_upright(2.2, 0.0, 4.4, 0.8),))
    box = QPainterPath()
    box.addRect(QRectF(0.0, 0.8, 4.0, 2.8))
    band = Block(5.0, 4.4, (Shape(path=box, is_hatched=True), Shape(path=box, pen_mm=HAIR_MM)))
    named = (
        (diamond, "level read"),
        (tick, "level planned"),
        (band, "should hold nine of ten"),
        (thick, "sensitivity"),
    )
    parts: list[Block] = []
    for mark, words in named:
        parts += [mark, text(words, width=0.25 * width - 8.0), space(2.0, 0.0)]
    return beside(parts)
