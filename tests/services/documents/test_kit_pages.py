"""Packing list and bench records: what stands in them, and what must not."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import BenchRecord, ChecklistItem, ItemState, Plan, StockItem
from guyline.services.documents.bench_records import bench_records
from guyline.services.documents.content import BenchSheet, PackingList
from guyline.services.documents.packing_list import packing_list
from sheet_stories import assessed, full_plan, printing, sparse_plan
from stories import HALL, HILL, SHED, three_sites


def packing(plan: Plan) -> PackingList:
    return packing_list(plan, assessed(plan), printing(plan))


def with_kit(*items: ChecklistItem) -> Plan:
    plan = three_sites()
    return plan.with_site(replace(plan.site(HILL), checklist=items))


def test_what_is_still_to_get_names_who_waits_for_it() -> None:
    plan = with_kit(
        ChecklistItem(name="Mast", quantity=2), ChecklistItem(name="Radio", state=ItemState.PACKED)
    )
    short = {line.name: line for line in packing(plan).short}
    assert short["Mast"].to_get == "2 for sites (HILL 2)"
    # three radios: one spare for every five begun
    assert short["Radio"].to_get == "1 spare"
    assert short["Radio"].in_stock is None


def test_what_is_promised_twice_is_told_on_the_list() -> None:
    plan = replace(three_sites(), stock=(StockItem(name="Radio", quantity=2),))
    (radio,) = [line for line in packing(plan).short if line.name == "Radio"]
    assert (radio.needed, radio.held, radio.in_stock) == (3, 3, "2")
    assert radio.to_get == "1 for sites (1 promised twice), 1 spare"


def test_loads_state_mass_carriers_and_what_was_not_weighed() -> None:
    plan = with_kit(
        ChecklistItem(name="Sandbag", quantity=4, mass_kg=20.0),
        ChecklistItem(name="Battery, charged"),
        ChecklistItem(name="Ladder"),
    )
    (hill,) = [site for site in packing(plan).sites if site.site_id == HILL]
    # 80 kg of sandbags in pieces of 20, and 400 Wh x 0.0105 kg/Wh = 4.2 kg beside one of them
    assert hill.summary == "84.2 kg, 4 carriers; 1 line not weighed"
    assert [load.title for load in hill.loads] == [
        "Load 1 of 4: 24.2 kg",
        "Load 2 of 4: 20.0 kg",
        "Load 3 of 4: 20.0 kg",
        "Load 4 of 4: 20.0 kg",
        "Not weighed yet: weigh them, then share them out",
    ]
    (battery,) = [line for line in hill.loads[0].lines if line.name.startswith("Battery")]
    assert battery.note == "400 Wh, more than 160 Wh: dangerous goods, not in a passenger aircraft"
    assert [line.mass for line in hill.loads[-1].lines] == [None]


def test_a_piece_too_heavy_for_one_is_for_two() -> None:
    (hill,) = [
        site
        for site in packing(with_kit(ChecklistItem(name="Generator", mass_kg=31.0))).sites
        if site.site_id == HILL
    ]
    assert hill.loads[0].title == "Load 1 of 1: 31.0 kg, two persons carry"
    assert hill.summary == "31.0 kg, 2 carriers"


def test_a_site_without_checklist_is_named_and_not_passed_over() -> None:
    page = packing(sparse_plan())
    assert [site.site_id for site in page.sites] == [HALL]
    assert page.summary.endswith("no checklist: BARE.")
    assert packing(Plan()).summary == "No site has a checklist yet."


def bench(plan: Plan) -> dict[str, BenchSheet]:
    page = bench_records(plan, assessed(plan), printing(plan))
    return {sheet.site_id: sheet for sheet in page.sheets}


def test_a_bench_record_leaves_a_place_for_what_was_not_read_back() -> None:
    settings = {s.name: s for s in bench(full_plan())[HILL].settings}
    assert settings["Frequency"].planned == "869.525 MHz"
    assert {s.read_back for s in settings.values()} == {""}
    assert settings["Channel name"].planned is None


def test_a_bench_record_marks_what_differs() -> None:
    plan = full_plan()
    read = BenchRecord(frequency_hz=868_100_000.0, spreading_factor=10, vswr=1.4)
    sheet = bench(plan.with_site(replace(plan.site(SHED), bench=read)))[SHED]
    settings = {s.name: s for s in sheet.settings}
    assert (settings["Frequency"].read_back, settings["Frequency"].differs) == ("868.1 MHz", True)
    assert not settings["Spreading factor"].differs
    measured = {value.label: value.value for value in sheet.measured}
    assert measured["VSWR with its own antenna"] == "1.4"
    assert measured["Ran without a fault"] == ""


def test_a_bench_record_names_the_radio_put_aside_for_the_site() -> None:
    rows = (
        StockItem(name="Radio, pocket", serial="S-7", assigned_to=HILL),
        StockItem(name="Radio", serial="S-8", assigned_to=SHED),
    )
    sheets = bench(replace(full_plan(), stock=rows))
    assert (sheets[HILL].serial, sheets[SHED].serial, sheets[HALL].serial) == ("S-7", "S-8", None)


def test_the_antenna_comes_before_power_on_every_bench_record() -> None:
    for sheet in bench(full_plan()).values():
        assert "Was the antenna fitted before the radio was powered?" in sheet.questions
