"""Findings about place, kit, permission and rules: what is bad, and what is not known."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from guyline.core.plan import Fact, ItemState, Plan, Position
from guyline.core.radio.airtime import time_on_air_s
from guyline.core.readiness.finding import Finding, FindingCode, RemedyAction, Verdict
from guyline.core.readiness.kit_checks import kit_findings
from guyline.core.readiness.permission_checks import permission_findings
from guyline.core.readiness.place_checks import place_findings
from guyline.core.readiness.remedy import apply_remedy
from guyline.core.readiness.rule_checks import rule_findings
from stories import HALL, HILL, SHED, three_sites


def by_code(findings: tuple[Finding, ...]) -> dict[FindingCode, Finding]:
    return {finding.code: finding for finding in findings}


def changed(plan: Plan, **changes: object) -> Plan:
    return plan.with_site(replace(plan.site(HILL), **changes))  # type: ignore[arg-type]


# --- place -----------------------------------------------------------------------------------


def place(plan: Plan, terrain_amsl_m: float | None) -> dict[FindingCode, Finding]:
    return by_code(place_findings(plan, plan.site(HILL), terrain_amsl_m))


def test_a_site_without_position_is_not_assessed():
    found = place(changed(three_sites(), position=None), None)
    assert found[FindingCode.POSITION].verdict is Verdict.NOT_ASSESSED


def test_no_terrain_data_at_the_site_is_not_assessed():
    assert place(three_sites(), None)[FindingCode.GROUND_HEIGHT].verdict is Verdict.NOT_ASSESSED


@pytest.mark.parametrize(
    ("entered", "verdict"), [(115.0, Verdict.GO), (115.1, Verdict.CONDITIONS)]
)
def test_an_entered_height_may_differ_by_15_m_from_the_terrain(entered, verdict):
    found = place(changed(three_sites(), ground_amsl_m=entered), 100.0)
    assert found[FindingCode.GROUND_HEIGHT].verdict is verdict


@pytest.mark.parametrize(
    ("uncertainty_m", "verdict"),
    [(50.0, Verdict.GO), (51.0, Verdict.CONDITIONS), (None, Verdict.CONDITIONS)],
)
def test_a_position_of_large_or_unknown_uncertainty_is_a_condition(uncertainty_m, verdict):
    position = Position(lat_deg=-45.0, lon_deg=-30.0, uncertainty_m=uncertainty_m)
    found = place(changed(three_sites(), position=position), 100.0)
    assert found[FindingCode.POSITION_UNCERTAINTY].verdict is verdict


# --- kit -------------------------------------------------------------------------------------


def kit(plan: Plan) -> dict[FindingCode, Finding]:
    return by_code(kit_findings(plan, plan.site(HILL)))


def test_an_empty_checklist_is_not_assessed():
    found = kit(changed(three_sites(), checklist=()))
    assert found[FindingCode.KIT_LIST].verdict is Verdict.NOT_ASSESSED


def test_a_missing_critical_item_is_no_go_and_a_missing_other_item_a_condition():
    plan = three_sites()
    needed = tuple(replace(i, state=ItemState.NEEDED) for i in plan.site(HILL).checklist)
    found = kit(changed(plan, checklist=needed))
    assert found[FindingCode.CRITICAL_KIT].verdict is Verdict.NO_GO
    assert found[FindingCode.CRITICAL_KIT].fact("lacking") == "1 x Radio"
    assert found[FindingCode.OTHER_KIT].verdict is Verdict.CONDITIONS
    assert found[FindingCode.OTHER_KIT].value == 0.0


def test_two_radios_of_one_identifier_are_no_go_whatever_the_case():
    plan = three_sites()
    twin = replace(plan.site(HILL).radio, identifier="hall-01 ")
    found = kit(changed(plan, radio=twin))
    assert found[FindingCode.RADIO_IDENTIFIER].verdict is Verdict.NO_GO
    assert found[FindingCode.RADIO_IDENTIFIER].fact("twins") == HALL


def test_an_identifier_that_nobody_has_read_is_a_condition():
    plan = three_sites()
    found = kit(changed(plan, radio=replace(plan.site(HILL).radio, identifier="")))
    assert found[FindingCode.RADIO_IDENTIFIER].verdict is Verdict.CONDITIONS


# --- permission ------------------------------------------------------------------------------


def permission(plan: Plan, **changes: object) -> dict[FindingCode, Finding]:
    site = plan.site(HILL)
    asked = replace(site, permission=replace(site.permission, **changes))  # type: ignore[arg-type]
    return by_code(permission_findings(plan, asked))


@pytest.mark.parametrize(
    ("granted", "written", "verdict"),
    [
        (Fact.YES, Fact.YES, Verdict.GO),
        (Fact.YES, Fact.NO, Verdict.CONDITIONS),
        (Fact.YES, Fact.UNKNOWN, Verdict.CONDITIONS),
        (Fact.UNKNOWN, Fact.YES, Verdict.NOT_ASSESSED),
        (Fact.UNKNOWN, Fact.UNKNOWN, Verdict.NOT_ASSESSED),
        (Fact.NO, Fact.YES, Verdict.NO_GO),
        (Fact.NO, Fact.NO, Verdict.NO_GO),
    ],
)
def test_permission_needs_a_yes_in_writing(granted, written, verdict):
    found = permission(three_sites(), is_granted=granted, is_written=written)
    assert found[FindingCode.PERMISSION].verdict is verdict


@pytest.mark.parametrize(
    ("expires", "verdict"),
    [
        (date(2031, 6, 15), Verdict.GO),  # last of the 14 mission days from 1 June
        (date(2031, 6, 14), Verdict.CONDITIONS),
        (date(2031, 5, 31), Verdict.NO_GO),
        (None, Verdict.CONDITIONS),
    ],
)
def test_permission_must_last_to_the_end_of_the_mission(expires, verdict):
    found = permission(three_sites(), expires_on=expires)
    assert found[FindingCode.PERMISSION_EXPIRY].verdict is verdict


# --- rules -----------------------------------------------------------------------------------


def rules(plan: Plan) -> dict[FindingCode, Finding]:
    return by_code(rule_findings(plan, plan.site(HILL)))


def test_without_a_rule_nothing_is_called_within_the_limit():
    found = rules(replace(three_sites(), radio_rule=None))
    assert found[FindingCode.RADIATED_POWER].verdict is Verdict.NOT_ASSESSED


@pytest.mark.parametrize(
    ("kind", "value_dbm"),
    # 14 dBm + 2.15 dBi - 0.1 dB for one mated pair = 16.05 dBm EIRP; ERP is 2.15 dB less
    [("EIRP", 16.05), ("ERP", 13.9), ("conducted", 14.0)],
)
def test_radiated_power_is_held_against_the_kind_of_power_the_rule_means(kind, value_dbm):
    plan = three_sites()
    plan = replace(plan, radio_rule=replace(plan.radio_rule, limit_kind=kind, limit_dbm=14.0))
    found = rules(plan)[FindingCode.RADIATED_POWER]
    assert found.value == pytest.approx(value_dbm, abs=1e-9)
    assert found.verdict is (Verdict.NO_GO if value_dbm > 14.0 else Verdict.GO)


def test_the_remedy_for_too_much_power_keeps_the_limit_when_done():
    plan = three_sites()
    plan = replace(plan, radio_rule=replace(plan.radio_rule, limit_kind="EIRP", limit_dbm=14.0))
    remedy = rules(plan)[FindingCode.RADIATED_POWER].remedy
    assert remedy is not None
    mended = rules(apply_remedy(plan, remedy))[FindingCode.RADIATED_POWER]
    assert mended.verdict is Verdict.GO


def test_duty_cycle_is_the_packets_of_the_busiest_hour_times_time_on_air():
    plan = three_sites()
    air = time_on_air_s(40, 10, 125e3, coding_rate=5, preamble_symbols=8)
    found = rules(plan)[FindingCode.DUTY_CYCLE]
    # change detector: of 20 packets an hour on the mean the busiest hour of a day has 40
    assert found.value == pytest.approx(100.0 * 40.0 * air / 3600.0, rel=1e-12)
    assert found.limit == pytest.approx(10.0)
    assert found.verdict is Verdict.GO


def test_traffic_above_the_duty_limit_is_no_go_and_unknown_traffic_not_assessed():
    busy = rules(changed(three_sites(), packets_per_hour=2000.0))[FindingCode.DUTY_CYCLE]
    assert busy.verdict is Verdict.NO_GO
    assert busy.remedy is not None
    most = float(busy.remedy.what.split("at most ")[1].split()[0])
    kept = rules(changed(three_sites(), packets_per_hour=most))[FindingCode.DUTY_CYCLE]
    assert kept.verdict is Verdict.GO
    unknown = rules(changed(three_sites(), packets_per_hour=None))[FindingCode.DUTY_CYCLE]
    assert unknown.verdict is Verdict.NOT_ASSESSED
    assert unknown.value is None


def test_a_remedy_that_people_must_do_is_no_edit():
    found = permission(three_sites(), is_granted=Fact.UNKNOWN)[FindingCode.PERMISSION]
    assert found.remedy is not None
    assert found.remedy.action is RemedyAction.OBTAIN
    with pytest.raises(ValueError, match="no edit"):
        apply_remedy(three_sites(), found.remedy)


def test_shed_is_left_alone_by_changes_at_the_hill():
    plan = three_sites()
    assert changed(plan, antenna_agl_m=3.0).site(SHED) is plan.site(SHED)


@pytest.mark.parametrize(
    ("listens", "verdict"),
    [
        (Fact.YES, Verdict.GO),
        (Fact.NO, Verdict.NO_GO),
        (Fact.UNKNOWN, Verdict.NOT_ASSESSED),
    ],
)
def test_where_the_rule_asks_for_listening_the_radio_must_do_it(listens, verdict):
    plan = three_sites()
    plan = changed(plan, radio=replace(plan.site(HILL).radio, listens=listens))
    assert FindingCode.LISTENING not in rules(plan)
    asking = replace(plan, radio_rule=replace(plan.radio_rule, must_listen=Fact.YES))
    assert rules(asking)[FindingCode.LISTENING].verdict is verdict
