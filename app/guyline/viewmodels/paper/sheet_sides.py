"""Chooses which block of the site sheet stands on which side, so that one leaf is enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from guyline.services.documents.content import LeadLine, SiteSheet
from guyline.viewmodels.paper import site_sheet_back as back
from guyline.viewmodels.paper import site_sheet_front as front
from guyline.viewmodels.paper.blocks import beside, stack, text, wrapped
from guyline.viewmodels.paper.field_columns import COLUMN_GAP_MM
from guyline.viewmodels.paper.flow import BLOCK_GAP_MM, Section, heading, whole
from guyline.viewmodels.paper.marks import Block
from guyline.viewmodels.paper.site_sheet_head import (
    are_reasons_continued,
    header,
    reason,
    running_head,
    shortened,
)
from guyline.viewmodels.paper.sketches import LEAST_MAP_MM, credits_line
from guyline.viewmodels.paper.type import BODY, STRONG

MOST_REASONS = 2  # our choice: more are not read before the first box
TAKE, ANTENNA, LINKS, POWER, STEPS, AS_BUILT = 6, 8, 9, 10, 11, 12
MOVABLE = (TAKE, ANTENNA, LINKS, POWER, STEPS, AS_BUILT)
TRIED: tuple[tuple[int, ...], ...] = (
    (TAKE, ANTENNA, LINKS, POWER, STEPS, AS_BUILT),  # one side
    (ANTENNA, POWER, STEPS, AS_BUILT),
    (ANTENNA, POWER, STEPS),
    (TAKE, ANTENNA, POWER),
    (ANTENNA, POWER, AS_BUILT),
    (ANTENNA, POWER),
    (TAKE, ANTENNA, LINKS),
    (ANTENNA, STEPS),
    (TAKE, ANTENNA, AS_BUILT),
    (TAKE, ANTENNA),
    (ANTENNA, LINKS),
    (ANTENNA, AS_BUILT),
    (ANTENNA,),
)
"""What is tried on the first side beside the blocks that never leave it, the best first: what is
needed at the mast goes before what is needed at the store and at the desk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyShown:
    """How the last side tells what keeps the site from GO; None: all, in full."""

    lines: int | None = None
    columns: int = 1
    count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """What stands where: blocks of the first side in their order, sections of the others."""

    first: tuple[tuple[str, Block], ...]
    others: tuple[Section, ...]
    reasons: int
    overleaf: tuple[int, ...]
    """Numbers of the blocks that do not stand on the first side."""


