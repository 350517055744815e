"""The lists within the plan - checklist, contacts, needs, links - as rows of data."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from guyline.core.plan import (
    ChecklistItem,
    ClutterBand,
    Contact,
    ExtraLoad,
    Fact,
    Gate,
    GateRecord,
    ItemState,
    LayerKind,
    Link,
    LinkReading,
    Need,
    Obstacle,
    Place,
    Plan,
    StockItem,
    Surroundings,
)
from guyline.core.readiness.check_catalogue import questions_of
from guyline.core.readiness.gate_checks import FRESH_DAYS
from guyline.viewmodels.fields import Field, Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordList:
    """A tuple of records at `path`; `make` gives a fresh one, None while it cannot be made.

    With `complete` the list has fixed rows: `complete(holder)` gives one record for each,
    `is_kept` says which of them are worth writing down, and nothing is added or removed.
    """

    path: str
    title: str
    fields: tuple[Field, ...]
    make: Callable[[Plan], object | None]
    empty: str
    """What to do first while the list is empty."""
    adds: str
    """What the button that adds one says."""
    widths: tuple[int, ...] = ()
    complete: Callable[[Any], tuple[object, ...]] | None = None
    is_kept: Callable[[Any], bool] = lambda record: True
    row_tip: Callable[[Any], str] = lambda record: ""
    """What is to be known while a row is entered."""


def _text(path: str, title: str) -> Field:
    return Field(path=path, title=title)


def _site_choice(path: str, title: str) -> Field:
    return Field(path=path, title=title, catalogue="sites", can_be_unknown=False)


def _first_two(plan: Plan, kind: type[Link] | type[Need]) -> object | None:
    """Return the first pair of sites that is not there yet."""
    held: Iterable[Link | Need] = plan.links if kind is Link else plan.needs
    pairs = {frozenset((record.from_id, record.to_id)) for record in held}
    for i, near in enumerate(plan.sites):
        for far in plan.sites[i + 1 :]:
            if frozenset((near.site_id, far.site_id)) not in pairs:
                return kind(from_id=near.site_id, to_id=far.site_id)
    return None


def _mass() -> Field:
    return Field(
        path="mass_kg",
        title="Mass",
        unit="kg",
        kind=Kind.NUMBER,
        minimum=0,
        maximum=1_000,
        tip="Of one piece",
    )


CHECKLIST = RecordList(
    path="checklist",
    title="Checklist",
    fields=(
        _text("name", "Item"),
        Field(
            path="quantity",
            title="Number",
            kind=Kind.INTEGER,
            minimum=1,
            maximum=10_000,
            can_be_unknown=False,
        ),
        Field(
            path="state", title="State", kind=Kind.CHOICE, choices=ItemState, can_be_unknown=False
        ),
        Field(
            path="is_critical",
            title="Critical",
            kind=Kind.FLAG,
            tip="Without it the site cannot work",
        ),
        _mass(),
        _text("note", "Note"),
    ),
    make=lambda plan: ChecklistItem(name="New item"),
    empty="No kit is listed yet. Add the first piece the crew must carry.",
    adds="Add item",
    widths=(136, 68, 80, 64, 80, 80),
)

CONTACTS = RecordList(
    path="contacts",
    title="Contacts",
    fields=(_text("name", "Name"), _text("role", "Role"), _text("phone", "Phone")),
    make=lambda plan: Contact(name="New contact"),
    empty="Nobody is named yet. Add whom the crew can ring.",
    adds="Add contact",
    widths=(128, 112, 112),
)


def _gate_tip(gate: Gate) -> str:
    """Return what a yes to a gate says yes to, and how old it may be."""
    if gate not in FRESH_DAYS:
        return "Worked out; name who takes charge of its conditions, and by when."
    age = f"A yes with name and date, at most {FRESH_DAYS[gate]} days old on the first day."
    return "\n".join((age, *(f"\N{EN DASH} {question}" for question in questions_of(gate))))


GATES = RecordList(
    path="gate_records",
    title="Gates",
    fields=(
        Field(path="gate", title="Gate", is_fixed=True),
        Field(
            path="answer",
            title="Answer",
            kind=Kind.CHOICE,
            choices=Fact,
            can_be_unknown=False,
            tip="Need, safety and crew, bench test and recovery are answered by people; "
            "the other gates are worked out",
        ),
        _text("evidence", "Evidence"),
        _text("answered_by", "By"),
        Field(path="answered_on", title="On", kind=Kind.DATE),
        Field(path="expires_on", title="Until", kind=Kind.DATE),
        Field(path="owner", title="Owner", tip="Who takes charge of the gate's conditions"),
        Field(path="due_on", title="Due", kind=Kind.DATE, tip="By when they are mended"),
    ),
    make=lambda plan: None,
    empty="",
    adds="",
    widths=(136, 72, 136, 96, 88, 88, 96, 88),
    complete=lambda site: tuple(site.record(gate) for gate in Gate),
    is_kept=lambda record: record != GateRecord(gate=record.gate),
    row_tip=lambda record: _gate_tip(record.gate),
)

EXTRA_LOADS = RecordList(
    path="power.extra_loads",
    title="Other loads",
    fields=(
        _text("name", "Load"),
        Field(
            path="power_w",
            title="Power",
            unit="W",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=10_000,
        ),
        Field(
            path="hours_per_day",
            title="Hours a day",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=24,
            can_be_unknown=False,
        ),
        _text("source", "Source"),
    ),
    make=lambda plan: ExtraLoad(name="New load"),
    empty="Nothing but the radio draws on the battery.",
    adds="Add load",
    widths=(112, 72, 88, 96),
)


def _bearing(path: str, title: str, most_deg: float) -> Field:
    return Field(
        path=path, title=title, kind=Kind.NUMBER, unit="°", decimals=0, minimum=0, maximum=most_deg
    )


OBSTACLES = RecordList(
    path="power.obstacles",
    title="Trees and walls about the panel",
    fields=(
        _text("name", "What"),
        _bearing("from_azimuth_deg", "From", 360),
        _bearing("to_azimuth_deg", "To", 360),
        _bearing("elevation_deg", "Up to", 90),
        Field(
            path="pass_fraction",
            title="Passes",
            unit="%",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=100,
            decimals=0,
            scale=0.01,
            tip="Of the beam: a wall 0, conifers 10, leaves 15, bare crowns 60; empty: 30",
        ),
    ),
    make=lambda plan: Obstacle(name="Trees"),
    empty="Nothing but the ground stands between sun and panel, as far as the plan knows.",
    adds="Add obstacle",
    widths=(76, 62, 56, 68, 66),
)

LINKS = RecordList(
    path="links",
    title="Links to prove",
    fields=(_site_choice("from_id", "Between"), _site_choice("to_id", "and")),
    make=lambda plan: _first_two(plan, Link),
    empty="No links yet. Add the pairs of sites that must hear each other.",
    adds="Add link",
    widths=(152, 152),
)

NEEDS = RecordList(
    path="needs",
    title="Needs",
    fields=(
        _site_choice("from_id", "Who"),
        _site_choice("to_id", "must reach"),
        Field(
            path="priority",
            title="Priority",
            kind=Kind.INTEGER,
            minimum=1,
            maximum=9,
            can_be_unknown=False,
            tip="1 is the most urgent",
        ),
        Field(
            path="packets_per_hour",
            title="Packets",
            unit="1/h",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=100_000,
            tip="In each direction; says what relays must carry",
        ),
        _text("description", "What for"),
    ),
    make=lambda plan: _first_two(plan, Need),
    empty="No needs yet. Say who must reach whom: everything is judged by that.",
    adds="Add need",
    widths=(88, 88, 64, 96, 144),
)


def _degrees(path: str, title: str, limit: float) -> Field:
    return Field(
        path=path,
        title=title,
        kind=Kind.NUMBER,
        unit="°",
        decimals=5,
        minimum=-limit,
        maximum=limit,
        can_be_unknown=False,
    )


def _place_at_a_site(plan: Plan) -> object | None:
    """Return a place where a site stands, to be moved; None while no site has a position."""
    for site in plan.sites:
        if site.position is not None:
            at = site.position
            return Place(name=f"At {site.site_id}", lat_deg=at.lat_deg, lon_deg=at.lon_deg)
    return None


PLACES = RecordList(
    path="places",
    title="Places that need service",
    fields=(
        _text("name", "Place"),
        _degrees("lat_deg", "Latitude", 90),
        _degrees("lon_deg", "Longitude", 180),
        Field(path="people", title="People", kind=Kind.INTEGER, minimum=0, maximum=100_000_000),
        Field(
            path="weight",
            title="Weight",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=1_000,
            can_be_unknown=False,
            tip="How much the place counts",
        ),
        Field(
            path="servers_wanted",
            title="Servers wanted",
            kind=Kind.INTEGER,
            minimum=1,
            maximum=10,
            can_be_unknown=False,
            tip="Two where it must keep service when any one site fails",
        ),
    ),
    make=_place_at_a_site,
    empty="No places yet. Add where people with pocket radios must be reached.",
    adds="Add place",
    widths=(112, 88, 88, 72, 64, 96),
)

STOCK = RecordList(
    path="stock",
    title="Store",
    fields=(
        Field(path="name", title="Item", tip="The word that checklists use for it"),
        _text("serial", "Serial"),
        _text("owner", "Owner"),
        Field(
            path="quantity",
            title="Number",
            kind=Kind.INTEGER,
            minimum=1,
            maximum=10_000,
            can_be_unknown=False,
        ),
        Field(path="assigned_to", title="Promised to", catalogue="sites"),
        _mass(),
        Field(
            path="battery_wh",
            title="Battery",
            unit="Wh",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=100_000,
            tip="Of the battery that it is or holds: decides how it may be sent",
        ),
    ),
    make=lambda plan: StockItem(name="New item"),
    empty="Nothing is in the store yet. Add what is there: nothing is promised twice then.",
    adds="Add item",
    widths=(112, 80, 80, 56, 88, 72, 72),
)


def _band_on_a_link(plan: Plan) -> object | None:
    """Return a wood on the middle third of a link, to be moved; None while none has places."""
    for link in plan.links:
        near, far = plan.site(link.from_id).position, plan.site(link.to_id).position
        if near is not None and far is not None:
            lat, lon = far.lat_deg - near.lat_deg, far.lon_deg - near.lon_deg
            return ClutterBand(
                from_lat_deg=near.lat_deg + lat / 3.0,
                from_lon_deg=near.lon_deg + lon / 3.0,
                to_lat_deg=near.lat_deg + 2.0 * lat / 3.0,
                to_lon_deg=near.lon_deg + 2.0 * lon / 3.0,
                note=f"{link.from_id} to {link.to_id}",
            )
    return None


CLUTTER = RecordList(
    path="clutter",
    title="Woods and houses on the way",
    fields=(
        _degrees("from_lat_deg", "From latitude", 90),
        _degrees("from_lon_deg", "longitude", 180),
        _degrees("to_lat_deg", "To latitude", 90),
        _degrees("to_lon_deg", "longitude", 180),
        Field(
            path="half_width_m",
            title="Either side",
            unit="m",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=20_000,
            can_be_unknown=False,
            tip="How far it reaches to either side of the line",
        ),
        Field(
            path="kind",
            title="What",
            kind=Kind.CHOICE,
            choices=Surroundings,
            can_be_unknown=False,
            tip="Counts instead of the map of classes, unless the elevation has trees in it",
        ),
        Field(
            path="height_m",
            title="Height",
            unit="m",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=150,
            tip="Unknown: the usual height of its kind",
        ),
        _text("note", "Note"),
    ),
    make=_band_on_a_link,
    empty="None drawn. Add a wood or a row of houses that stands across a path.",
    adds="Add band",
    widths=(88, 88, 88, 88, 72, 96, 64, 112),
)


def _unread(plan: Plan) -> object | None:
    """Return a fresh reading of the first linked direction that nobody has read."""
    known = {(r.talker_id, r.listener_id) for r in plan.readings}
    ways = [way for k in plan.links for way in ((k.from_id, k.to_id), (k.to_id, k.from_id))]
    for talker_id, listener_id in (*(way for way in ways if way not in known), *ways[:1]):
        return LinkReading(talker_id=talker_id, listener_id=listener_id)
    return None


def _packets(path: str, title: str, tip: str) -> Field:
    return Field(path=path, title=title, kind=Kind.INTEGER, minimum=0, maximum=10_000, tip=tip)


READINGS = RecordList(
    path="readings",
    title="Read on site",
    fields=(
        _site_choice("listener_id", "Read at"),
        _site_choice("talker_id", "heard from"),
        Field(
            path="level_dbm",
            title="Level",
            unit="dBm",
            kind=Kind.NUMBER,
            minimum=-200,
            maximum=30,
            tip="As the radio shows it for the packets of the other site",
        ),
        Field(
            path="snr_db",
            title="SNR",
            unit="dB",
            kind=Kind.NUMBER,
            minimum=-40,
            maximum=40,
            tip="Signal-to-noise ratio of the same packets",
        ),
        _packets("packets_heard", "Packets", "How many of those sent arrived"),
        _packets("packets_sent", "of", "How many were sent; the sheet asks for 20"),
        Field(path="read_on", title="Date", kind=Kind.DATE),
        _text("read_by", "By"),
        _text("note", "Note"),
    ),
    make=_unread,
    empty="Nothing read yet. Enter what the crew wrote on the sheet: it is held against the plan.",
    adds="Add reading",
    widths=(96, 96, 72, 64, 64, 48, 88, 96, 112),
)

TERRAIN = RecordList(
    path="terrain_sources",
    title="Elevation files",
    fields=(
        _text("path", "File"),
        _text("description", "Description"),
        _text("vertical_datum", "Vertical datum"),
        Field(
            path="includes_trees",
            title="Trees included",
            kind=Kind.CHOICE,
            choices=Fact,
            can_be_unknown=False,
        ),
        Field(
            path="height_sd_m",
            title="Height error",
            unit="m",
            kind=Kind.NUMBER,
            minimum=0,
            maximum=1_000,
            tip="One standard deviation, where somebody published it",
        ),
        _text("licence", "Licence"),
    ),
    make=lambda plan: None,
    empty="No elevation yet: ground and paths are unknown. Add a GeoTIFF, HGT or ASCII grid.",
    adds="Add file…",
    widths=(152, 136, 96, 96, 88, 96),
)

MAP_LAYERS = RecordList(
    path="map_layers",
    title="Areas and tracks",
    fields=(
        _text("path", "File"),
        Field(
            path="kind",
            title="What",
            kind=Kind.CHOICE,
            choices=LayerKind,
            can_be_unknown=False,
            tip="Flood and fire are held against every site and every track to it",
        ),
        _text("description", "Whose, of which day"),
    ),
    make=lambda plan: None,
    empty="No flood, fire or access is on the map yet. Add a GeoJSON file.",
    adds="Add file…",
    widths=(176, 96, 176),
)

SITE_LISTS = (GATES, CHECKLIST, CONTACTS, EXTRA_LOADS, OBSTACLES)
PLAN_LISTS = (NEEDS, LINKS, PLACES, READINGS, STOCK, TERRAIN, CLUTTER, MAP_LAYERS)
