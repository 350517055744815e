"""A plan without a fault, and the faults of the check catalogue to be put into it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np

from guyline.core.plan import (
    Antenna,
    BenchRecord,
    Fact,
    Feeder,
    Gate,
    GateRecord,
    LayerKind,
    MapLayer,
    Mast,
    Plan,
    PowerSource,
    Relaying,
    Site,
    SiteId,
)
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.services.assessment import Assessor
from stories import HALL, HILL, SHED, DrawnTerrain, Ground, flat_ground, three_sites

FLOODED_HILL = Path(__file__).parent / "reference" / "flooded_hill.geojson"
CONSEQUENCES = {FindingCode.REACH, FindingCode.CONDITION_OWNER}
"""What others suffer from a fault: the way over a site that is not ready, a condition more."""

Spoil = Callable[[Plan], Plan]


def steep_ground(lat_deg: np.ndarray, lon_deg: np.ndarray) -> np.ndarray:
    """A hill of 300 m that is flat again 800 m away."""
    return 20.0 + 300.0 * np.clip(1.0 - np.abs(np.asarray(lon_deg) + 29.98) / 0.01, 0.0, 1.0)


@cache
def assessor(ground: Ground) -> Assessor:
    return Assessor(DrawnTerrain(ground))


def sound_plan() -> Plan:
    """Three sites without a fault; each gate has somebody who sees to its conditions."""
    plan = three_sites()
    return plan.with_sites(replace(site, gate_records=_owned(site)) for site in plan.sites)


def _owned(site: Site) -> tuple[GateRecord, ...]:
    return tuple(
        replace(site.record(gate), owner="Somebody", due_on=date(2031, 6, 16)) for gate in Gate
    )


def bad_codes(assessment: PlanAssessment) -> set[FindingCode]:
    return {
        finding.code
        for site in assessment.sites
        for finding in site.findings
        if finding.verdict is not Verdict.GO
    }


def at(site_id: SiteId, **changes: object) -> Spoil:
    def spoil(plan: Plan) -> Plan:
        return plan.with_site(replace(plan.site(site_id), **changes))  # type: ignore[arg-type]

    return spoil


def inside(site_id: SiteId, part: str, **changes: object) -> Spoil:
    """Change fields of a part, such as `power.battery`."""

    def spoil(plan: Plan) -> Plan:
        site = plan.site(site_id)
        return plan.with_site(_deep(site, part.split("."), changes))

    return spoil


def _deep(value, parts, changes):
    if not parts:
        return replace(value, **changes)
    return replace(value, **{parts[0]: _deep(getattr(value, parts[0]), parts[1:], changes)})


def everywhere(**changes: object) -> Spoil:
    return lambda plan: replace(
        plan,
        radio_profile=replace(plan.radio_profile, **changes),  # type: ignore[arg-type]
    )


def of_need(packets_per_hour: float) -> Spoil:
    return lambda plan: replace(
        plan, needs=(replace(plan.needs[0], packets_per_hour=packets_per_hour),)
    )


def both(first: Spoil, second: Spoil) -> Spoil:
    return lambda plan: second(first(plan))


def without_item(name: str) -> Spoil:
    def spoil(plan: Plan) -> Plan:
        hill = plan.site(HILL)
        kept = tuple(item for item in hill.checklist if item.name != name)
        return plan.with_site(replace(hill, checklist=kept))

    return spoil


def without_recovery_owner(plan: Plan) -> Plan:
    hill = plan.site(HILL)
    records = tuple(
        replace(record, due_on=None) if record.gate is Gate.RECOVERY else record
        for record in hill.gate_records
    )
    return plan.with_site(replace(hill, gate_records=records))


def ruled(**changes: object) -> Spoil:
    return lambda plan: replace(
        plan,
        radio_rule=replace(plan.radio_rule, **changes),  # type: ignore[type-var,arg-type]
    )


def in_a_mapped_flood(plan: Plan) -> Plan:
    layer = MapLayer(path=str(FLOODED_HILL), kind=LayerKind.FLOOD)
    return replace(plan, map_layers=(layer,))


def as_it_is(plan: Plan) -> Plan:
    return plan


def weak_radios(plan: Plan) -> Plan:
    """Radios so weak that links over flat ground have a margin of about 20 dB."""
    return plan.with_sites(
        replace(site, radio=replace(site.radio, tx_power_dbm=-20.0)) for site in plan.sites
    )


@dataclass(frozen=True)
class Fault:
    """`found` is all that is found besides consequences; `at_site` is where the first stands."""

    number: int
    what: str
    spoil: Spoil
    found: tuple[FindingCode, ...]
    at_site: SiteId = HILL
    ground: Ground = flat_ground
    given: Spoil = as_it_is
    """What makes the fault tell, such as weak radios; a plan with that alone is sound."""


C = FindingCode
BATTERY = "power.battery"
LOSSY = Feeder(length_m=15.0, k1_db_per_100ft=0.9, k2_db_per_100ft=0.004)

FAULTS = (
    Fault(
        1,
        "no cut-off entered",
        inside(HILL, BATTERY, low_voltage_disconnect_v=None),
        (C.BATTERY_CUT_OFF,),
    ),
    Fault(1, "cut-off reversed", inside(HILL, BATTERY, reconnect_v=11.5), (C.BATTERY_CUT_OFF,)),
    Fault(1, "never comes back", inside(HILL, BATTERY, reconnect_v=14.5), (C.BATTERY_CUT_OFF,)),
    Fault(2, "no spare fuse", without_item("Spare fuse"), (C.SPARE_FUSES,)),
    Fault(3, "no tape", without_item("Connector tape"), (C.CONNECTOR_TAPE,)),
    Fault(5, "outside the band", ruled(low_hz=863e6, high_hz=869e6), (C.RULE_LIMIT,)),
    Fault(
        5,
        "set to another region",
        at(HILL, bench=BenchRecord(frequency_hz=915e6)),
        (C.READ_BACK,),
    ),
    Fault(
        5,
        "antenna of another region",
        inside(HILL, "antenna", low_hz=902e6, high_hz=928e6),
        (C.ANTENNA_BAND,),
    ),
    Fault(
        6, "same identifier", inside(HILL, "radio", identifier="hall-01"), (C.RADIO_IDENTIFIER,)
    ),
    Fault(6, "l for 1", inside(HILL, "radio", identifier="HALL-0l"), (C.RADIO_ALIKE,)),
    Fault(6, "same name", at(HILL, name="THE HALL"), (C.SITE_ALIKE,)),
    Fault(
        7,
        "last month's key",
        both(
            everywhere(key_identifier="K-07"), at(HILL, bench=BenchRecord(key_identifier="K-06"))
        ),
        (C.READ_BACK,),
    ),
    Fault(
        7,
        "wrong channel",
        both(everywhere(channel_name="One"), at(HILL, bench=BenchRecord(channel_name="Two"))),
        (C.READ_BACK,),
    ),
    Fault(
        8,
        "beam over the town",
        at(HILL, antenna=Antenna(gain_dbi=10.0)),
        (C.ANTENNA_BEAM,),
        ground=steep_ground,
    ),
    Fault(
        9,
        "in the wood",
        at(SHED, trees_m=2000.0),
        (C.LINK_MARGIN, C.LINK_PROBABILITY),
        SHED,
        given=weak_radios,
    ),
    Fault(10, "no key", inside(HILL, "permission", key_holder=""), (C.KEY_HOLDER,)),
    Fault(
        11,
        "by word of mouth",
        inside(HILL, "permission", is_written=Fact.NO),
        (C.PERMISSION,),
    ),
    Fault(
        11,
        "runs out",
        inside(HILL, "permission", expires_on=date(2031, 6, 5)),
        (C.PERMISSION_EXPIRY,),
    ),
    Fault(12, "height of another place", at(HILL, ground_amsl_m=120.0), (C.GROUND_HEIGHT,)),
    Fault(
        12,
        "place read off a small map",
        inside(HILL, "position", uncertainty_m=400.0),
        (C.POSITION_UNCERTAINTY,),
    ),
    Fault(
        14,
        "reverse-polarity connector",
        both(
            inside(HILL, "radio", port="RP-SMA jack"),
            at(
                HILL,
                feeder=Feeder(
                    length_m=1.0,
                    k1_db_per_100ft=0.2,
                    k2_db_per_100ft=0.0,
                    near_port="SMA plug",
                    far_port="N plug",
                ),
                antenna=Antenna(gain_dbi=2.15, port="N jack"),
            ),
        ),
        (C.CONNECTORS,),
    ),
    Fault(
        15,
        "long thin cable",
        at(SHED, feeder=LOSSY),
        (C.LINK_MARGIN,),
        SHED,
        given=weak_radios,
    ),
    Fault(
        15,
        "length not measured",
        at(SHED, feeder=Feeder(length_m=None)),
        (C.LINK_INPUTS, C.RADIATED_POWER),
        SHED,
    ),
    Fault(16, "larger antenna", at(HILL, antenna=Antenna(gain_dbi=20.0)), (C.RADIATED_POWER,)),
    Fault(17, "chatter", at(HALL, packets_per_hour=2000.0), (C.DUTY_CYCLE,), HALL),
    Fault(17, "more than was counted", of_need(30.0), (C.ROUTED_TRAFFIC,)),
    Fault(17, "too much for the hub", of_need(600.0), (C.BUSY_HOUR, C.ROUTED_TRAFFIC)),
    Fault(18, "faces away", inside(HILL, "power.panel", azimuth_deg=180.0), (C.PANEL_AIM,)),
    Fault(
        18,
        "in the shade",
        inside(HILL, "power.panel", sunny_hours=0.0, stc_w=2.0),
        (C.SURVIVAL, C.SOLAR_BALANCE),
        given=inside(HILL, BATTERY, capacity_wh=60.0),
    ),
    Fault(19, "frost", inside(HILL, "power", coldest_c=-5.0), (C.COLD_CHARGING,)),
    Fault(
        21,
        "a gust it does not stand",
        at(
            HILL,
            mast=Mast(
                length_m=9.0,
                diameter_m=0.04,
                antenna_length_m=1.5,
                antenna_diameter_m=0.025,
                holds_n_m=110.0,
                gust_m_s=40.0,
            ),
        ),
        (C.MAST_WIND,),
    ),
    Fault(21, "nobody knows what it holds", at(HILL, mast=Mast(gust_m_s=40.0)), (C.MAST_WIND,)),
    Fault(
        22,
        "switched socket",
        inside(HALL, "power", mains_is_unswitched=Fact.NO),
        (C.MAINS_SOCKET,),
        HALL,
    ),
    Fault(
        22,
        "mains alone",
        inside(HALL, "power", source=PowerSource.MAINS, battery=None),
        (C.POWER_SOURCE,),
        HALL,
    ),
    Fault(
        26, "433 on 868", inside(HILL, "antenna", low_hz=430e6, high_hz=440e6), (C.ANTENNA_BAND,)
    ),
    Fault(27, "too few hops", everywhere(hop_limit=1), (C.REACH,), SHED),
    Fault(
        27,
        "everybody sends everything on",
        both(of_need(600.0), everywhere(relaying=Relaying.FLOODED)),
        (C.BUSY_HOUR, C.ROUTED_TRAFFIC),
    ),
    Fault(29, "in a mapped flood", in_a_mapped_flood, (C.HAZARD_AREA,)),
    Fault(29, "under water", at(HILL, flood_amsl_m=21.0), (C.FLOOD_LEVEL,)),
    Fault(29, "hardly above it", at(HILL, flood_amsl_m=19.8), (C.FLOOD_LEVEL,)),
    Fault(30, "no day of recovery", without_recovery_owner, (C.RECOVERY_DATE,)),
)
