"""Rows from a spreadsheet: by heading or over cells, with every refusal told by its row."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Plan, SiteId, Units
from guyline.viewmodels.site_columns import column_index
from guyline.viewmodels.site_paste import copied, paste
from stories import HALL, HILL, SHED, three_sites

HEIGHT = column_index("antenna_agl_m")
NOWHERE: tuple[list[SiteId], int] = ([], 0)
UNCHANGED_M = three_sites().site(HILL).antenna_agl_m


def test_under_headings_new_identifiers_become_new_sites_and_known_ones_are_changed() -> None:
    text = (
        "Identifier\tName\tFunction\tAntenna height\n"
        "HILL\tHigh hill\trelay\t12\n"
        "PIER\tOld pier\t\t6 m\n"
    )
    result = paste(three_sites(), text, NOWHERE)
    assert result.added == (SiteId("PIER"),)
    assert result.changed == (HILL,)
    assert result.problems == ()
    assert result.plan.site(HILL).name == "High hill"
    assert result.plan.site(HILL).antenna_agl_m == 12.0
    assert result.plan.site(SiteId("PIER")).antenna_agl_m == 6.0


def test_latitude_and_longitude_columns_make_a_position() -> None:
    result = paste(Plan(), "id\tlat\tlon\nPIER\t-45,25\t-30.5\n", NOWHERE)
    position = result.plan.site(SiteId("PIER")).position
    assert position is not None
    assert (position.lat_deg, position.lon_deg) == (-45.25, -30.5)
    assert position.source == "pasted table"


def test_a_wrong_cell_is_told_by_its_row_and_the_rest_is_taken() -> None:
    text = "Site\tAntenna height\tName\nHILL\thigh\tPeak\n\t5\tNobody\nSHED\t7\t\n"
    result = paste(three_sites(), text, NOWHERE)
    assert result.plan.site(HILL).name == "Peak"
    assert result.plan.site(HILL).antenna_agl_m == UNCHANGED_M
    assert result.plan.site(SHED).antenna_agl_m == 7.0
    assert result.problems == (
        "Row 2, HILL: 'high' is not a number.",
        "Row 3 has no identifier.",
    )
    assert "Row 2, HILL" in result.summary


def test_an_empty_cell_under_a_heading_leaves_what_is_known() -> None:
    result = paste(three_sites(), "Site\tName\tAntenna height\nHILL\tPeak\t\n", NOWHERE)
    assert result.plan.site(HILL).antenna_agl_m == UNCHANGED_M


def test_without_headings_cells_are_laid_over_those_below_the_chosen_one() -> None:
    result = paste(three_sites(), "11\t5\n12\t6\n", ([HILL, SHED], HEIGHT))
    assert result.changed == (HILL, SHED)
    assert [result.plan.site(s).antenna_agl_m for s in (HALL, HILL, SHED)] == [
        UNCHANGED_M,
        11.0,
        12.0,
    ]
    assert [result.plan.site(s).radio.tx_power_dbm for s in (HALL, HILL, SHED)] == [14.0, 5.0, 6.0]


def test_a_single_cell_goes_to_every_selected_site() -> None:
    result = paste(three_sites(), "4.5", ([HALL, SHED], HEIGHT))
    assert [s.antenna_agl_m for s in result.plan.sites] == [4.5, UNCHANGED_M, 4.5]


def test_rows_without_a_site_to_go_to_are_told() -> None:
    result = paste(three_sites(), "1\n2\n3\n", ([SHED], HEIGHT))
    assert result.problems == ("Row 2 has no site to go to.", "Row 3 has no site to go to.")


def test_what_is_worked_out_cannot_be_pasted_over() -> None:
    result = paste(three_sites(), "GO\tNEW", ([HILL], 0))
    assert result.plan == three_sites()
    assert len(result.problems) == 2


def test_what_was_copied_can_be_pasted_into_an_empty_plan() -> None:
    plan = three_sites()
    again = paste(Plan(), copied(plan, [HALL, HILL, SHED]), NOWHERE)
    assert again.problems == ()
    for site in plan.sites:
        made = again.plan.site(site.site_id)
        assert (made.name, made.function, made.antenna_agl_m) == (
            site.name,
            site.function,
            site.antenna_agl_m,
        )
        assert made.power.source is site.power.source


def test_copying_over_the_same_plan_changes_nothing() -> None:
    plan = three_sites()
    assert paste(plan, copied(plan, [HALL, HILL, SHED]), NOWHERE).plan == plan


def imperial(plan: Plan) -> Plan:
    return replace(plan, incident=replace(plan.incident, units=Units.IMPERIAL))


def test_bare_numbers_are_in_the_units_of_the_plan() -> None:
    result = paste(imperial(three_sites()), "Site\tAntenna height\nHILL\t40\n", NOWHERE)
    assert result.plan.site(HILL).antenna_agl_m == pytest.approx(12.192)  # 40 ft, exact
    over = paste(imperial(three_sites()), "40\n", ([HILL], HEIGHT))
    assert over.plan.site(HILL).antenna_agl_m == pytest.approx(12.192)


def test_a_heading_with_a_unit_decides_whatever_the_plan_says() -> None:
    text = "Site\tAntenna height [m]\nHILL\t12\nSHED\t20 ft\n"
    result = paste(imperial(three_sites()), text, NOWHERE)
    assert result.problems == ()
    assert result.plan.site(HILL).antenna_agl_m == pytest.approx(12.0)
    assert result.plan.site(SHED).antenna_agl_m == pytest.approx(6.096)


def test_what_is_copied_under_one_setting_is_pasted_under_the_other() -> None:
    plan = three_sites()
    text = copied(imperial(plan), [HALL, HILL, SHED])
    assert "Antenna height [ft]" in text
    there = paste(plan, text, NOWHERE)
    assert there.problems == ()
    for site in plan.sites:
        again = there.plan.site(site.site_id)
        assert again.antenna_agl_m == pytest.approx(site.antenna_agl_m, abs=0.003)
        assert again.radio == site.radio
