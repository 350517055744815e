"""Lines of caution, chosen by what is known of a site; fatal ones first."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from guyline.core.network.link import eirp_dbm
from guyline.core.plan import Chemistry, Hazard, Plan, PowerSource, Site
from guyline.core.radio.exposure import exposure_distances
from guyline.core.units import dbm_from_w, w_from_dbm
from guyline.errors import CatalogueError, InputError
from guyline.services.documents.content import LeadLine
from guyline.services.resource_files import shipped

MOST_ON_FIRST_SIDE = 8  # trade practice of this project: more are not read
CLIMB_FROM_M = 2.0  # common practice, no source: above it people leave the ground
UNKNOWN_KEEP_AWAY = "5 m"  # our choice where power or limit is unknown
HIGH_MAST_M = 45.0  # ICAO Annex 14, from memory: masts from here on are lit


class Trigger(StrEnum):
    """What switches a line on, beside the hazards that people enter."""

    ALWAYS = "always"
    MAINS = "mains"
    MAINS_IN_FLOOD = "mains in flood"
    GENERATOR = "generator"
    LITHIUM_ION = "lithium-ion battery"
    LEAD_ACID = "lead-acid battery"
    ANTENNA_ABOVE_2_M = "antenna above 2 m"
    MAST_ABOVE_45_M = "mast above 45 m"
    ABOVE_1_W = "radiating above 1 W"
    PERSONAL_DATA = "personal data"


class Place(StrEnum):
    """Where on the sheet a line stands."""

    STOP = "stop"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A line of the table with what switches it on and how sure it is."""

    code: str
    place: Place
    severity: int
    triggers: frozenset[str]
    lead: str
    line: str
    source: str
    confidence: str


def stop_lines(plan: Plan, site: Site) -> tuple[LeadLine, ...]:
    """Conditions that stop the job, for the stop box."""
    return _chosen(plan, site, Place.STOP)


def caution_lines(plan: Plan, site: Site) -> tuple[LeadLine, ...]:
    """All cautions for a site, fatal ones first, then in the order of the table."""
    return _chosen(plan, site, Place.CAUTION)


def _chosen(plan: Plan, site: Site, place: Place) -> tuple[LeadLine, ...]:
    on = triggers_of(plan, site)
    lines = [c for c in cautions() if c.place is place and c.triggers & on]
    lines.sort(key=lambda c: c.severity)  # stable: the table's order within a severity
    keep_away = keep_away_words(plan, site)
    return tuple(
        LeadLine(lead=c.lead, line=c.line.replace("{keep away}", keep_away)) for c in lines
    )


def keep_away_words(plan: Plan, site: Site) -> str:
    """How far people stay from the antenna while it transmits."""
    eirp = eirp_dbm(site, plan.radio_profile.frequency_hz)
    if eirp is None:
        return UNKNOWN_KEEP_AWAY
    try:
        distances = exposure_distances(w_from_dbm(eirp), plan.radio_profile.frequency_hz)
    except InputError:
        return UNKNOWN_KEEP_AWAY
    return f"{distances.printed_m:g} m"


def triggers_of(plan: Plan, site: Site) -> frozenset[str]:
    """What is known of a site that switches lines on."""
    return frozenset({Trigger.ALWAYS, *site.hazards, *_from_values(plan, site)})


def _from_values(plan: Plan, site: Site) -> Iterable[str]:
    power, battery = site.power, site.power.battery
    has_mains = Hazard.MAINS in site.hazards or power.source in (
        PowerSource.MAINS,
        PowerSource.MAINS_WITH_BACKUP,
    )
    eirp = eirp_dbm(site, plan.radio_profile.frequency_hz)
    chemistry = None if battery is None else battery.chemistry
    known = {
        Trigger.MAINS: has_mains,
        Trigger.MAINS_IN_FLOOD: has_mains and Hazard.FLOOD_WATER in site.hazards,
        Trigger.GENERATOR: power.source is PowerSource.GENERATOR,
        Trigger.LITHIUM_ION: chemistry is Chemistry.NMC,
        Trigger.LEAD_ACID: chemistry is Chemistry.AGM,
        # an unknown height counts as high: the line costs nothing, a fall does
        Trigger.ANTENNA_ABOVE_2_M: site.antenna_agl_m is None or site.antenna_agl_m > CLIMB_FROM_M,
        Trigger.MAST_ABOVE_45_M: site.antenna_agl_m is not None
        and site.antenna_agl_m > HIGH_MAST_M,
        Trigger.ABOVE_1_W: eirp is not None and eirp > dbm_from_w(1.0),
        Trigger.PERSONAL_DATA: bool(site.contacts or site.permission.key_holder),
    }
    return (trigger for trigger, is_on in known.items() if is_on)


@cache
def cautions() -> tuple[Caution, ...]:
    """The shipped table.

    Raises
    ------
    CatalogueError
        A line of it has an unknown trigger, place or severity.
    """
    text = (shipped("resources") / "tables" / "cautions.csv").read_text(encoding="utf-8")
    return read_cautions(text)


def read_cautions(text: str) -> tuple[Caution, ...]:
    """Read the table from its text; lines that begin with # are its comments."""
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return tuple(_caution(row) for row in rows)


def _caution(row: dict[str, str]) -> Caution:
    triggers = frozenset(word.strip() for word in row["trigger"].split(";"))
    unknown = triggers - {*Trigger, *Hazard}
    if unknown or row["place"] not in set(Place) or row["severity"] not in {"1", "2", "3"}:
        raise CatalogueError(
            f"Line {row['code']} of the table of cautions is wrong:"
            f" place {row['place']}, severity {row['severity']}, trigger {row['trigger']}.",
            advice="Place is stop or caution, severity 1 to 3, and a trigger one of "
            + ", ".join(sorted({*Trigger, *Hazard}))
            + ".",
        )
    return Caution(
        code=row["code"],
        place=Place(row["place"]),
        severity=int(row["severity"]),
        triggers=triggers,
        lead=row["lead"],
        line=row["line"],
        source=row["source"],
        confidence=row["confidence"],
    )
