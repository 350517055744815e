"""Plans for the paper: one of which everything is known, one of which next to nothing is."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import lru_cache

from guyline.core.plan import (
    Antenna,
    ChecklistItem,
    Contact,
    Feeder,
    Hazard,
    Incident,
    ItemState,
    Link,
    Pattern,
    Plan,
    Site,
    SiteId,
)
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.assessment import Assessor
from guyline.services.documents.imprint import Printing
from guyline.services.plan_files import plan_digest
from stories import HALL, HILL, DrawnTerrain, complete_site, three_sites

PRINTED_AT = datetime(2026, 6, 1, 9, 30, tzinfo=UTC)
BARE = SiteId("BARE")


def printing(plan: Plan) -> Printing:
    return Printing(at=PRINTED_AT, plan_name="flood.plan.json", revision=plan_digest(plan))


@lru_cache
def assessed(plan: Plan) -> PlanAssessment:
    return Assessor(DrawnTerrain()).assess(plan)


def full_plan() -> Plan:
    """Hall, hill and shed with people, kit, hazards and an aimed antenna on the hill."""
    plan = three_sites()
    hill = replace(
        plan.site(HILL),
        antenna=Antenna(
            catalogue_key="yagi-9",
            pattern=Pattern.YAGI,
            gain_dbi=9.0,
            azimuth_deg=270.0,
            tilt_deg=3.0,
            beamwidth_azimuth_deg=60.0,
        ),
        feeder=Feeder(
            catalogue_key="10 mm low-loss foam coax",
            length_m=10.0,
            k1_db_per_100ft=0.12,
            k2_db_per_100ft=0.0003,
            has_arrestor=True,
        ),
        contacts=(Contact(name="The farmer", role="Owner", phone="000-0201"),),
        hazards=frozenset({Hazard.LIGHTNING, Hazard.LONG_WALK, Hazard.LIVESTOCK}),
        checklist=(
            ChecklistItem(name="Spare fuse", quantity=2, state=ItemState.NEEDED),
            ChecklistItem(name="Radio", state=ItemState.PACKED, is_critical=True),
            ChecklistItem(name="Mast", state=ItemState.FITTED, is_critical=True, note="in two"),
        ),
        access="Track from the ford, then half an hour on foot.",
        nearest_hospital="Town clinic, 40 minutes",
        notes="The gate opens outward.",
    )
    incident = Incident(
        name="Test flood",
        start_on=date(2026, 6, 3),
        mission_days=14,
        time_zone="UTC",
        planner="Desk two",
        planner_phone="000-0101",
        net_control="Hall, 000-0100",
    )
    return replace(plan.with_site(hill), incident=incident)


def sparse_plan() -> Plan:
    """The hall, and a site of which only the identifier is known."""
    return Plan(
        sites=(complete_site(HALL, -45.0, -30.0), Site(site_id=BARE)),
        links=(Link(from_id=HALL, to_id=BARE),),
    )


def crowded_plan() -> Plan:
    """A hill with every hazard, thirty kit lines and links to nine others."""
    plan = full_plan()
    others = tuple(
        complete_site(SiteId(f"OUTPOST-{n}"), -45.0 + 0.01 * n, -29.97) for n in range(1, 8)
    )
    hill = replace(
        plan.site(HILL),
        hazards=frozenset(Hazard),
        checklist=tuple(
            ChecklistItem(
                name=f"Item number {n} with a rather long name that has to be wrapped",
                is_critical=n % 3 == 0,
                note="from the store behind the hall",
            )
            for n in range(30)
        ),
        contacts=tuple(
            Contact(name=f"Person {n} of the valley", role="owner of the upper gate", phone="000")
            for n in range(6)
        ),
    )
    links = tuple(Link(from_id=HILL, to_id=other.site_id) for other in others)
    return replace(
        plan.with_site(hill),
        sites=(*plan.with_site(hill).sites, *others),
        links=plan.links + links,
    )


def longer(words: str) -> str:
    """Words made 30 % longer, as another language would."""
    extra = -(-len(words) * 3 // 10)
    return words if not words else f"{words} {('lorem ipsum dolor ' * (extra // 17 + 1))[:extra]}"
