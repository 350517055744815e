"""Named values in columns: as many columns, and the names as wide, as takes the least height."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from guyline.services.documents.content import Field
from guyline.viewmodels.paper.blocks import (
    beside,
    blank,
    lead_text,
    padded,
    stack,
    text,
    unknown,
)
from guyline.viewmodels.paper.marks import Block
from guyline.viewmodels.paper.type import BODY, STRONG, line_height_mm, width_mm

COLUMN_GAP_MM = 6.0
ROW_GAP_MM = 0.5
_LABEL_GAP_MM = 2.5
_LABEL_SHARE = 0.46
_BUILT_MM = 27.0
_BUILT_ROW_MM = 6.2
_LEAST_VALUE_MM = 34.0


def field_columns(fields: Sequence[Field], width: float, most: int = 3) -> Block:
    """Fields in at most so many columns, which are read downward."""
    if not fields:
        return Block(width, 0.0)
    ways = [_in_columns(fields, width, n) for n in range(1, min(most, len(fields)) + 1)]
    return min(ways, key=lambda block: block.height_mm)


def _in_columns(fields: Sequence[Field], width: float, count: int) -> Block:
    column = (width - (count - 1) * COLUMN_GAP_MM) / count
    cuts = min(
        _cuts(len(fields), count),
        key=lambda cuts: max(
            field_stack(fields[a:b], column).height_mm for a, b in pairwise(cuts)
        ),
    )
    blocks = [field_stack(fields[a:b], column) for a, b in pairwise(cuts)]
    return beside([Block(column, b.height_mm, b.marks) for b in blocks], COLUMN_GAP_MM)


def _cuts(size: int, count: int) -> Iterator[tuple[int, ...]]:
    for inner in combinations(range(1, size), count - 1):
        yield 0, *inner, size


def field_stack(fields: Sequence[Field], width: float) -> Block:
    """Fields below one another, their values aligned."""
    label = label_width(fields, width)
    return stack([field(line, label, width) for line in fields], ROW_GAP_MM)


def label_width(fields: Sequence[Field], width: float) -> float:
    longest = max((width_mm(line.label, BODY) for line in fields), default=0.0)
    return min(longest + _LABEL_GAP_MM, _LABEL_SHARE * width)


def field(line: Field, label: float, width: float) -> Block:
    """A label and its value; an unknown one leaves a line to write on."""
    name = text(line.label, width=label - 1.5)
    name = Block(label, name.height_mm, name.marks)
    room = width - label
    if line.built is None:
        return beside([name, _planned(line, room)])
    built = blank("built", line.built, width=_BUILT_MM, label_width=10.5, height=_BUILT_ROW_MM)
    if room - _BUILT_MM < _LEAST_VALUE_MM:
        return beside([name, stack([_planned(line, room), built])])
    down = _BUILT_ROW_MM - line_height_mm(BODY)  # all words of the row on one line
    planned = _planned(line, room - _BUILT_MM - _LABEL_GAP_MM)
    planned = Block(planned.width_mm + _LABEL_GAP_MM, planned.height_mm, planned.marks)
    return beside([padded(name, top=down), padded(planned, top=down), built])


def _planned(line: Field, width: float) -> Block:
    if line.value is None:
        return unknown(width, line.note)
    if not line.value:
        return text(line.note, width=width)
    if line.note:
        return lead_text(line.value, line.note, width=width)
    return text(line.value, STRONG, width=width)
