"""Pages of bench records, one block a radio."""

from __future__ import annotations

from guyline.services.documents.content import BenchRecords, BenchSetting, BenchSheet, Field
from guyline.viewmodels.paper.blocks import (
    beside,
    rule,
    space,
    stack,
    text,
    tick_box,
    unknown,
    writing_line,
)
from guyline.viewmodels.paper.field_columns import field
from guyline.viewmodels.paper.flow import heading
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import cells, finished, titled_flow
from guyline.viewmodels.paper.type import STRONG

_SHARES = (0.30, 0.32, 0.38)
_GAP_MM = 2.5
_LINE_MM = 7.0
REMARK_LINES = 3
OUTCOMES = ("accepted", "to repair", "to replace")
CAUTION = (
    "Fit the antenna or a dummy load before power: without it a transmitter can be destroyed. "
    "Test through distance or an attenuator: at 1 m even a broken antenna seems to work."
)


def bench_pages(page: BenchRecords, size: PageSize) -> tuple[Page, ...]:
    """One page a radio, to be signed."""
    width = size.inner_width_mm
    flow = titled_flow("Bench records", CAUTION, page.imprint, size)
    for number, sheet in enumerate(page.sheets):
        if number:
            flow.new_page()
        flow.place("record", _sheet(sheet, width))
    return finished(flow, page.imprint, "bench, ", width)


def _sheet(sheet: BenchSheet, width: float) -> Block:
    half = (width - 4.0) / 2
    about = beside(
        [
            field(Field(label="Radio", value=sheet.radio), 26.0, half),
            field(Field(label="Serial", value=sheet.serial), 20.0, half),
        ],
        4.0,
    )
    return stack(
        [
            heading(f"{sheet.site_id}  {sheet.name}".strip(), width),
            about,
            space(width, 1.0),
            _head(width),
            *[_setting(setting, width) for setting in sheet.settings],
            space(width, 1.5),
            text("Measured", STRONG, width=width),
            *[_measured(value, width) for value in sheet.measured],
            space(width, 1.5),
            text("To be answered", STRONG, width=width),
            *[_question(words, width) for words in sheet.questions],
            space(width, 1.0),
            text("Remarks", width=width),
            *[writing_line(width, _LINE_MM) for _ in range(REMARK_LINES)],
            space(width, 1.0),
            _outcome(sheet, width),
        ],
        1.2,
    )


def _head(width: float) -> Block:
    words = ("setting", "planned", "read back from the radio")
    blocks = [text(w, width=width * s - _GAP_MM) for w, s in zip(words, _SHARES, strict=True)]
    return stack([cells(blocks, _SHARES, width), rule(width, MEDIUM_MM)], 0.6)


def _setting(setting: BenchSetting, width: float) -> Block:
    rooms = [width * share - _GAP_MM for share in _SHARES]
    planned = (
        unknown(rooms[1])
        if setting.planned is None
        else text(setting.planned, STRONG, width=rooms[1])
    )
    if not setting.read_back:
        found = writing_line(rooms[2], _LINE_MM)
    else:
        words = f"DIFFERS: {setting.read_back}" if setting.differs else setting.read_back
        found = text(words, STRONG, width=rooms[2])
    return cells([text(setting.name, width=rooms[0]), planned, found], _SHARES, width)


def _measured(value: Field, width: float) -> Block:
    rooms = [width * share - _GAP_MM for share in _SHARES]
    found = (
        text(value.value, STRONG, width=rooms[2])
        if value.value
        else writing_line(rooms[2], _LINE_MM)
    )
    return cells(
        [text(value.label, width=rooms[0]), text(value.note, width=rooms[1]), found],
        _SHARES,
        width,
    )


def _question(words: str, width: float) -> Block:
    room = width - 24.0
    return beside(
        [
            text(words, width=room - _GAP_MM),
            space(_GAP_MM, 0.0),
            tick_box(),
            text(" yes", width=12.0),
        ]
    )


def _outcome(sheet: BenchSheet, width: float) -> Block:
    boxes = [beside([tick_box(), text(word, width=24.0)], 1.5) for word in OUTCOMES]
    tester = (
        text(f"Tested by {sheet.tester}", width=width - 95.0)
        if sheet.tester
        else beside([text("Tested by, on", width=28.0), writing_line(width - 123.0, _LINE_MM)])
    )
    return stack([rule(width, HAIR_MM), beside([*boxes, tester], 1.0)], 1.0)
