"""Breaks sections into pages; type never shrinks, what does not fit goes on overleaf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from guyline.viewmodels.paper.blocks import beside, rule, space, stack, text
from guyline.viewmodels.paper.marks import MEDIUM_MM, Block, Page, Placed
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.type import BODY, HEADING, width_mm

BLOCK_GAP_MM = 2.0
ROW_GAP_MM = 0.7
NUMBER_MM = 6.0
CONTINUED = ", continued"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Rows under a title, if it has one; broken between rows, repeating title and `head`."""

    name: str
    title: str
    rows: tuple[Block, ...]
    head: Block | None = None
    note: str = ""
    """What stands at the right of the title."""
    gap: float = ROW_GAP_MM


def heading(title: str, width: float, note: str = "") -> Block:
    """A rule over the title of a block, with a note at its right."""
    words = numbered(title, width)
    if note:
        room = width - NUMBER_MM - width_mm(title, HEADING) - 6.0
        if width_mm(note, BODY) <= room:
            tail = text(note, width=width_mm(note, BODY) + 0.5)
            lead = Block(width - tail.width_mm, words.height_mm, words.marks)
            words = beside([lead, tail])
        else:
            words = stack([words, text(note, width=width)])
    return stack([rule(width, MEDIUM_MM), space(width, 0.5), words, space(width, 0.5)])


def numbered(title: str, width: float) -> Block:
    """A title whose leading number, if it has one, hangs in a column of its own."""
    number, _, rest = title.partition(" ")
    if not number.isdigit():
        return text(title, HEADING, width=width)
    name = text(number, HEADING, width=NUMBER_MM)
    return beside([name, text(rest, HEADING, width=width - NUMBER_MM)])


def whole(section: Section, width: float) -> Block:
    """A section in one piece."""
    return _piece(section, section.rows, width)


def _piece(section: Section, rows: Sequence[Block], width: float) -> Block:
    head = () if section.head is None else (section.head,)
    body = stack([*head, *rows], section.gap)
    return stack([heading(section.title, width, section.note), body]) if section.title else body


def split(
    section: Section, width: float, room: float, onward: str
) -> tuple[Block | None, Section | None]:
    """As many rows as `room` holds, ending with the words of `onward`, and what is left over.

    The first is None where not even one row fits.
    """
    if whole(section, width).height_mm <= room:
        return whole(section, width), None
    mark = text(onward, width=width)
    for count in range(len(section.rows) - 1, 0, -1):
        piece = stack([_piece(section, section.rows[:count], width), mark], ROW_GAP_MM)
        if piece.height_mm <= room:
            return piece, _rest(section, count)
    return None, section


def _rest(section: Section, count: int) -> Section:
    title = section.title.removesuffix(CONTINUED) + CONTINUED if section.title else ""
    return replace(section, title=title, rows=section.rows[count:])


def _bare(title: str) -> str:
    """A title without its number and without the word that it is continued."""
    return title.removesuffix(CONTINUED).lstrip("0123456789 ")


@dataclass
class Flow:
    """Fills pages from top to bottom.

    `top` makes what stands at the head of a page from its number, counted from 1;
    `foot_mm` is kept free at the foot.
    """

    size: PageSize
    foot_mm: float
    top: Callable[[int], Block]
    pages: list[list[Placed]] = field(default_factory=list)
    y_mm: float = 0.0

    @property
    def room_mm(self) -> float:
        return self.size.bottom_mm - self.foot_mm - self.y_mm

    def new_page(self) -> None:
        self.pages.append([])
        self.y_mm = self.size.end_mm
        self.place("head", self.top(len(self.pages)))

    def place(self, name: str, block: Block, *, x_mm: float = 0.0, advance: bool = True) -> None:
        """Put a block at the current height, `x_mm` from the left margin."""
        self.pages[-1].append(
            Placed(name=name, x_mm=self.size.side_mm + x_mm, y_mm=self.y_mm, block=block)
        )
        if advance:
            self.y_mm += block.height_mm + BLOCK_GAP_MM

    def add_whole(self, name: str, block: Block) -> None:
        """Place a block that is never broken, on the next page if this one is too full."""
        if block.height_mm > self.room_mm:
            self.new_page()
        self.place(name, block)

    def add(self, section: Section) -> None:
        """Place a section, on as many pages as it needs."""
        width = self.size.inner_width_mm
        rest: Section | None = section
        is_fresh = False
        while rest is not None:
            onward = f"→ {_bare(rest.title)} continues on the next side".replace("  ", " ")
            piece, rest = split(rest, width, self.room_mm, onward)
            if piece is None and rest is not None and is_fresh:
                piece, rest = _first_row(rest, width)  # higher than a page: nothing better
            if piece is not None:
                self.place(section.name, piece)
            if rest is not None:
                self.new_page()
                is_fresh = True

    def finished(self, foot: Callable[[int, int], Block]) -> tuple[Page, ...]:
        """The pages, each with its foot made from its number and the count of all."""
        count = len(self.pages)
        return tuple(
            Page(
                width_mm=self.size.width_mm,
                height_mm=self.size.height_mm,
                placed=(*placed, self._foot(foot(n, count))),
            )
            for n, placed in enumerate(self.pages, 1)
        )

    def _foot(self, block: Block) -> Placed:
        return Placed(
            name="foot",
            x_mm=self.size.side_mm,
            y_mm=self.size.bottom_mm - block.height_mm,
            block=block,
        )


def _first_row(section: Section, width: float) -> tuple[Block, Section | None]:
    piece = _piece(section, section.rows[:1], width)
    return piece, _rest(section, 1) if len(section.rows) > 1 else None
