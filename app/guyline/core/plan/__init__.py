"""The plan and its parts, as frozen values."""

from guyline.core.plan.bench import BenchRecord
from guyline.core.plan.clutter import ClutterBand
from guyline.core.plan.equipment import Antenna, Feeder, Pattern, Polarisation, Radio
from guyline.core.plan.facts import Fact, Hazard, Units
from guyline.core.plan.gates import ASKED, Gate, GateRecord
from guyline.core.plan.incident import Incident, RadioProfile, RadioRule, Relaying
from guyline.core.plan.map_layer import LayerKind, MapLayer
from guyline.core.plan.mast import Mast
from guyline.core.plan.plan import Link, Need, Plan, TerrainSource
from guyline.core.plan.power_system import (
    Battery,
    Chemistry,
    Controller,
    ExtraLoad,
    Generator,
    Obstacle,
    Panel,
    PowerSource,
    PowerSystem,
)
from guyline.core.plan.reading import LinkReading
from guyline.core.plan.service import Handheld, Place
from guyline.core.plan.site import (
    ChecklistItem,
    Contact,
    ItemState,
    Permission,
    Position,
    Site,
    SiteFunction,
    SiteId,
)
from guyline.core.plan.stock import StockItem
from guyline.core.plan.surroundings import Roof, Surroundings

__all__ = [
    "ASKED",
    "Antenna",
    "Battery",
    "BenchRecord",
    "ChecklistItem",
    "Chemistry",
    "ClutterBand",
    "Contact",
    "Controller",
    "ExtraLoad",
    "Fact",
    "Feeder",
    "Gate",
    "GateRecord",
    "Generator",
    "Handheld",
    "Hazard",
    "Incident",
    "ItemState",
    "LayerKind",
    "Link",
    "LinkReading",
    "MapLayer",
    "Mast",
    "Need",
    "Obstacle",
    "Panel",
    "Pattern",
    "Permission",
    "Place",
    "Plan",
    "Polarisation",
    "Position",
    "PowerSource",
    "PowerSystem",
    "Radio",
    "RadioProfile",
    "RadioRule",
    "Relaying",
    "Roof",
    "Site",
    "SiteFunction",
    "SiteId",
    "StockItem",
    "Surroundings",
    "TerrainSource",
    "Units",
]
