"""Verdicts on power, and remedies that really mend."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import (
    Battery,
    Chemistry,
    Fact,
    Incident,
    Plan,
    PowerSource,
    PowerSystem,
    Site,
    SiteFunction,
    SiteId,
)
from guyline.core.readiness.finding import Finding, FindingCode, RemedyAction, Verdict
from guyline.core.readiness.power_checks import power_findings
from guyline.core.readiness.remedy import apply_remedy
from guyline.services.site_power import SitePower
from guyline.services.wording.power import SENTENCES

HILL = SiteId("HILL")
POWER = SitePower()


def plan_of(power: PowerSystem, **changes: object) -> Plan:
    site = stories.complete_site(HILL, -44.0, 170.0, power=power, **changes)
    incident = Incident(start_on=date(2031, 6, 1), mission_days=14)
    return Plan(incident=incident, sites=(site,))


def judged(plan: Plan) -> dict[FindingCode, Finding]:
    site: Site = plan.site(HILL)
    found = power_findings(plan, site, POWER.assess(plan, site, 100.0))
    by_code = {finding.code: finding for finding in found}
    assert len(by_code) == len(found)
    for finding in found:
        assert SENTENCES[finding.code](finding).endswith(".")
        assert finding.working.formula or finding.verdict is Verdict.NOT_ASSESSED
        assert finding.remedy is not None or finding.verdict is Verdict.GO
    return by_code


def with_battery(power: PowerSystem, **changes: object) -> PowerSystem:
    assert power.battery is not None
    return replace(power, battery=replace(power.battery, **changes))


def with_panel(power: PowerSystem, **changes: object) -> PowerSystem:
    assert power.panel is not None
    return replace(power, panel=replace(power.panel, **changes))


@pytest.mark.parametrize("power", [stories.mains(), stories.solar()])
def test_a_site_with_everything_is_go_throughout(power):
    assert {f.verdict for f in judged(plan_of(power)).values()} == {Verdict.GO}


def test_a_site_of_unknown_source_is_not_assessed():
    found = judged(plan_of(PowerSystem()))
    assert set(found) == {FindingCode.POWER_SOURCE}
    assert found[FindingCode.POWER_SOURCE].verdict is Verdict.NOT_ASSESSED


@pytest.mark.parametrize("field", ["converter_efficiency", "converter_quiescent_w", "battery"])
@pytest.mark.parametrize("source", [s for s in PowerSource if s is not PowerSource.MAINS])
def test_a_missing_value_is_never_go(field, source):
    power = replace(stories.solar(), source=source, **{field: None})
    verdicts = {f.verdict for f in judged(plan_of(power)).values()}
    assert Verdict.NOT_ASSESSED in verdicts


def test_a_small_panel_is_no_go_and_its_remedy_mends_the_balance():
    plan = plan_of(with_battery(with_panel(stories.solar(), stc_w=1.0), capacity_wh=40.0))
    finding = judged(plan)[FindingCode.SOLAR_BALANCE]
    assert finding.verdict is Verdict.NO_GO
    assert finding.value < finding.limit
    assert finding.remedy.action is RemedyAction.LARGER_PANEL
    mended = judged(apply_remedy(plan, finding.remedy))[FindingCode.SOLAR_BALANCE]
    assert mended.verdict is Verdict.GO


def test_a_small_battery_is_no_go_and_its_remedy_mends_the_days():
    plan = plan_of(with_battery(stories.solar(), capacity_wh=8.0))
    finding = judged(plan)[FindingCode.DAYS_WITHOUT_SUN]
    assert finding.verdict is Verdict.NO_GO
    mended = judged(apply_remedy(plan, finding.remedy))[FindingCode.DAYS_WITHOUT_SUN]
    assert mended.verdict is Verdict.GO


def test_a_relay_needs_more_days_than_an_end_point():
    power = with_battery(stories.solar(), capacity_wh=29.0)
    relay = judged(plan_of(power))[FindingCode.DAYS_WITHOUT_SUN]
    end = judged(plan_of(power, function=SiteFunction.END_POINT))[FindingCode.DAYS_WITHOUT_SUN]
    assert 3.0 < relay.value < 5.0
    assert (relay.verdict, end.verdict) == (Verdict.CONDITIONS, Verdict.GO)


def test_backup_too_short_is_no_go_until_the_battery_is_as_large_as_advised():
    plan = plan_of(with_battery(stories.mains(), capacity_wh=4.0))
    finding = judged(plan)[FindingCode.BACKUP]
    assert finding.verdict is Verdict.NO_GO
    mended = judged(apply_remedy(plan, finding.remedy))[FindingCode.BACKUP]
    assert mended.verdict is Verdict.GO


def test_a_battery_that_lasts_from_swap_to_swap_is_a_condition():
    power = with_battery(replace(stories.mains(), source=PowerSource.BATTERY), capacity_wh=20.0)
    assert judged(plan_of(power))[FindingCode.BATTERY_LIFE].verdict is Verdict.NO_GO
    swapped = judged(plan_of(replace(power, battery_swap_days=5.0)))[FindingCode.BATTERY_LIFE]
    assert swapped.verdict is Verdict.CONDITIONS
    late = judged(plan_of(replace(power, battery_swap_days=7.5)))[FindingCode.BATTERY_LIFE]
    assert late.verdict is Verdict.NO_GO


@pytest.mark.parametrize(
    ("answer", "verdict"), [(Fact.NO, Verdict.CONDITIONS), (Fact.UNKNOWN, Verdict.CONDITIONS)]
)
def test_an_untested_battery_is_a_condition(answer, verdict):
    power = with_battery(stories.mains(), is_tested=answer)
    assert judged(plan_of(power))[FindingCode.BATTERY_TESTED].verdict is verdict


@pytest.mark.parametrize(
    ("unswitched", "rcd", "verdict"),
    [
        (Fact.YES, Fact.YES, Verdict.GO),
        (Fact.NO, Fact.YES, Verdict.CONDITIONS),
        (Fact.YES, Fact.UNKNOWN, Verdict.NOT_ASSESSED),
        (Fact.NO, Fact.UNKNOWN, Verdict.NOT_ASSESSED),
    ],
)
def test_mains_is_never_assumed_good(unswitched, rcd, verdict):
    power = replace(stories.mains(), mains_is_unswitched=unswitched, mains_has_rcd=rcd)
    assert judged(plan_of(power))[FindingCode.MAINS_SOCKET].verdict is verdict


def test_mains_alone_is_a_condition_and_no_go_where_hours_are_asked_for():
    power = replace(stories.mains(), source=PowerSource.MAINS, backup_hours_needed=None)
    assert judged(plan_of(power))[FindingCode.POWER_SOURCE].verdict is Verdict.CONDITIONS
    asked = judged(plan_of(replace(power, backup_hours_needed=12.0)))
    assert asked[FindingCode.POWER_SOURCE].verdict is Verdict.NO_GO


def test_lithium_in_frost_is_a_condition_and_primary_cells_on_a_panel_are_no_go():
    frost = judged(plan_of(replace(stories.solar(), coldest_c=-4.0)))[FindingCode.COLD_CHARGING]
    assert frost.verdict is Verdict.CONDITIONS
    primary = with_battery(stories.solar(), chemistry=Chemistry.LI_FES2)
    assert judged(plan_of(primary))[FindingCode.COLD_CHARGING].verdict is Verdict.NO_GO


@pytest.mark.parametrize(
    ("host_a", "tested", "verdict"),
    [
        (0.20, Fact.NO, Verdict.GO),
        (0.09, Fact.NO, Verdict.CONDITIONS),
        (0.01, Fact.NO, Verdict.NO_GO),
        (0.01, Fact.YES, Verdict.CONDITIONS),
    ],
)
def test_a_power_bank_may_switch_off_at_small_load(host_a, tested, verdict):
    # Published measurements: banks switch off below "usually 100 mA or so" (codrey.com).
    bank = Battery(
        chemistry=Chemistry.NMC,
        capacity_wh=74.0,
        health_fraction=0.9,
        charge_fraction=1.0,
        is_power_bank=True,
        is_tested=tested,
    )
    plan = plan_of(replace(stories.mains(), source=PowerSource.BATTERY, battery=bank))
    site = plan.site(HILL)
    plan = plan.with_site(replace(site, radio=replace(site.radio, host_a=host_a)))
    assert judged(plan)[FindingCode.POWER_BANK].verdict is verdict


def test_the_sentence_on_a_shortfall_says_how_much():
    plan = plan_of(with_battery(with_panel(stories.solar(), stc_w=1.0), capacity_wh=40.0))
    finding = judged(plan)[FindingCode.SOLAR_BALANCE]
    said = SENTENCES[finding.code](finding)
    assert said == (
        f"The panel brings {finding.value:.1f} Wh/day in June; the site needs"
        f" {finding.fact('load')} Wh/day: {finding.fact('shortfall')} Wh/day are missing."
    )
