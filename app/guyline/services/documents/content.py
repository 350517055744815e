"""The kinds of things that stand on a page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from guyline.core.network.coverage import Coverage
from guyline.core.network.path import PathAssessment
from guyline.core.plan import ItemState, SiteFunction, SiteId
from guyline.core.readiness.finding import Verdict
from guyline.core.terrain.grid import Grid
from guyline.services.comms_forms import CommsForm
from guyline.services.map_shapes import MapShape


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A named value; None prints as "unknown" with a line to write on.

    `built` is the unit of what the crew writes down beside the planned value; None: nothing.
    """

    label: str
    value: str | None
    note: str = ""
    built: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A named place to write what was found on the spot, with its unit."""

    label: str
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadLine:
    """A line with a lead word that is read first."""

    lead: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainPart:
    """A part between radio and antenna, and how the next one is joined to it."""

    name: str
    joint: str = ""
    is_lacking: bool = False
    """Whether the joint to the next part cannot be made with what is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KitLine:
    """A line of the packing list; its boxes are ticked as far as the plan knows."""

    name: str
    quantity: int
    state: ItemState
    is_critical: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkLine:
    """A link to prove as seen from the site of the sheet; None is unknown.

    Levels are at this site's receiver. `path` runs from this site where `is_from_here`.
    """

    far_id: SiteId
    far_name: str
    bearing: str | None
    elevation: str | None
    distance: str | None
    expected: str | None
    least: str | None
    why_unknown: str = ""
    falls_short: bool = False
    path: PathAssessment | None = None
    is_from_here: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Another site on the locator sketch, in metres east and north of this one."""

    site_id: SiteId
    east_m: float
    north_m: float
    is_linked: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapExtract:
    """The ground round a site, whose local frame has the site in its middle.

    `half_m` is from the site to the upper edge of the map; the grid is wider than high.
    """

    grid: Grid
    half_m: float
    shapes: tuple[MapShape, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """What every page says of its origin, so that an old one is recognised."""

    plan_name: str
    incident: str
    revision: str
    digest: str
    printed: str
    """Local time and UTC."""
    planner: str
    printed_on: date | None = None
    """Local day, from which days are counted."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteSheet:
    """All that the crew of one site needs, in the twelve blocks in which they need it.

    `reasons` say what keeps the site from GO, worst first; `beyond` are the cautions for which
    the first side has no room by count.
    """

    site_id: SiteId
    name: str
    function: str
    verdict: Verdict
    stamp: tuple[str, ...]
    """Incident, priority, and until when the sheet is good."""
    reasons: tuple[LeadLine, ...]
    imprint: Imprint
    stop: tuple[LeadLine, ...]
    where: tuple[Field, ...]
    geo_uri: str | None
    access: str
    who: tuple[Field, ...]
    agreed: tuple[Blank, ...]
    cautions: tuple[LeadLine, ...]
    beyond: tuple[LeadLine, ...]
    take: tuple[KitLine, ...]
    band_plan: str
    """The rule that was entered; "" where none was."""
    radio: tuple[Field, ...]
    declination: str
    """What magnetic bearings are reckoned with, its model and date; "" where unknown."""
    antenna: tuple[Field, ...]
    connectors: tuple[ChainPart, ...]
    links: tuple[LinkLine, ...]
    power: tuple[Field, ...]
    power_chain: tuple[str, ...]
    measured: tuple[Blank, ...]
    steps: tuple[str, ...]
    as_built: tuple[Blank, ...]
    photos: tuple[str, ...]
    left_behind: tuple[str, ...]
    neighbours: tuple[Neighbour, ...]
    extract: MapExtract | None = None
    credits: str = ""
    """Who made the ground that heights, levels and the map come from."""
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLine:
    """A site that lacks power, or of which nobody knows; None is unknown."""

    site_id: SiteId
    name: str
    source: str | None
    is_known: bool
    shortfall: str | None
    outage: str | None
    missing: tuple[str, ...]
    cures: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPage:
    """The sites still lacking power, the largest known shortfall first."""

    imprint: Imprint
    summary: str
    lines: tuple[PowerLine, ...]
    up: str = ""
    """How many sites stay up to the end of the mission."""
    trips: tuple[str, ...] = ()
    """When which sites get charged batteries or fuel."""
    ranking: str = ""
    """By what the cures are ranked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLine:
    """A site in the readiness review: its gates, what stops it first, what mends that."""

    site_id: SiteId
    name: str
    function: str
    verdict: Verdict
    gates: tuple[Verdict, ...]
    blocker: str
    more: int
    remedy: str
    owner: str
    due_on: date | None = None
    priority: int | None = None
    """Of the most urgent need that it serves; None: of none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewPage:
    """One row a site, worst first, and what that means for the network."""

    imprint: Imprint
    decision: str
    gates: tuple[str, ...]
    lines: tuple[ReviewLine, ...]
    network: tuple[LeadLine, ...]
    """Lead and line: needs met, next action, weak spots, sites cut off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A site in the communications plan; `heard` are the sites whose link keeps its margin."""

    site_id: SiteId
    name: str
    function: str
    verdict: Verdict
    identifier: str | None
    heard: tuple[SiteId, ...]
    power: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DiagramNode:
    """A site in the network diagram, in metres east and north of the first one."""

    site_id: SiteId
    function: SiteFunction
    is_ready: bool
    east_m: float
    north_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DiagramEdge:
    """A link in the network diagram; `is_kept` is None where its margin is unknown."""

    ends: tuple[SiteId, SiteId]
    is_kept: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CommsPlan:
    """What net control works from; contacts stand on a page of their own, which is sensitive."""

    imprint: Imprint
    period: str | None
    channel: tuple[Field, ...]
    nodes: tuple[DiagramNode, ...]
    edges: tuple[DiagramEdge, ...]
    unplaced: tuple[SiteId, ...]
    needs: tuple[LeadLine, ...]
    alarms: tuple[LeadLine, ...]
    """What net control acts on when it is told."""
    stations: tuple[Station, ...]
    contacts: tuple[tuple[str, str, str, str], ...]
    """Site, name, role, telephone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VoiceBrief:
    """Each site in words that survive being read out by voice and written down."""

    imprint: Imprint
    opening: str
    sites: tuple[LeadLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLabel:
    """What stands on a box of a site, for whoever carries or finds it."""

    site_id: SiteId
    name: str
    piece: str
    """Which box of how many, and what it weighs; "" where nothing is packed."""
    purpose: str
    contact: str | None
    remove_by: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxLabels:
    """Labels to cut out, one a box."""

    imprint: Imprint
    labels: tuple[BoxLabel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortLine:
    """A kind of thing of which something is lacking, over all sites; None: no store entered."""

    name: str
    needed: int
    held: int
    in_stock: str | None
    to_get: str
    """What must be got, and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedLine:
    """A line of a load; `mass` is None where nobody weighed it."""

    name: str
    quantity: int
    mass: str | None
    note: str
    is_packed: bool
    is_critical: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedLoad:
    """What one person carries, the last used first: it goes in first."""

    title: str
    lines: tuple[PackedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePacking:
    """The loads of one site."""

    site_id: SiteId
    name: str
    summary: str
    loads: tuple[PackedLoad, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingList:
    """What is still lacking, and what each crew carries."""

    imprint: Imprint
    summary: str
    short: tuple[ShortLine, ...]
    sites: tuple[SitePacking, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSetting:
    """A setting of a radio; "" where it was not read back yet."""

    name: str
    planned: str | None
    read_back: str
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSheet:
    """The bench record of one radio."""

    site_id: SiteId
    name: str
    radio: str | None
    serial: str | None
    settings: tuple[BenchSetting, ...]
    measured: tuple[Field, ...]
    """Value "" where it is to be measured; the note is its limit."""
    questions: tuple[str, ...]
    tester: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRecords:
    """Bench records, one a radio."""

    imprint: Imprint
    sheets: tuple[BenchSheet, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageNode:
    """A site on the map of coverage; `is_server` where its coverage was counted."""

    site_id: SiteId
    function: SiteFunction
    is_server: bool
    east_m: float
    north_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveragePlace:
    """A place that needs service on the map and in the table; None where unknown."""

    name: str
    is_served: bool | None
    east_m: float
    north_m: float
    state: str
    people: str
    margin: str | None
    probability: str | None
    servers: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveragePage:
    """Who on the ground is reached: a map in hatching, and everybody by name."""

    imprint: Imprint
    summary: str
    nodes: tuple[CoverageNode, ...]
    places: tuple[CoveragePlace, ...]
    skipped: tuple[LeadLine, ...]
    counted: tuple[Field, ...]
    """What was reckoned with."""
    attribution: str
    coverage: Coverage
    shapes: tuple[MapShape, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLine:
    """One direction of a link, as planned and as read; None is unknown.

    The level should lie between `low_dbm` and `high_dbm` in nine cases of ten; `deviations`
    tells how far from the middle it was read.
    """

    talker_id: SiteId
    listener_id: SiteId
    planned_dbm: float | None
    low_dbm: float | None
    high_dbm: float | None
    sensitivity_dbm: float | None
    level_dbm: float | None
    snr_db: float | None
    packets: str
    signed: str
    deviations: float | None
    is_read: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsPage:
    """What crews read on the links, held against the plan."""

    imprint: Imprint
    summary: str
    lines: tuple[ReadingLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormsPage:
    """Forms of incident command about radio, filled in as far as the plan knows."""

    imprint: Imprint
    forms: tuple[CommsForm, ...]


Document = (
    SiteSheet
    | PowerPage
    | ReviewPage
    | CommsPlan
    | VoiceBrief
    | BoxLabels
    | PackingList
    | BenchRecords
    | CoveragePage
    | ReadingsPage
    | FormsPage
)
