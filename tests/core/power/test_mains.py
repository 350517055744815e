"""Mains with a battery behind it: sun while it is away, cuts by turns, and a late return."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import inf

import numpy as np
import pytest

import stories
from guyline.core.plan import Incident, Panel, Plan, PowerSource, PowerSystem, Site, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.mains import mains_by_hour_w
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.power_checks import power_findings
from guyline.services.site_power import SitePower
from guyline.services.wording.power import SENTENCES

POWER = SitePower()
PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))


def backed(capacity_wh: float, panel_w: float | None = None, **changes: object) -> PowerSystem:
    power = stories.solar()
    assert power.battery is not None
    assert power.panel is not None
    panel = None if panel_w is None else replace(power.panel, stc_w=panel_w)
    power = replace(
        power,
        source=PowerSource.MAINS_WITH_BACKUP,
        battery=replace(power.battery, capacity_wh=capacity_wh),
        panel=panel,
    )
    return replace(power, **changes)


def site_of(power: PowerSystem) -> Site:
    return stories.complete_site(SiteId("HALL"), -44.0, 170.0, power=power)


def known(power: PowerSystem, plan: Plan = PLAN) -> PowerAssessment:
    return POWER.assess(plan, site_of(power), 0.0)


def backup_finding(power: PowerSystem) -> Finding:
    found = power_findings(PLAN, site_of(power), known(power))
    (finding,) = (f for f in found if f.code in (FindingCode.BACKUP, FindingCode.POWER_SOURCE))
    assert SENTENCES[finding.code](finding).endswith(".")
    return finding


@pytest.mark.parametrize("hours", [0.0, 0.5, 1.0, 6.0, 7.3, 23.5, 24.0])
def test_mains_by_turns_gives_its_hours_a_day(hours):  # law
    assert mains_by_hour_w(60.0, hours).sum() == pytest.approx(60.0 * hours)
    assert mains_by_hour_w(60.0, hours).max() <= 60.0


def test_the_sun_counts_while_mains_is_away():
    dark, sunny = known(backed(20.0)), known(backed(20.0, 60.0))
    assert dark.survival_probability == 0.0
    assert dark.lacks_power is True
    assert sunny.survival_probability > 0.95
    assert sunny.lacks_power is False
    assert sunny.backup_hours > 2.0 * dark.backup_hours
    assert sunny.yield_wh_per_day > 0.0


def test_a_larger_panel_is_never_worse():  # law, exact: the same weather is drawn for all
    chances = [known(backed(20.0, w)).survival_probability for w in (0.5, 1, 2, 5, 10, 40)]
    assert chances == sorted(chances)
    assert chances[0] < chances[-1]
    dark = replace(backed(20.0, 5.0).panel, stc_w=0.0)
    assert known(backed(20.0, panel=dark)).survival_probability == 0.0


def test_a_panel_of_which_too_little_is_known_leaves_unknown_only_what_depends_on_it():
    lost = Plan(incident=Incident(mission_days=14))
    assert known(backed(4000.0, 60.0), lost).lacks_power is False
    weak = known(backed(20.0, 60.0), lost)
    assert weak.lacks_power is None
    assert weak.survival_probability is None
    assert "start of the mission" in weak.missing


def test_a_battery_that_mains_fills_between_the_cuts_lasts_the_mission():
    by_turns = known(backed(20.0, mains_hours_per_day=8.0, mains_charger_w=30.0))
    assert by_turns.survival_probability == 1.0
    assert by_turns.lacks_power is False
    assert by_turns.hours_to_outage == inf
    assert by_turns.loss_of_load_probability == 0.0
    assert known(backed(20.0)).lacks_power is True


def test_a_charger_too_weak_for_the_day_empties_the_battery():
    # Rederived: the load is 24 h of it; 2 h a day of 0.5 W give at most 1 Wh.
    weak = known(backed(8.0, mains_hours_per_day=2.0, mains_charger_w=0.5))
    assert weak.load_wh_per_day > 1.0
    assert weak.survival_probability == 0.0
    assert weak.lacks_power is True
    assert 0.0 < weak.hours_to_outage < 14 * 24


def test_more_hours_of_mains_are_never_worse():  # law
    chances, lost = [], []
    for hours in (0.0, 2.0, 4.0, 8.0, 12.0, 24.0):
        answer = known(backed(12.0, mains_hours_per_day=hours, mains_charger_w=6.0))
        chances.append(answer.survival_probability)
        lost.append(answer.loss_of_load_probability)
    assert chances == sorted(chances)
    assert lost == sorted(lost, reverse=True)
    assert chances[0] == 0.0
    assert chances[-1] == 1.0


def test_mains_by_turns_without_a_battery_is_off_in_every_cut():
    power = replace(backed(20.0), source=PowerSource.MAINS, mains_hours_per_day=6.0)
    answer = known(power)
    assert answer.lacks_power is True
    assert answer.loss_of_load_probability == pytest.approx(18.0 / 24.0)
    assert backup_finding(power).verdict is Verdict.NO_GO


def test_cuts_by_turns_ask_for_the_power_of_the_charger():
    answer = known(backed(20.0, mains_hours_per_day=8.0))
    assert answer.lacks_power is None
    assert "power of the mains charger" in answer.missing


def test_cuts_by_turns_are_answered_without_a_position():
    power = backed(20.0, mains_hours_per_day=8.0, mains_charger_w=30.0)
    site = replace(site_of(power), position=None)
    plan = Plan(incident=Incident(mission_days=14))
    assert POWER.assess(plan, site, None).lacks_power is False


def test_a_late_return_is_told_in_hours():
    answer = known(backed(200.0, backup_hours_needed=72.0))
    assert answer.late_return_hours == pytest.approx(answer.backup_hours - 72.0)
    assert known(backed(5.0, backup_hours_needed=72.0)).late_return_hours < 0.0


def test_mains_that_comes_back_as_planned_ends_the_outage():
    answer = known(backed(5.0, 0.1, backup_hours_needed=96.0))
    assert answer.alive_by_day[3] == 0.0
    assert answer.alive_by_day[-1] == 1.0
    assert len(np.frombuffer(answer.alive_runs, dtype=np.uint8)) > 0


@pytest.mark.parametrize(
    ("power", "verdict"),
    [
        (backed(20.0, 60.0), Verdict.GO),
        (backed(20.0), Verdict.NO_GO),
        (backed(20.0, mains_hours_per_day=8.0, mains_charger_w=30.0), Verdict.GO),
        (backed(8.0, mains_hours_per_day=2.0, mains_charger_w=0.5), Verdict.NO_GO),
        (backed(20.0, battery_swap_days=1.0), Verdict.CONDITIONS),
    ],
)
def test_the_finding_follows_the_simulation(power, verdict):
    assert backup_finding(power).verdict is verdict


def test_a_direct_panel_without_rating_is_asked_for():
    answer = known(backed(20.0, panel=Panel(controller_quiescent_w=0.0)))
    assert "rated power of the panel" in answer.missing
