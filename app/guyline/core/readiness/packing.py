"""What a crew carries: in which order it is packed, how heavy it is, how batteries may travel."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from guyline.core.plan import ChecklistItem, Plan, Site, StockItem
from guyline.core.power.handling import APPROVAL_IN_AIR_WH, FREE_IN_AIR_WH, battery_kg
from guyline.core.readiness.bill_of_materials import item_kind

CARRIER_LIMIT_KG = 25.0  # common practice, no source: above it two persons carry

# Words of a kind by the step at which the thing is used, after the order of installation that
# prevents damage: look round, mast, antenna, feeder, arrestor, box, battery, radio, panel,
# controller, then what closes the work. Common practice, no source.
_USE = (
    ("sheet", "first-aid", "two-way", "telephone", "carbon-monoxide"),
    ("multimeter", "compass", "tool"),
    ("mast", "mount", "guy", "anchor"),
    ("antenna",),
    ("feeder", "jumper", "adapter set", "arrestor", "tape"),
    ("box", "gland", "desiccant"),
    ("battery", "fuse", "generator", "fuel"),
    ("radio", "router", "modem", "network"),
    ("panel",),
    ("controller", "cable", "charger", "adapter", "residual", "earth-leakage"),
    ("label", "tie"),
)
_NOT_THE_STEP = {"panel mount": 8, "battery and charger": 6, "second battery": 6, "link to": 7}


class AirClass(StrEnum):
    """How a battery may travel by air, and how easily by road; the value is what people read."""

    EASY = "100 Wh or less: the easy class"
    APPROVAL = "100 to 160 Wh: with the carrier's approval"
    CARGO = "more than 160 Wh: dangerous goods, not in a passenger aircraft"


def air_class(battery_wh: float) -> AirClass:
    """Class of a lithium-ion battery for transport.

    References
    ----------
    .. [1] IATA/ICAO passenger limits of 100 and 160 Wh.
    """
    if battery_wh <= FREE_IN_AIR_WH:
        return AirClass.EASY
    return AirClass.APPROVAL if battery_wh <= APPROVAL_IN_AIR_WH else AirClass.CARGO


def step_of_use(name: str) -> int:
    """At which step of the installation a thing is used; 0 is the first.

    What the order does not know is used last, so it is packed first and asked for by nobody.
    """
    kind = item_kind(name)
    for start, step in _NOT_THE_STEP.items():
        if kind.startswith(start):
            return step
    places = [
        (kind.find(word), step)
        for step, words in enumerate(_USE)
        for word in words
        if word in kind
    ]
    return min(places, default=(0, len(_USE)))[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A line of the packing list; `mass_kg` is that of all its pieces, None is unknown."""

    item: ChecklistItem
    mass_kg: float | None
    serials: tuple[str, ...] = ()
    battery_wh: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one person carries, or two where a single piece is too heavy for one."""

    lines: tuple[Packed, ...]

    @property
    def mass_kg(self) -> float:
        return math.fsum(line.mass_kg or 0.0 for line in self.lines)

    @property
    def carriers(self) -> int:
        return 1 if self.mass_kg <= CARRIER_LIMIT_KG else 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """The kit of a site, shared out; lines of unknown mass must be weighed first."""

    loads: tuple[Load, ...]
    unweighed: tuple[Packed, ...]

    @property
    def mass_kg(self) -> float:
        """Mass of all that is known."""
        return math.fsum(load.mass_kg for load in self.loads)

    @property
    def carriers(self) -> int:
        return sum(load.carriers for load in self.loads)


def packing_of(plan: Plan, site: Site) -> Packing:
    """Share the checklist out to carriers, each load in the reverse order of use.

    Notes
    -----
    First as few loads as can be found: the heaviest first, each into the first load that has
    room. Then the same number of loads as even as can be found: the heaviest first, each to the
    lightest load, kept where no load is too heavy. Pieces of one line are parted where they are
    too heavy together.
    """
    lines = [part for item in site.checklist for part in _parts(_packed(plan, site, item))]
    heaviest_first = sorted(
        (part for part in lines if part.mass_kg is not None), key=lambda part: -_mass(part)
    )
    loads = _fewest(heaviest_first)
    even = _evenest(heaviest_first, len(loads))
    if all(_kg(load) <= CARRIER_LIMIT_KG for load in even):
        loads = even
    return Packing(
        loads=tuple(Load(lines=_in_order(load)) for load in loads),
        unweighed=_in_order(part for part in lines if part.mass_kg is None),
    )


def _fewest(lines: Iterable[Packed]) -> list[list[Packed]]:
    loads: list[list[Packed]] = []
    for line in lines:
        room = next((load for load in loads if _fits(load, line)), None)
        if room is None:
            loads.append([line])
        else:
            room.append(line)
    return loads


def _evenest(lines: Iterable[Packed], count: int) -> list[list[Packed]]:
    loads: list[list[Packed]] = [[] for _ in range(count)]
    for line in lines:
        min(loads, key=_kg).append(line)
    return loads


def _kg(load: Iterable[Packed]) -> float:
    return math.fsum(map(_mass, load))


def _fits(load: Iterable[Packed], line: Packed) -> bool:
    return math.fsum([*map(_mass, load), _mass(line)]) <= CARRIER_LIMIT_KG


def _mass(line: Packed) -> float:
    return line.mass_kg or 0.0


def _in_order(lines: Iterable[Packed]) -> tuple[Packed, ...]:
    return tuple(sorted(lines, key=lambda line: -step_of_use(line.item.name)))


def _parts(line: Packed) -> list[Packed]:
    """The line as it is, or piece by piece where one person cannot carry it together."""
    count = line.item.quantity
    if line.mass_kg is None or line.mass_kg <= CARRIER_LIMIT_KG or count < 2:
        return [line]
    one = ChecklistItem(
        name=line.item.name,
        state=line.item.state,
        is_critical=line.item.is_critical,
        note=line.item.note,
        mass_kg=line.item.mass_kg,
    )
    serials = [*((serial,) for serial in line.serials), *([()] * count)][:count]
    return [
        Packed(
            item=one,
            mass_kg=line.mass_kg / count,
            serials=tuple(own),
            battery_wh=line.battery_wh,
        )
        for own in serials
    ]


def _packed(plan: Plan, site: Site, item: ChecklistItem) -> Packed:
    kind = item_kind(item.name)
    aside = [
        row
        for row in plan.stock
        if row.assigned_to == site.site_id and item_kind(row.name) == kind
    ]
    is_battery = "battery" in kind.split() and "fuse" not in kind and "charger" not in kind
    one_kg = _one_kg(site, item, aside, is_battery)
    stored_wh = next((row.battery_wh for row in aside if row.battery_wh is not None), None)
    battery = site.power.battery
    own_wh = battery.capacity_wh if is_battery and battery is not None else None
    return Packed(
        item=item,
        mass_kg=None if one_kg is None else one_kg * item.quantity,
        serials=tuple(row.serial for row in aside if row.serial),
        battery_wh=own_wh if stored_wh is None else stored_wh,
    )


def _one_kg(
    site: Site, item: ChecklistItem, aside: Iterable[StockItem], is_battery: bool
) -> float | None:
    """Mass of one piece: weighed in the store, else of the checklist, else of the chemistry."""
    stored = [row.mass_kg for row in aside if row.mass_kg is not None]
    if stored:
        return max(stored)
    if item.mass_kg is not None:
        return item.mass_kg
    battery = site.power.battery
    return battery_kg(battery) if is_battery and battery is not None else None
