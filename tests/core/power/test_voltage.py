"""The voltages somebody enters change what the battery gives."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import Battery, Chemistry, Fact, Incident, Plan, PowerSource, SiteId
from guyline.core.power.battery import CHEMISTRIES, usable_battery_wh, usable_depth
from guyline.core.power.simulation import RECONNECT_SHARE, store_of
from guyline.core.power.voltage import CELL_V, REST_V, cells_in_series, charge_at_rest, rest_range
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.core.readiness.supply_checks import supply_findings
from guyline.services.site_power import SitePower
from guyline.services.wording.power import SENTENCES

PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))


def lfp(off: float | None = None, on: float | None = None, **changes: object) -> Battery:
    return replace(
        Battery(chemistry=Chemistry.LIFEPO4, capacity_wh=100.0, nominal_v=12.8, charge_fraction=1),
        low_voltage_disconnect_v=off,
        reconnect_v=on,
        **changes,
    )


@pytest.mark.parametrize("chemistry", list(REST_V))
def test_a_fuller_battery_shows_more(chemistry):  # law
    row = REST_V[chemistry]
    assert list(row) == sorted(set(row))
    assert row[0] < CELL_V[chemistry] < row[-1]


@pytest.mark.parametrize(
    ("chemistry", "nominal_v", "cells"),
    [
        (Chemistry.LIFEPO4, 12.8, 4),
        (Chemistry.LIFEPO4, 12.0, 4),  # as many labels say
        (Chemistry.LIFEPO4, 25.6, 8),
        (Chemistry.NMC, 3.6, 1),
        (Chemistry.NMC, 11.1, 3),
        (Chemistry.AGM, 12.0, 6),
        (Chemistry.ALKALINE, 1.5, None),
    ],
)
def test_cells_are_counted_from_the_nominal_voltage(chemistry, nominal_v, cells):
    assert cells_in_series(Battery(chemistry=chemistry, nominal_v=nominal_v)) == cells


@pytest.mark.parametrize(
    ("battery", "volts", "charge"),
    [
        # From memory: usual disconnects of the trade, a tenth left for LiFePO4 at 3.0 V a cell.
        (lfp(), 12.0, 0.10),
        (Battery(chemistry=Chemistry.AGM, nominal_v=12.0), 11.5, 0.10),
        (Battery(chemistry=Chemistry.AGM, nominal_v=12.0), 12.05, 0.50),
        (Battery(chemistry=Chemistry.NMC, nominal_v=3.6), 3.3, 0.05),
    ],
)
def test_usual_disconnects_leave_what_the_trade_says(battery, volts, charge):
    assert charge_at_rest(battery, volts) == pytest.approx(charge, abs=0.01)


def test_a_higher_disconnect_never_leaves_more():  # law
    depths = [usable_depth(lfp(v / 10.0)) for v in range(90, 150)]
    assert depths == sorted(depths, reverse=True)
    assert depths[0] == CHEMISTRIES[Chemistry.LIFEPO4].usable_depth
    assert depths[-1] == 0.0


def test_an_entered_disconnect_changes_the_days_of_a_site():
    days = []
    for off in (12.0, 13.0, 13.2):
        power = stories.solar()
        power = replace(power, battery=replace(power.battery, low_voltage_disconnect_v=off))
        site = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power)
        days.append(SitePower().assess(PLAN, site, 0.0).days_without_sun)
    assert days[0] > days[1] > days[2] > 0.0
    # Rederived: 13.0 V is 3.25 V a cell, 40 % left; charged to 90 %, (0.9 - 0.4) of it is there,
    # against (0.9 - 0.2) with the planning value.
    assert days[1] / days[0] == pytest.approx(0.5 / 0.7, rel=1e-6)


def test_a_higher_reconnect_keeps_the_load_off_for_longer():
    shares = [store_of(lfp(12.0, on)).reconnect_share for on in (12.5, 13.0, 13.3, 14.2)]
    assert shares == sorted(set(shares))
    # Rederived: 13.0 V under charge is 12.8 V at rest, 20 % of the charge; 12.0 V is 10 %; 80 %
    # are planned with.
    assert shares[1] == pytest.approx(0.10 / 0.80, abs=1e-9)
    assert shares[-1] == 1.0
    assert store_of(lfp(12.0, None)).reconnect_share == RECONNECT_SHARE


def test_a_battery_without_nominal_voltage_keeps_the_planning_values():
    battery = lfp(12.0, 13.0, nominal_v=None)
    assert usable_depth(battery) == 0.80
    assert rest_range(battery) is None
    assert store_of(battery).reconnect_share == RECONNECT_SHARE


def test_a_disconnect_above_the_full_battery_leaves_nothing():
    battery = lfp(14.0, 14.3)
    assert usable_battery_wh(battery, 25.0) == 0.0
    assert store_of(battery).start_share == 0.0


@pytest.mark.parametrize(
    ("off", "on", "state", "verdict"),
    [
        (12.0, 13.0, "", Verdict.GO),
        (14.0, 14.3, "above full", Verdict.NO_GO),
        (120.0, None, "above full", Verdict.NO_GO),
        (9.0, 13.0, "below empty", Verdict.CONDITIONS),
    ],
)
def test_a_voltage_that_no_battery_shows_is_a_finding(off, on, state, verdict):
    site = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=stories.solar())
    site = replace(site, power=replace(site.power, battery=lfp(off, on, is_tested=Fact.YES)))
    (found,) = (f for f in supply_findings(site) if f.code is FindingCode.BATTERY_CUT_OFF)
    assert found.fact("state") == state
    assert found.verdict is verdict
    assert SENTENCES[found.code](found).endswith(".")


@pytest.mark.parametrize("source", [PowerSource.BATTERY, PowerSource.MAINS_WITH_BACKUP])
def test_a_site_without_a_panel_is_told_only_of_an_absurd_voltage(source):
    power = replace(stories.solar(), source=source)
    site = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power)
    codes = {f.code for f in supply_findings(site)}
    assert FindingCode.BATTERY_CUT_OFF not in codes
    site = replace(site, power=replace(power, battery=lfp(15.0, None)))
    assert FindingCode.BATTERY_CUT_OFF in {f.code for f in supply_findings(site)}
