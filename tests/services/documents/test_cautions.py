from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import (
    Battery,
    Chemistry,
    Hazard,
    Plan,
    PowerSource,
    PowerSystem,
    Radio,
    Site,
)
from guyline.core.radio.exposure import exposure_distances
from guyline.errors import CatalogueError
from guyline.services.documents.cautions import (
    Place,
    Trigger,
    caution_lines,
    cautions,
    read_cautions,
    stop_lines,
    triggers_of,
)
from stories import HALL, HILL, complete_site

PLAN = Plan()
HEAD = "code,place,severity,trigger,lead,line,source,confidence\n"


def leads(site: Site) -> list[str]:
    return [line.lead for line in caution_lines(PLAN, site)]


def test_every_hazard_and_every_trigger_switches_a_line_on() -> None:
    used = {trigger for caution in cautions() for trigger in caution.triggers}
    assert used == {*Trigger, *Hazard}


def test_every_line_tells_its_source_and_how_sure_it_is() -> None:
    for caution in cautions():
        assert caution.source
        assert caution.confidence in {"A", "B", "C"}
        assert caution.severity in {1, 2, 3}


def test_codes_and_leads_are_unique() -> None:
    codes = [c.code for c in cautions()]
    leads = [c.lead for c in cautions()]
    assert len(set(codes)) == len(codes)
    assert len(set(leads)) == len(leads)


def test_the_stop_box_is_the_same_on_every_sheet_and_has_at_most_four_lines() -> None:
    bare = stop_lines(PLAN, Site(site_id=HALL))
    assert bare == stop_lines(PLAN, complete_site(HILL, -45.0, -30.0, hazards=frozenset(Hazard)))
    assert [line.lead for line in bare] == [
        "Never alone",
        "Stop and leave",
        "Look up",
        "Antenna first",
    ]


def test_lines_that_can_kill_come_first() -> None:
    severity = {c.lead: c.severity for c in cautions()}
    site = complete_site(HILL, -45.0, -30.0, hazards=frozenset(Hazard))
    ranks = [severity[lead] for lead in leads(site)]
    assert ranks == sorted(ranks)
    assert ranks[0] == 1


def test_battery_and_land_are_on_every_sheet() -> None:
    assert {"Battery", "Land"} <= set(leads(Site(site_id=HALL)))


@pytest.mark.parametrize(
    ("power", "lead"),
    [
        (PowerSystem(source=PowerSource.MAINS), "Mains"),
        (PowerSystem(source=PowerSource.MAINS_WITH_BACKUP), "Mains"),
        (PowerSystem(source=PowerSource.GENERATOR), "Generator"),
        (PowerSystem(battery=Battery(chemistry=Chemistry.NMC)), "Lithium fire"),
        (PowerSystem(battery=Battery(chemistry=Chemistry.AGM)), "Lead-acid"),
    ],
)
def test_the_power_system_switches_its_line_on(power: PowerSystem, lead: str) -> None:
    assert lead in leads(Site(site_id=HALL, power=power))
    assert lead not in leads(Site(site_id=HALL))


def test_mains_in_a_flood_has_a_line_of_its_own() -> None:
    power = PowerSystem(source=PowerSource.MAINS)
    dry = Site(site_id=HALL, power=power)
    assert "Flooded wiring" not in leads(dry)
    assert "Flooded wiring" in leads(replace(dry, hazards=frozenset({Hazard.FLOOD_WATER})))


def test_an_unknown_antenna_height_counts_as_high() -> None:
    low = complete_site(HILL, -45.0, -30.0, antenna_agl_m=1.5)
    assert Trigger.ANTENNA_ABOVE_2_M not in triggers_of(PLAN, low)
    unknown = replace(low, antenna_agl_m=None)
    assert Trigger.ANTENNA_ABOVE_2_M in triggers_of(PLAN, unknown)


def test_more_than_a_watt_brings_the_line_about_radio_waves() -> None:
    # 30 dBm and 2.15 dBi without feeder are 32.15 dBm EIRP; 14 dBm are 16.15 dBm, 1 W is 30 dBm
    weak = complete_site(HILL, -45.0, -30.0)
    strong = replace(weak, radio=replace(weak.radio, tx_power_dbm=30.0))
    assert "Radio waves" not in leads(weak)
    line = next(c.line for c in caution_lines(PLAN, strong) if c.lead == "Radio waves")
    # the distance is that of core.radio.exposure, which is checked against the rules there
    printed = exposure_distances(10 ** (32.15 / 10) / 1000, 869_525_000.0).printed_m
    assert f"Stay {printed:g} m away" in line


def test_no_line_is_printed_with_a_gap_to_fill_in() -> None:
    site = complete_site(HILL, -45.0, -30.0, hazards=frozenset(Hazard))
    for known in (site, replace(site, radio=Radio())):
        assert not any("{" in line.line for line in caution_lines(PLAN, known))


def test_an_unknown_trigger_in_the_table_is_refused_with_the_known_ones() -> None:
    with pytest.raises(CatalogueError, match="X1") as caught:
        read_cautions(HEAD + "X1,stop,1,when it rains,Rain,Stay in.,none,C\n")
    assert "always" in caught.value.advice


@pytest.mark.parametrize("row", ["X1,door,1,always,L,l,s,C\n", "X1,stop,9,always,L,l,s,C\n"])
def test_a_wrong_place_or_severity_is_refused(row: str) -> None:
    with pytest.raises(CatalogueError):
        read_cautions(HEAD + row)


def test_places_are_stop_box_or_cautions() -> None:
    assert {c.place for c in cautions()} == set(Place)
