"""One place of the network and what is known of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import NewType

from guyline.core.plan.bench import BenchRecord
from guyline.core.plan.equipment import Antenna, Feeder, Radio
from guyline.core.plan.facts import Fact, Hazard
from guyline.core.plan.gates import Gate, GateRecord
from guyline.core.plan.mast import Mast
from guyline.core.plan.power_system import PowerSystem
from guyline.core.plan.surroundings import Roof, Surroundings

SiteId = NewType("SiteId", str)


class SiteFunction(StrEnum):
    """What a site does for the network."""

    END_POINT = "end point"
    RELAY = "relay"
    GATEWAY = "gateway"


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """WGS 84 position of the antenna, with where it is from and how far it may be off."""

    lat_deg: float
    lon_deg: float
    source: str = ""
    uncertainty_m: float | None = None


class ItemState(StrEnum):
    """How far a piece of kit has come."""

    NEEDED = "needed"
    IN_HAND = "in hand"
    PACKED = "packed"
    FITTED = "fitted"

    @property
    def is_held(self) -> bool:
        return self is not ItemState.NEEDED


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistItem:
    """A line of the hardware checklist; without a critical item the site cannot work."""

    name: str
    quantity: int = 1
    state: ItemState = ItemState.NEEDED
    is_critical: bool = False
    note: str = ""
    mass_kg: float | None = None
    """Of one piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Permission:
    """Who said yes, how, and until when."""

    is_granted: Fact = Fact.UNKNOWN
    is_written: Fact = Fact.UNKNOWN
    granted_by: str = ""
    granted_on: date | None = None
    expires_on: date | None = None
    key_holder: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """A person the crew may have to reach."""

    name: str
    role: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One place of the network.

    `ground_amsl_m` is what somebody entered; None means the terrain data decides.
    `trees_m` is the length of the links' way through trees that stand round the antenna.
    `packets_per_hour` counts what this radio sends, its own and what it relays.
    """

    site_id: SiteId
    name: str = ""
    function: SiteFunction = SiteFunction.END_POINT
    position: Position | None = None
    ground_amsl_m: float | None = None
    ground_source: str = ""
    flood_amsl_m: float | None = None
    """How high water may come here, by the datum of the elevation."""
    antenna_agl_m: float | None = None
    radio: Radio = field(default_factory=Radio)
    antenna: Antenna = field(default_factory=Antenna)
    feeder: Feeder = field(default_factory=Feeder)
    surroundings: Surroundings = Surroundings.UNKNOWN
    roof: Roof = Roof.NONE
    trees_m: float = 0.0
    mast: Mast = field(default_factory=Mast)
    power: PowerSystem = field(default_factory=PowerSystem)
    packets_per_hour: float | None = None
    payload_bytes: int = 40
    checklist: tuple[ChecklistItem, ...] = ()
    bench: BenchRecord = field(default_factory=BenchRecord)
    permission: Permission = field(default_factory=Permission)
    gate_records: tuple[GateRecord, ...] = ()
    contacts: tuple[Contact, ...] = ()
    hazards: frozenset[Hazard] = frozenset()
    access: str = ""
    """The last mile in words: parking, walk, gate."""
    nearest_hospital: str = ""
    notes: str = ""

    def record(self, gate: Gate) -> GateRecord:
        """Return what people say of a gate, an empty record where they said nothing."""
        for record in self.gate_records:
            if record.gate is gate:
                return record
        return GateRecord(gate=gate)