class SideChooser:
    """Measures every block once and arranges them on paper with so much room on a side."""

    def __init__(self, sheet: SiteSheet, width: float, room: float) -> None:
        self._sheet, self._width, self._room = sheet, width, room
        self._heads = [header(sheet, width, n) for n in range(MOST_REASONS + 1)]
        self._whole = {
            number: whole(section, width).height_mm for number, section in self._sections.items()
        }

    def choose(self) -> Sides:
        """The best arrangement of two sides; else one in which what must not move stays."""
        every = len(self._sheet.reasons)
        plenty = product((True, False), (WhyShown(), WhyShown(lines=1)), (2, 1))
        scant = ((False, WhyShown(lines=1, columns=2, count=n), 0) for n in range(every, -1, -1))
        for with_map, why, reasons in (*plenty, *scant):
            for chosen in TRIED:
                if self._fits(chosen, reasons, why, with_map=with_map):
                    return self._sides(chosen, reasons, self._all_cautions, why)
        for reasons, chosen in product((2, 1, 0), ((ANTENNA,), ())):
            if self._front_mm(chosen, reasons, self._all_cautions) <= self._room:
                return self._sides(chosen, reasons, self._all_cautions, WhyShown())
        shown = self._all_cautions
        while shown and self._front_mm((), 0, shown) > self._room:
            shown -= 1
        return self._sides((), 0, shown, WhyShown())

    @property
    def _all_cautions(self) -> int:
        return len(self._sheet.cautions)

    @cached_property
    def _sections(self) -> dict[int, Section]:
        sheet, width = self._sheet, self._width
        return {
            TAKE: front.take(sheet.take, width),
            ANTENNA: one_piece("antenna", front.antenna(sheet, width)),
            LINKS: back.links(sheet, width),
            POWER: one_piece("power", back.power(sheet, width)),
            STEPS: one_piece("steps", back.steps(sheet, width)),
            AS_BUILT: one_piece("as built", back.as_built(sheet, width)),
        }

    def _fits(self, chosen: Sequence[int], reasons: int, why: WhyShown, *, with_map: bool) -> bool:
        """Whether two sides hold it all, with the map if it is wanted."""
        if self._front_mm(chosen, reasons, self._all_cautions) > self._room:
            return False
        others = self._others(chosen, reasons, self._all_cautions, why)
        tall = running_head(self._sheet, 2, self._width).height_mm
        tall += credits_line(self._sheet, self._width).height_mm + BLOCK_GAP_MM
        tall += sum(self._height(section) + BLOCK_GAP_MM for section in others)
        if with_map and self._sheet.neighbours:
            tall += heading("Map", self._width).height_mm + LEAST_MAP_MM + BLOCK_GAP_MM
        return tall <= self._room

    def _height(self, section: Section) -> float:
        for number, known in self._sections.items():
            if known is section:
                return self._whole[number]
        return whole(section, self._width).height_mm

    def _front_mm(self, chosen: Sequence[int], reasons: int, cautions: int) -> float:
        fixed = [self._heads[min(reasons, MOST_REASONS)], *self._fixed(cautions)]
        heights = [block.height_mm for block in fixed] + [self._whole[n] for n in chosen]
        return sum(heights) + BLOCK_GAP_MM * (len(heights) - 1)

    def _fixed(self, cautions: int) -> tuple[Block, ...]:
        """Stop box, where and who, cautions, radio settings."""
        return (*self._unmoved, self._cautions(cautions))

    @cached_property
    def _unmoved(self) -> tuple[Block, Block, Block]:
        sheet, width = self._sheet, self._width
        return (
            front.stop_box(sheet, width),
            front.where_and_who(sheet, width),
            front.radio(sheet, width),
        )

    @cached_property
    def _caution_blocks(self) -> dict[int, Block]:
        return {}

    def _cautions(self, shown: int) -> Block:
        if shown not in self._caution_blocks:
            hidden = self._all_cautions - shown + len(self._sheet.beyond)
            self._caution_blocks[shown] = front.cautions(
                self._sheet.cautions[:shown], hidden, self._width
            )
        return self._caution_blocks[shown]

    def _sides(
        self,
        chosen: Sequence[int],
        reasons: int,
        cautions: int,
        why: WhyShown,
    ) -> Sides:
        stop, where, radio = self._unmoved
        first = [
            ("stop box", stop),
            ("where and who", where),
            ("cautions", self._cautions(cautions)),
        ]
        numbers = sorted((*chosen, 7))
        for number in numbers:
            if number == 7:
                first.append(("radio", radio))
            else:
                section = self._sections[number]
                first.append((section.name, whole(section, self._width)))
        return Sides(
            first=tuple(first),
            others=self._others(chosen, reasons, cautions, why),
            reasons=reasons,
            overleaf=tuple(number for number in MOVABLE if number not in chosen),
        )

    def _others(
        self, chosen: Sequence[int], reasons: int, cautions: int, why: WhyShown
    ) -> tuple[Section, ...]:
        """What stands overleaf, in the order of the blocks."""
        sheet, width = self._sheet, self._width
        found = []
        hidden = (*sheet.cautions[cautions:], *sheet.beyond)
        if hidden:
            title = heading("5 Cautions, continued", width)
            rows = front.caution_rows(hidden, 0, width)
            found.append(one_piece("cautions, continued", stack([title, rows])))
        found += [self._sections[number] for number in MOVABLE if number not in chosen]
        if are_reasons_continued(sheet, width, reasons):
            found.append(_reasons(sheet, width, why))
        if sheet.notes and not front.are_notes_short(sheet):
            found.append(_notes(sheet, width))
        return tuple(found)


def one_piece(name: str, block: Block) -> Section:
    """A block with its own heading, as a section of one row."""
    return Section(name=name, title="", rows=(block,))


def _reasons(sheet: SiteSheet, width: float, why: WhyShown) -> Section:
    """The reasons, in full or in so many lines; those left out are counted."""
    told = sheet.reasons[: why.count]
    column = (width - (why.columns - 1) * COLUMN_GAP_MM) / why.columns
    cells = [
        reason(line, column) if why.lines is None else shortened(line, column, why.lines)
        for line in (_bare(line) if why.columns > 1 else line for line in told)
    ]
    rows = [
        beside(cells[n : n + why.columns], COLUMN_GAP_MM)
        for n in range(0, len(cells), why.columns)
    ]
    left = len(sheet.reasons) - len(told)
    if left:
        rows.append(text(f"and {left} more: ask the planner", STRONG, width=width))
    note = "" if why.lines is None else "where … stands, ask the planner for the whole"
    return Section(name="reasons", title=f"1 {sheet.verdict}: why", rows=tuple(rows), note=note)


def _bare(line: LeadLine) -> LeadLine:
    """A reason without its lead where room is scant: what it is stands in the title."""
    return LeadLine(lead="–", line=line.line)


def _notes(sheet: SiteSheet, width: float) -> Section:
    lines = wrapped(sheet.notes, BODY, width)
    rows = tuple(text(line, width=width) for line in lines)
    return Section(name="notes", title="Notes", rows=rows, gap=0.0)
