"""Makes first_evening.plan.json: a small plan with ten mistakes, to learn the program by.

The place and the people are those of the invented coast of Ullerby Sound. A plan of four sites
that is ready is taken from there; `MISTAKES` then spoils it, one thing at a time. What each
mistake is, and where the program tells it, stands in mistakes.json.

    python demo_projects/first_evening/make_plan.py
"""

from __future__ import annotations

import runpy
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from guyline.core.plan import (
    BenchRecord,
    Fact,
    Link,
    Need,
    Plan,
    Site,
    SiteId,
    StockItem,
)
from guyline.services.plan_files import SUFFIX, save_plan

HERE = Path(__file__).resolve().parent
COAST: dict[str, Any] = runpy.run_path(str(HERE.parent / "ullerby_sound" / "make_plan.py"))

TOWN, PORT, HOB, DUNMARL = (SiteId(name) for name in ("TOWN", "PORT", "HOB", "DUNMARL"))


def dunmarl() -> Site:
    """The village hall with what its owner has got since: a battery behind the mains."""
    site: Site = COAST["DUNMARL"]
    return replace(
        site,
        power=COAST["mains_with_backup"](COAST["lifepo4"](256.0), hours=72.0),
        checklist=COAST["kit"](*COAST["BACKUP_KIT"], small=COAST["MAINS_SMALL"]),
    )


def store() -> tuple[StockItem, ...]:
    """Six radios with their serial numbers, four of them put aside."""
    sites = (TOWN, PORT, HOB, DUNMARL, None, None)
    return tuple(
        StockItem(name="Radio", serial=f"UC-{311 + n}", owner="County stores", assigned_to=site)
        for n, site in enumerate(sites)
    )


def sound_plan() -> Plan:
    """The plan before anything was done wrong: every site is GO."""
    sites = (COAST["TOWN"], COAST["PORT"], COAST["HOB"], dunmarl())
    return Plan(
        incident=replace(
            COAST["INCIDENT"],
            name="First evening (exercise)",
            start_on=date(2027, 5, 15),
            mission_days=14,
        ),
        radio_profile=COAST["RADIO_PROFILE"],
        radio_rule=COAST["RADIO_RULE"],
        sites=tuple(COAST["answered"](site) for site in sites),
        links=(
            Link(from_id=TOWN, to_id=HOB),
            Link(from_id=PORT, to_id=HOB),
            Link(from_id=HOB, to_id=DUNMARL),
        ),
        needs=(
            Need(from_id=TOWN, to_id=PORT, description="Situation reports to the outside"),
            Need(from_id=DUNMARL, to_id=TOWN, description="Shelter list twice a day"),
        ),
        terrain_sources=(replace(COAST["TERRAIN"], path="../ullerby_sound/terrain.tif"),),
        stock=store(),
    )


def cloned_radio(plan: Plan) -> Plan:
    port = plan.site(PORT)
    return plan.with_site(replace(port, radio=replace(port.radio, identifier="u-01")))


def panel_faces_away(plan: Plan) -> Plan:
    hob = plan.site(HOB)
    assert hob.power.panel is not None
    panel = replace(hob.power.panel, azimuth_deg=180.0)
    return plan.with_site(replace(hob, power=replace(hob.power, panel=panel)))


def never_comes_back(plan: Plan) -> Plan:
    hob = plan.site(HOB)
    assert hob.power.battery is not None
    battery = replace(hob.power.battery, reconnect_v=14.6)
    return plan.with_site(replace(hob, power=replace(hob.power, battery=battery)))


def antenna_of_another_band(plan: Plan) -> Plan:
    port = plan.site(PORT)
    antenna = replace(port.antenna, low_hz=430_000_000.0, high_hz=440_000_000.0)
    return plan.with_site(replace(port, antenna=antenna))


def socket_with_a_switch(plan: Plan) -> Plan:
    hall = plan.site(DUNMARL)
    power = replace(hall.power, mains_is_unswitched=Fact.NO)
    return plan.with_site(replace(hall, power=power))


def only_said_yes(plan: Plan) -> Plan:
    hall = plan.site(DUNMARL)
    return plan.with_site(replace(hall, permission=replace(hall.permission, is_written=Fact.NO)))


def key_of_last_month(plan: Plan) -> Plan:
    bench = BenchRecord(channel_name="Sound one", key_identifier="K-06", vswr=1.3, soak_hours=30.0)
    return plan.with_site(replace(plan.site(TOWN), bench=bench))


def no_spare_fuses(plan: Plan) -> Plan:
    hob = plan.site(HOB)
    kept = tuple(item for item in hob.checklist if item.name != "Spare battery fuses")
    return plan.with_site(replace(hob, checklist=kept))


def height_of_another_hill(plan: Plan) -> Plan:
    hall = replace(plan.site(DUNMARL), ground_amsl_m=212.0, ground_source="read off a map")
    return plan.with_site(hall)


def one_radio_for_two_sites(plan: Plan) -> Plan:
    first, *others = plan.stock
    return replace(
        plan, stock=(first, *others[:2], replace(others[2], serial=first.serial), *others[3:])
    )


MISTAKES: tuple[Callable[[Plan], Plan], ...] = (
    cloned_radio,
    panel_faces_away,
    never_comes_back,
    antenna_of_another_band,
    socket_with_a_switch,
    only_said_yes,
    key_of_last_month,
    no_spare_fuses,
    height_of_another_hill,
    one_radio_for_two_sites,
)


def plan() -> Plan:
    spoilt = sound_plan()
    for mistake in MISTAKES:
        spoilt = mistake(spoilt)
    return spoilt


def main() -> None:
    save_plan(plan(), HERE / f"first_evening{SUFFIX}")


if __name__ == "__main__":
    main()
