"""The forms of incident command on paper: one page or more each, with room to sign."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.services.comms_forms import CommsForm
from guyline.services.documents.content import Field, FormsPage
from guyline.viewmodels.paper.blocks import rule, space, stack, text, writing_line
from guyline.viewmodels.paper.field_columns import field_columns
from guyline.viewmodels.paper.flow import Flow, Section, heading
from guyline.viewmodels.paper.imprint import FOOT_MM
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, THICK_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import cells, finished
from guyline.viewmodels.paper.type import BODY, STRONG, TITLE

MOST_COLUMNS = 4  # our choice: a wider table is told row by row, each value under its name
_SIGN_MM = 9.0


def forms_pages(page: FormsPage, size: PageSize) -> tuple[Page, ...]:
    """Lay out each form on pages of its own, so that it can be handed on alone."""
    width = size.inner_width_mm
    shown: list[CommsForm] = []

    def top(number: int) -> Block:
        form = shown[-1]
        return stack([rule(width, THICK_MM), text(form.title, TITLE, width=width)], 1.4)

    flow = Flow(size=size, foot_mm=FOOT_MM, top=top)
    for form in page.forms:
        shown.append(form)
        flow.new_page()
        flow.add_whole("head", field_columns(_fields(form.head), width, 2))
        if len(form.columns) <= MOST_COLUMNS:
            flow.add(_table(form, width))
        else:
            for number, row in enumerate(form.rows, start=1):
                flow.add_whole("row", _told(form.columns, row, number, width))
        flow.add_whole("foot", _foot(form.foot, width))
    return finished(flow, page.imprint, "ICS forms, ", width)


def _fields(named: Sequence[tuple[str, str]]) -> tuple[Field, ...]:
    return tuple(Field(label=label, value=value or None) for label, value in named)


def _table(form: CommsForm, width: float) -> Section:
    shares = (1.0 / len(form.columns),) * len(form.columns)
    room = width * shares[0] - 2.5
    head = cells([text(name, width=room) for name in form.columns], shares, width)
    rows = tuple(
        stack(
            [
                cells(
                    [
                        text(cell, STRONG if n == 1 else BODY, width=room)
                        for n, cell in enumerate(row)
                    ],
                    shares,
                    width,
                ),
                rule(width, HAIR_MM),
            ],
            0.8,
        )
        for row in form.rows
    )
    return Section(
        name="table",
        title="",
        rows=rows,
        head=stack([head, rule(width, MEDIUM_MM)], 0.6),
        gap=0.9,
    )


def _told(columns: Sequence[str], row: Sequence[str], number: int, width: float) -> Block:
    """A row of a wide table: each value under the name of its column."""
    named = tuple(zip(columns, row, strict=True))
    return stack([heading(f"Line {number}", width), field_columns(_fields(named), width, 2)], 0.6)


def _foot(named: Sequence[tuple[str, str]], width: float) -> Block:
    """What is known below the table; a line to write on for the rest."""
    parts: list[Block] = [rule(width, MEDIUM_MM)]
    for label, value in named:
        parts.append(text(label, width=width))
        parts.append(
            text(value, STRONG, width=width) if value else writing_line(width / 2, _SIGN_MM)
        )
    return stack([*parts, space(width, 1.0)], 0.8)
