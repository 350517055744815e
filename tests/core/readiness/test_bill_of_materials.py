"""What all checklists ask for, the store, spares, and nothing promised twice."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import ChecklistItem, ItemState, Plan, Site, SiteId, StockItem
from guyline.core.readiness.bill_of_materials import (
    BillLine,
    bill_of_materials,
    item_kind,
    promised_serials,
    spares_wanted,
)
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.stock_checks import spare_fuse_findings, stock_findings
from guyline.services.catalogues import shipped_catalogues
from stories import HALL, HILL, SHED, mains, three_sites

RADIO = "Radio, configured and bench-tested"


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Battery, charged and tested", "battery"),
        ("Connector tape: PVC, self-amalgamating", "connector tape"),
        ("  Spare   battery Fuses ", "spare battery fuse"),
        ("Label on the plug: do not unplug", "label on the plug"),
    ],
)
def test_the_words_before_a_comma_or_colon_say_what_a_thing_is(name: str, kind: str) -> None:
    assert item_kind(name) == kind


@pytest.mark.parametrize(
    ("kind", "quantity", "spares"),
    [
        # common practice, no source: a radio for every five, a tenth of cables, two of each fuse
        ("radio", 1, 1),
        ("radio", 5, 1),
        ("radio", 6, 2),
        ("radio", 11, 3),
        ("feeder with the right connectors", 1, 1),
        ("dc cable", 10, 1),
        ("dc cable", 11, 2),
        ("battery fuse", 9, 2),
        ("spare battery fuse", 9, 0),
        ("power adapter", 9, 0),
        ("mast with guys and anchor", 9, 0),
        ("radio", 0, 0),
    ],
)
def test_spares_follow_the_rule_of_the_trade(kind: str, quantity: int, spares: int) -> None:
    assert spares_wanted(kind, quantity) == spares


def found_in(plan: Plan) -> tuple[Finding, ...]:
    return stock_findings(plan, bill_of_materials(plan))


def test_the_shipped_kits_know_their_radios_cables_and_fuses() -> None:
    kinds = {item_kind(row.item) for row in shipped_catalogues().kits}
    with_spares = {kind for kind in kinds if spares_wanted(kind, 10)}
    assert with_spares == {
        "radio",
        "feeder or jumper with the right connector",
        "adapter set for every connector family in use",
        "dc cable",
        "battery fuse",
    }


def site(name: str, *items: ChecklistItem) -> Site:
    return Site(site_id=SiteId(name), checklist=items)


def needed(name: str, quantity: int = 1, *, held: bool = False) -> ChecklistItem:
    state = ItemState.PACKED if held else ItemState.NEEDED
    return ChecklistItem(name=name, quantity=quantity, state=state, is_critical=True)


def line(plan: Plan, kind: str) -> BillLine:
    (found,) = [known for known in bill_of_materials(plan) if known.kind == kind]
    return found


def test_free_stock_serves_open_needs_before_anything_is_lacking_or_spare() -> None:
    plan = Plan(
        sites=(site("A", needed(RADIO, 2)), site("B", needed("Radio", held=True))),
        stock=(StockItem(name="Radio", quantity=4),),
    )
    radios = line(plan, "radio")
    assert (radios.needed, radios.held, radios.free) == (3, 1, 3)
    assert (radios.lacking, radios.spares_wanted, radios.spares_lacking) == (0, 1, 0)
    short = line(replace(plan, stock=(StockItem(name="radio", quantity=2),)), "radio")
    assert (short.lacking, short.spares_lacking) == (1, 1)


def test_without_a_store_what_is_not_in_hand_is_lacking() -> None:
    plan = Plan(sites=(site("A", needed(RADIO)), site("B", needed(RADIO, held=True))))
    assert (line(plan, "radio").in_stock, line(plan, "radio").lacking) == (None, 1)


def test_spare_fuses_of_a_checklist_count_as_the_spares_of_their_form() -> None:
    plan = Plan(sites=(site("A", needed("Battery fuse"), needed("Spare battery fuses", 2)),))
    assert line(plan, "battery fuse").spares_lacking == 0
    bare = Plan(sites=(site("A", needed("Battery fuse")),))
    assert line(bare, "battery fuse").spares_lacking == 2


names = st.sampled_from(["Radio", "radio, tested", "DC cable", "Battery fuse", "Mast"])
items = st.builds(
    ChecklistItem, name=names, quantity=st.integers(0, 9), state=st.sampled_from(ItemState)
)
checklists = st.lists(st.lists(items, max_size=6), max_size=4)
stocks = st.lists(
    st.builds(
        StockItem,
        name=names,
        quantity=st.integers(0, 9),
        assigned_to=st.none() | st.sampled_from([SiteId("0"), SiteId("1"), SiteId("elsewhere")]),
    ),
    max_size=5,
)


@given(checklists=checklists, stock=stocks)
def test_every_piece_of_every_checklist_is_in_the_bill_once(checklists, stock) -> None:
    # law: the bill sums the checklists; oracle: a plain count
    sites = tuple(site(str(n), *entries) for n, entries in enumerate(checklists))
    bill = bill_of_materials(Plan(sites=sites, stock=tuple(stock)))
    count: Counter[str] = Counter()
    for entry in (e for entries in checklists for e in entries):
        count[item_kind(entry.name)] += entry.quantity
    assert {known.kind: known.needed for known in bill} == dict(count)


@given(checklists=checklists, stock=stocks)
def test_nothing_of_the_store_is_given_to_two(checklists, stock) -> None:
    # law: held + free = stock, unless more is held than there is, and then exactly that is told
    sites = tuple(site(str(n), *entries) for n, entries in enumerate(checklists))
    for known in bill_of_materials(Plan(sites=sites, stock=tuple(stock))):
        if known.in_stock is not None:
            assert known.held - known.promised_twice + known.free == known.in_stock


def test_one_serial_number_for_two_sites_stops_both() -> None:
    plan = three_sites()
    rows = [
        StockItem(name="Radio", serial=serial, assigned_to=site_id)
        for serial, site_id in [("S 1", HALL), ("s1", HILL), ("S2", SHED)]
    ]
    found = found_in(replace(plan, stock=tuple(rows)))
    serials = [f for f in found if f.code is FindingCode.PROMISED_SERIAL]
    assert {f.site_id for f in serials} == {HALL, HILL}
    assert {f.verdict for f in serials} == {Verdict.NO_GO}
    assert promised_serials(replace(plan, stock=tuple(rows))) == {("radio", "s1"): (HALL, HILL)}
    # one radio under two rows is one radio: three sites count on two
    short = [f for f in found if f.code is FindingCode.PROMISED_STOCK]
    assert {(f.value, f.limit) for f in short} == {(3.0, 2.0)}


def test_a_serial_number_belongs_to_its_kind_of_thing() -> None:
    rows = (
        StockItem(name="Radio", serial="7", assigned_to=HALL),
        StockItem(name="Spare fuse", serial="7", quantity=9, assigned_to=HILL),
    )
    found = found_in(replace(three_sites(), stock=rows))
    assert FindingCode.PROMISED_SERIAL not in {f.code for f in found}


def test_more_held_than_in_stock_is_told_to_every_site_that_holds_some() -> None:
    plan = replace(three_sites(), stock=(StockItem(name="Radio", quantity=2),))
    found = [f for f in found_in(plan) if f.code is FindingCode.PROMISED_STOCK]
    assert {f.site_id for f in found} == {HALL, HILL, SHED}
    assert {(f.value, f.limit, f.verdict) for f in found} == {(3.0, 2.0, Verdict.NO_GO)}
    enough = replace(plan, stock=(StockItem(name="Radio", quantity=3),))
    assert found_in(enough) == ()


@pytest.mark.parametrize(
    ("spares", "verdict"), [(0, Verdict.CONDITIONS), (1, Verdict.CONDITIONS), (2, Verdict.GO)]
)
def test_two_spares_of_each_form_of_fuse_go_along(spares: int, verdict: Verdict) -> None:
    items = (needed("Battery fuse"), needed("Spare battery fuses", spares))
    (found,) = spare_fuse_findings(replace(site("A", *items), power=mains()))
    assert (found.verdict, found.value) == (verdict, spares)


def test_the_form_of_fuse_with_the_fewest_spares_counts() -> None:
    items = (needed("Battery fuse"), needed("Panel fuse"), needed("Spare battery fuses", 5))
    (found,) = spare_fuse_findings(site("A", *items))
    assert (found.fact("form"), found.value) == ("panel fuse", 0.0)


def test_a_site_without_battery_and_fuses_needs_no_spares() -> None:
    assert spare_fuse_findings(site("A", needed("Radio"))) == ()


def test_a_site_that_is_removed_or_renamed_leaves_the_store_in_order() -> None:
    plan = replace(three_sites(), stock=(StockItem(name="Radio", assigned_to=HILL),))
    assert plan.without_sites([HILL]).stock[0].assigned_to is None
    assert plan.renaming_site(HILL, SiteId("TOP")).stock[0].assigned_to == "TOP"
