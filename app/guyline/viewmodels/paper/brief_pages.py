"""Pages for net control and for the boxes: communications plan, voice brief, labels."""

from __future__ import annotations

from guyline.services.documents.content import (
    BoxLabel,
    BoxLabels,
    CommsPlan,
    Field,
    Station,
    VoiceBrief,
)
from guyline.viewmodels.paper.blocks import (
    beside,
    framed,
    lead_text,
    rule,
    space,
    stack,
    text,
    verdict_mark,
)
from guyline.viewmodels.paper.comms_forms import agreed, log, message_form
from guyline.viewmodels.paper.field_columns import field, field_columns
from guyline.viewmodels.paper.flow import Section, heading, whole
from guyline.viewmodels.paper.marks import HAIR_MM, MEDIUM_MM, THICK_MM, Block, Page
from guyline.viewmodels.paper.network_sketch import network_legend, network_sketch
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.table_pages import cells, finished, titled_flow
from guyline.viewmodels.paper.type import HEADING, STRONG, TITLE

DIAGRAM_MM = 92.0
_STATION_SHARES = (0.24, 0.13, 0.33, 0.30)
_CONTACT_SHARES = (0.18, 0.30, 0.27, 0.25)


def comms_pages(page: CommsPlan, size: PageSize) -> tuple[Page, ...]:
    """Channel, diagram and needs first; then stations; contacts alone, to be taken away."""
    width = size.inner_width_mm
    flow = titled_flow("Communications plan", "", page.imprint, size)
    period = field(Field(label="Operational period", value=page.period), 42.0, width)
    channel = field_columns(page.channel, width, 2)
    flow.place("channel", stack([heading("Channel", width), period, space(width, 0.7), channel]))
    if page.nodes:
        flow.add_whole("network", _network(page, width))
    if page.needs:
        rows = tuple(lead_text(line.lead, line.line, width=width) for line in page.needs)
        flow.add(Section(name="needs", title="Needs, the most urgent first", rows=rows))
    stations = _stations(page, width)
    if whole(stations, width).height_mm > flow.room_mm:
        flow.new_page()
    flow.add(stations)
    alarms = tuple(lead_text(line.lead, line.line, width=width) for line in page.alarms)
    flow.add(Section(name="alarms", title="Act when you hear", rows=alarms))
    flow.add_whole("agreed", agreed(width))
    flow.new_page()
    flow.place("message", message_form(width))
    flow.add(log(width))
    if page.contacts:
        flow.new_page()
        flow.add(_contacts(page, width))
    return finished(flow, page.imprint, "comms plan, ", width)


def _network(page: CommsPlan, width: float) -> Block:
    sketch, unnamed = network_sketch(page.nodes, page.edges, width, DIAGRAM_MM)
    left_out = [*unnamed, *page.unplaced]
    parts = [heading("Network", width), network_legend(width), sketch]
    if left_out:
        words = f"Not named or not placed in the diagram: {', '.join(left_out)}."
        parts.append(text(words, width=width))
    return stack(parts, 0.8)


def _stations(page: CommsPlan, width: float) -> Section:
    heads = ("site", "identifier", "power", "should hear")
    head = _head(heads, _STATION_SHARES, width)
    rows = tuple(_station(station, width) for station in page.stations)
    return Section(name="stations", title="Stations", rows=rows, head=head, gap=0.9)


def _station(station: Station, width: float) -> Block:
    rooms = [width * share - 2.5 for share in _STATION_SHARES]
    mark = verdict_mark(station.verdict, 4.4)
    name = stack(
        [
            text(station.site_id, STRONG, width=rooms[0] - 7.0),
            text(f"{station.name}, {station.function}".lstrip(", "), width=rooms[0] - 7.0),
        ]
    )
    site = beside([mark, space(2.6, 0.0), name])
    row = cells(
        [
            site,
            text(station.identifier or "unknown", width=rooms[1]),
            text(station.power, width=rooms[2]),
            text(", ".join(station.heard) or "nobody with its margin", width=rooms[3]),
        ],
        _STATION_SHARES,
        width,
    )
    return stack([row, rule(width, HAIR_MM)], 0.8)


def _contacts(page: CommsPlan, width: float) -> Section:
    rows = tuple(
        stack(
            [
                cells(
                    [
                        text(words or "unknown", width=width * share - 2.5)
                        for words, share in zip(contact, _CONTACT_SHARES, strict=True)
                    ],
                    _CONTACT_SHARES,
                    width,
                ),
                rule(width, HAIR_MM),
            ],
            0.8,
        )
        for contact in page.contacts
    )
    title = "Contacts: sensitive, keep apart and destroy after use"
    head = _head(("site", "name", "role", "telephone"), _CONTACT_SHARES, width)
    return Section(name="contacts", title=title, rows=rows, head=head, gap=0.9)


def _head(words: tuple[str, ...], shares: tuple[float, ...], width: float) -> Block:
    blocks = [text(w, width=width * s - 2.5) for w, s in zip(words, shares, strict=True)]
    return stack([cells(blocks, shares, width), rule(width, MEDIUM_MM)], 0.6)


def voice_pages(page: VoiceBrief, size: PageSize) -> tuple[Page, ...]:
    """One paragraph a site, with room between them to keep the place."""
    width = size.inner_width_mm
    flow = titled_flow("To read out by voice", page.opening, page.imprint, size)
    rows = tuple(
        stack([text(line.lead, STRONG, width=width), text(line.line, width=width)], 0.5)
        for line in page.sites
    )
    flow.add(Section(name="sites", title="", rows=rows, gap=3.0))
    return finished(flow, page.imprint, "voice, ", width)


def label_pages(page: BoxLabels, size: PageSize) -> tuple[Page, ...]:
    """Two labels in a row, to be cut out and put where rain does not reach them."""
    width = size.inner_width_mm
    flow = titled_flow("Labels for the boxes", "", page.imprint, size)
    column = (width - 4.0) / 2
    blocks = [_label(label, column) for label in page.labels]
    tallest = max((block.height_mm for block in blocks), default=0.0)
    blocks = [_stretched(block, tallest) for block in blocks]
    rows = tuple(beside(blocks[n : n + 2], 4.0) for n in range(0, len(blocks), 2))
    if rows:
        flow.add(Section(name="labels", title="", rows=rows, gap=4.0))
    return finished(flow, page.imprint, "labels, ", width)


def _label(label: BoxLabel, width: float) -> Block:
    inner = width - 2 * 4.0
    return stack(
        [
            text(label.site_id, TITLE, width=inner),
            *[text(words, width=inner) for words in (label.name, label.piece) if words],
            text(label.purpose, HEADING, width=inner),
            text("DO NOT UNPLUG OR MOVE", HEADING, width=inner),
            field(Field(label="Questions to", value=label.contact), 28.0, inner),
            field(Field(label="Goes away on", value=label.remove_by), 28.0, inner),
        ],
        1.2,
    )


def _stretched(block: Block, height: float) -> Block:
    return framed(Block(block.width_mm, height, block.marks), pad=4.0, pen=THICK_MM)
