"""Loads that one person can carry, in the reverse order of use, and how batteries travel."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import (
    ChecklistItem,
    Plan,
    PowerSource,
    Site,
    SiteFunction,
    SiteId,
    StockItem,
)
from guyline.core.power.handling import battery_kg
from guyline.core.readiness.packing import (
    CARRIER_LIMIT_KG,
    AirClass,
    air_class,
    packing_of,
    step_of_use,
)
from guyline.services.catalogues import shipped_catalogues
from stories import solar

A = SiteId("A")


def packed(*items: ChecklistItem, stock: tuple[StockItem, ...] = ()):
    site = Site(site_id=A, checklist=items)
    return packing_of(Plan(sites=(site,), stock=stock), site)


masses = st.none() | st.floats(0.0, 60.0)
items = st.builds(
    ChecklistItem,
    name=st.sampled_from(["Radio", "Mast", "Site sheet", "Antenna", "Sandbag"]),
    quantity=st.integers(1, 4),
    mass_kg=masses,
)


@given(st.lists(items, max_size=12))
def test_every_piece_is_in_one_load_and_no_load_of_several_lines_is_too_heavy(entries) -> None:
    packing = packed(*entries)
    count: Counter[tuple[str, float | None]] = Counter()
    for packed_line in (*packing.unweighed, *(x for load in packing.loads for x in load.lines)):
        count[packed_line.item.name, packed_line.item.mass_kg] += packed_line.item.quantity
    wanted: Counter[tuple[str, float | None]] = Counter()
    for entry in entries:
        wanted[entry.name, entry.mass_kg] += entry.quantity
    assert count == wanted
    known = sum(e.quantity * e.mass_kg for e in entries if e.mass_kg is not None)
    assert packing.mass_kg == pytest.approx(known)
    for load in packing.loads:
        assert load.mass_kg <= CARRIER_LIMIT_KG or len(load.lines) == 1
        assert load.carriers == (1 if load.mass_kg <= CARRIER_LIMIT_KG else 2)


@given(st.lists(items, max_size=12))
def test_what_is_used_first_lies_on_top(entries) -> None:
    for load in packed(*entries).loads:
        steps = [step_of_use(packed_line.item.name) for packed_line in load.lines]
        assert steps == sorted(steps, reverse=True)


def test_the_shipped_kit_of_a_solar_relay_is_used_in_the_order_that_prevents_damage() -> None:
    kit = shipped_catalogues().kit_for(SiteFunction.RELAY, PowerSource.SOLAR)
    used = sorted((item.name for item in kit), key=step_of_use)
    order = [
        "Site sheet, two copies, one waterproof",
        "Mast with guys and anchors",
        "Antenna for the band",
        "Feeder or jumper with the right connectors",
        "Battery, charged and tested",
        "Radio, configured and bench-tested with its antenna",
        "Solar panel",
        "Charge controller",
        "Label: purpose, agency, contact, do not unplug, date of removal",
    ]
    assert [name for name in used if name in order] == order


def test_every_shipped_item_has_a_place_in_the_order_of_use() -> None:
    last = step_of_use("Something nobody knows")
    assert [r.item for r in shipped_catalogues().kits if step_of_use(r.item) == last] == []


def test_an_unknown_mass_is_never_zero() -> None:
    packing = packed(ChecklistItem(name="Sandbag"), ChecklistItem(name="Mast", mass_kg=9.0))
    assert packing.mass_kg == 9.0
    assert [packed_line.item.name for packed_line in packing.unweighed] == ["Sandbag"]


def test_what_was_weighed_in_the_store_goes_before_the_figure_of_the_checklist() -> None:
    stock = (StockItem(name="radio", serial="S1", mass_kg=0.7, assigned_to=A),)
    packing = packed(ChecklistItem(name="Radio, set up", mass_kg=0.3), stock=stock)
    (line,) = packing.loads[0].lines
    assert (line.mass_kg, line.serials) == (0.7, ("S1",))


def test_a_battery_weighs_what_its_chemistry_and_size_say() -> None:
    power = solar()
    site = Site(site_id=A, power=power, checklist=(ChecklistItem(name="Battery, charged"),))
    packing = packing_of(Plan(sites=(site,)), site)
    assert power.battery is not None
    assert packing.mass_kg == battery_kg(power.battery)
    assert packing.loads[0].lines[0].battery_wh == power.battery.capacity_wh
    fuse = replace(site, checklist=(ChecklistItem(name="Battery fuse", mass_kg=0.02),))
    assert packing_of(Plan(sites=(fuse,)), fuse).loads[0].lines[0].battery_wh is None


@pytest.mark.parametrize(
    ("battery_wh", "kind"),
    [
        # IATA/ICAO: up to 100 Wh free, up to 160 Wh with approval
        (100.0, AirClass.EASY),
        (100.1, AirClass.APPROVAL),
        (160.0, AirClass.APPROVAL),
        (160.1, AirClass.CARGO),
    ],
)
def test_the_energy_of_a_battery_decides_how_it_travels(battery_wh, kind) -> None:
    assert air_class(battery_wh) is kind
