"""Pages of the packing list."""

from __future__ import annotations

from guyline.services.documents.content import (
    PackedLine,
    PackedLoad,
    PackingList,
    ShortLine,
    SitePacking,
)
from guyline.viewmodels.paper.blocks import (
    beside,
    padded,
    rule,
    space,
    stack,
    text,
    tick_box,
    unknown,
)
from guyline.viewmodels.paper.flow import BLOCK_GAP_MM, Flow, Section, heading, whole
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, Block, Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import cells, finished, titled_flow
from guyline.viewmodels.paper.type import BODY, STRONG

_SHORT_SHARES = (0.36, 0.09, 0.10, 0.11, 0.34)
_SHORT_HEADS = ("item", "needed", "in hand", "in store", "to get")
_BOX_MM, _COUNT_MM, _MASS_MM = 8.0, 12.0, 22.0
_GAP_MM = 2.5
ORDER = "Pack from the top of each list down: what is used first comes to lie on top."


def packing_pages(page: PackingList, size: PageSize) -> tuple[Page, ...]:
    """What is lacking first; then each site's loads, in the order in which they are packed."""
    width = size.inner_width_mm
    flow = titled_flow("Packing list", page.summary, page.imprint, size)
    if page.short:
        rows = tuple(_short(line, width) for line in page.short)
        title = "Still to get, over all sites"
        flow.add(Section(name="short", title=title, rows=rows, head=_short_head(width), gap=0.8))
    if page.sites:
        flow.place("order", text(ORDER, width=width))
    for site in page.sites:
        _add_site(flow, site, width)
    return finished(flow, page.imprint, "packing, ", width)


def _short_head(width: float) -> Block:
    heads = zip(_SHORT_HEADS, _SHORT_SHARES, strict=True)
    blocks = [text(words, width=width * share - _GAP_MM) for words, share in heads]
    return stack([cells(blocks, _SHORT_SHARES, width), rule(width, MEDIUM_MM)], 0.6)


def _short(line: ShortLine, width: float) -> Block:
    rooms = [width * share - _GAP_MM for share in _SHORT_SHARES]
    row = cells(
        [
            text(line.name, width=rooms[0]),
            text(str(line.needed), width=rooms[1]),
            text(str(line.held), width=rooms[2]),
            text(line.in_stock or "–", width=rooms[3]),
            text(line.to_get, STRONG, width=rooms[4]),
        ],
        _SHORT_SHARES,
        width,
    )
    return stack([row, rule(width, HAIR_MM)], 0.8)


def _add_site(flow: Flow, site: SitePacking, width: float) -> None:
    """A site stands whole on a page where it can: each crew takes its own."""
    head = heading(f"{site.site_id}  {site.name}".strip(), width, site.summary)
    loads = [_load(load, width) for load in site.loads]
    height = head.height_mm + sum(whole(load, width).height_mm + BLOCK_GAP_MM for load in loads)
    if height > flow.room_mm:
        flow.new_page()
    flow.place("site", head)
    for load in loads:
        flow.add(load)


def _load(load: PackedLoad, width: float) -> Section:
    return Section(
        name="load",
        title="",
        head=text(load.title, STRONG, width=width),
        rows=tuple(_line(line, width) for line in load.lines),
        gap=0.6,
    )


def _line(line: PackedLine, width: float) -> Block:
    room = width - _BOX_MM - _COUNT_MM - _MASS_MM
    name = text(line.name, STRONG if line.is_critical else BODY, width=room - _GAP_MM)
    if line.note:
        name = stack([name, text(line.note, width=room - _GAP_MM)])
    count = text(f"{line.quantity} ×", width=_COUNT_MM - 1.0)
    mass = unknown(_MASS_MM) if line.mass is None else text(line.mass, width=_MASS_MM)
    row = beside(
        [
            Block(_BOX_MM, 5.4, tick_box(is_ticked=line.is_packed).marks),
            padded(Block(_COUNT_MM, count.height_mm, count.marks), top=0.5),
            padded(Block(room, name.height_mm, name.marks), top=0.5),
            padded(mass, top=0.5),
        ]
    )
    return stack([row, rule(width, HAIR_MM), space(width, 0.2)], 0.4)
