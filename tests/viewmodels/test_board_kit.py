"""Kit and settings on the board: what is lacking, where, and that all is well where it is."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import BenchRecord, ChecklistItem, Plan, StockItem
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.assessment import Assessor
from guyline.viewmodels.board_kit import configuration_section, kit_section
from guyline.viewmodels.entries import Entry
from guyline.viewmodels.site_summaries import load_text
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites

ASSESSOR = Assessor(DrawnTerrain())  # type: ignore[arg-type]  # stands for Terrain


def assessed(plan: Plan) -> PlanAssessment:
    return ASSESSOR.assess(plan)


def with_items(*items: ChecklistItem) -> Plan:
    plan = three_sites()
    return plan.with_site(replace(plan.site(HILL), checklist=items))


def test_what_a_site_lacks_is_told_with_its_number_and_leads_to_its_checklist() -> None:
    plan = with_items(ChecklistItem(name="Mast", quantity=2, is_critical=True))
    rows = {row.head: row for row in kit_section(assessed(plan)).rows}
    mast = rows["2 x Mast"]
    assert mast.text == "HILL 2"
    assert mast.verdict is Verdict.NO_GO
    assert mast.entry == Entry(path="checklist", site_id=HILL)


def test_what_is_promised_twice_leads_to_the_store() -> None:
    plan = replace(three_sites(), stock=(StockItem(name="Radio", quantity=1),))
    (radio,) = [r for r in kit_section(assessed(plan)).rows if r.head.endswith("Radio")]
    assert "2 promised twice" in radio.text  # three sites hold one each, the store has one
    assert radio.entry == Entry(path="stock")


def test_spares_are_asked_for_by_the_rule() -> None:
    (radio,) = [r for r in kit_section(assessed(three_sites())).rows if "Radio" in r.head]
    assert radio.head == "1 x Radio"  # one spare for every five radios begun
    assert radio.text == "1 spare by the rule"
    assert radio.verdict is Verdict.CONDITIONS


def test_where_nothing_lacks_the_board_says_so() -> None:
    stocked = replace(three_sites(), stock=(StockItem(name="Radio", quantity=4),))
    section = kit_section(assessed(stocked))
    assert section.rows == ()
    assert "in hand or in the store" in section.empty
    bare = stocked.with_sites(replace(site, checklist=()) for site in stocked.sites)
    assert "No site has a checklist yet" in kit_section(assessed(bare)).empty


def test_settings_that_nobody_read_back_are_doubts_and_lead_to_the_bench_record() -> None:
    section = configuration_section(assessed(three_sites()))
    (row,) = section.rows
    assert (row.head, row.text) == ("Settings not read back", "HALL, HILL, SHED")
    assert row.verdict is Verdict.NOT_ASSESSED
    assert row.entry == Entry(path="bench.identifier", site_id=HALL)


def test_settings_that_are_proven_say_so_with_the_hops() -> None:
    plan = three_sites()
    plan = replace(plan, radio_profile=replace(plan.radio_profile, hop_limit=3))
    read = plan.with_sites(
        replace(s, bench=BenchRecord(identifier=s.radio.identifier)) for s in plan.sites
    )
    section = configuration_section(assessed(read))
    assert section.rows == ()
    assert section.empty == (
        "3 radios, no two alike in identifier or name; all read back as planned."
        " The longest way takes 2 hops of at most 3."
    )


def test_one_identifier_for_two_radios_is_told_first() -> None:
    plan = three_sites()
    twin = replace(plan.site(SHED), radio=replace(plan.site(SHED).radio, identifier="HILL-01"))
    row = configuration_section(assessed(plan.with_site(twin))).rows[0]
    assert (row.head, row.text) == ("One identifier for several radios", "HILL, SHED")
    assert row.verdict is Verdict.NO_GO


def test_the_load_of_a_site_is_told_with_its_carriers_and_the_class_of_its_battery() -> None:
    heavy = with_items(
        ChecklistItem(name="Mast", mass_kg=20.0),
        ChecklistItem(name="Battery, charged and tested", mass_kg=10.0),
        ChecklistItem(name="Connector tape"),
    )
    text = load_text(heavy, heavy.site(HILL))
    assert text.startswith("To carry: 30.0 kg, 2 carriers; 1 line not weighed.")
    assert "Battery of 400 Wh: more than 160 Wh: dangerous goods" in text
    bare = with_items()
    assert load_text(bare, bare.site(HILL)) == ""
