"""Power of sites from whole plans."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import date
from math import inf

import pytest

import stories
from guyline.core.plan import Fact, Generator, Incident, Plan, PowerSource, PowerSystem, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.errors import JobCancelled
from guyline.services import site_power
from guyline.services.job import Job
from guyline.services.site_power import SitePower
from guyline.services.site_supply import mission_months

PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
HILL = SiteId("HILL")


def assess(power: PowerSystem, plan: Plan = PLAN, **changes: object) -> PowerAssessment:
    site = stories.complete_site(HILL, -44.0, 170.0, power=power, **changes)
    return SitePower().assess(plan, site, 100.0)


def solar_with(**changes: object) -> PowerSystem:
    power = stories.solar()
    assert power.panel is not None
    assert power.battery is not None
    panel = {k: v for k, v in changes.items() if k in ("stc_w", "tilt_deg", "azimuth_deg")}
    battery = {k: v for k, v in changes.items() if k in ("capacity_wh", "charge_fraction")}
    rest = {k: v for k, v in changes.items() if k not in panel and k not in battery}
    return replace(
        power,
        panel=replace(power.panel, **panel),
        battery=replace(power.battery, **battery),
        **rest,
    )


def test_a_good_solar_site_is_known_and_lacks_nothing():
    known = assess(stories.solar())
    assert known.missing == ()
    assert known.lacks_power is False
    assert known.worst_month == 6
    assert known.balance_wh_per_day > 0.0
    assert known.shortfall_wh_per_day == 0.0
    assert known.hours_to_outage == inf


def test_a_panel_nobody_aimed_gets_the_hemispheres_direction():
    known = assess(solar_with(tilt_deg=None, azimuth_deg=None))
    assert known.panel_azimuth_deg == 0.0
    assert known.panel_tilt_deg == 59.0


def test_trees_before_the_panel_take_the_beam_and_leave_the_sky():
    free = assess(solar_with(stc_w=3.0))
    half = assess(shaded(3.0))
    none = assess(shaded(0.0))
    assert 0.0 < none.yield_wh_per_day < half.yield_wh_per_day < free.yield_wh_per_day
    middle = (free.yield_wh_per_day + none.yield_wh_per_day) / 2.0
    assert half.yield_wh_per_day == pytest.approx(middle, rel=0.02)


def shaded(sunny_hours: float) -> PowerSystem:
    power = solar_with(stc_w=3.0)
    assert power.panel is not None
    return replace(power, panel=replace(power.panel, sunny_hours=sunny_hours))


def test_a_small_panel_and_battery_lack_power_by_a_number():
    known = assess(solar_with(stc_w=1.0, capacity_wh=20.0))
    assert known.lacks_power is True
    assert known.shortfall_wh_per_day == pytest.approx(
        known.load_wh_per_day - known.yield_wh_per_day
    )
    assert 0.0 < known.hours_to_outage < 14 * 24


@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("stc_w", "rated power of the panel"),
        ("capacity_wh", "battery capacity"),
        ("charge_fraction", "state of charge at installation"),
        ("converter_efficiency", "converter efficiency"),
    ],
)
def test_one_missing_value_of_a_solar_site_leaves_the_answer_open(field, name):
    known = assess(solar_with(**{field: None}))
    assert name in known.missing
    assert known.lacks_power is None


def test_a_site_without_mission_length_is_not_judged():
    known = assess(stories.solar(), plan=Plan(incident=Incident(start_on=date(2031, 6, 1))))
    assert "mission length" in known.missing
    assert known.lacks_power is None


def test_nothing_is_known_of_a_site_whose_source_nobody_entered():
    known = assess(PowerSystem())
    assert known.missing == ("power source",)
    assert known.lacks_power is None


def test_backup_hours_are_the_usable_energy_over_the_load():
    known = assess(stories.mains())
    assert known.backup_hours == pytest.approx(
        24.0 * known.usable_battery_wh / known.load_wh_per_day
    )
    assert known.lacks_power is False


def test_backup_that_ends_before_mains_returns_lacks_power():
    power = stories.mains()
    power = replace(power, battery=replace(power.battery, capacity_wh=5.0))
    known = assess(power)
    assert known.lacks_power is True
    assert known.hours_to_outage == pytest.approx(known.backup_hours)
    assert known.alive_by_day[0] == 1.0
    assert known.alive_by_day[2] == 0.0  # mains is back after 72 h, as the plan has it
    assert known.alive_by_day[3:] == (1.0,) * 11


def test_a_battery_alone_lives_as_many_days_as_it_carries():
    power = replace(stories.mains(), source=PowerSource.BATTERY)
    known = assess(replace(power, battery=replace(power.battery, capacity_wh=20.0)))
    days = known.days_without_sun
    assert 7.0 < days < 14.0
    assert sum(known.alive_by_day) == int(days)
    assert known.shortfall_wh_per_day == pytest.approx(
        known.load_wh_per_day * (14.0 - days) / 14.0
    )
    assert known.lacks_power is True


def test_promised_swaps_carry_a_battery_through_the_mission():
    power = replace(stories.mains(), source=PowerSource.BATTERY, battery_swap_days=5.0)
    known = assess(replace(power, battery=replace(power.battery, capacity_wh=20.0)))
    assert known.lacks_power is False
    assert known.hours_to_outage == inf
    assert known.alive_by_day == (1.0,) * 14


def test_a_generator_nobody_described_is_unknown_but_its_battery_is_not():
    known = assess(replace(stories.mains(), source=PowerSource.GENERATOR))
    assert known.lacks_power is None
    assert known.backup_hours > 0.0
    assert known.missing == ("generator",)


def engine(**changes: object) -> PowerSystem:
    generator = Generator(rated_w=900.0, fuel_l=20.0, charger_w=100.0)
    return replace(
        stories.mains(),
        source=PowerSource.GENERATOR,
        generator=replace(generator, **changes),
    )


def test_fuel_lasts_its_litres_over_hours_of_running():
    # Rederived by hand: load / (100 W x 0.97) hours at 0.126 + 0.59 x 100 / 850 = 0.195 L/h.
    known = assess(engine())
    hours = known.load_wh_per_day / 97.0
    assert known.generator_hours_per_day == pytest.approx(hours)
    assert known.fuel_l_per_day == pytest.approx(hours * (0.126 + 0.59e-3 * 100.0 / 0.85))
    assert known.fuel_days == pytest.approx(16.0 / known.fuel_l_per_day)
    assert known.lacks_power is False


def test_little_fuel_lacks_power_and_refuelling_mends_it():
    known = assess(engine(fuel_l=0.01))
    assert known.lacks_power is True
    assert known.fuel_days < 14.0
    visited = assess(replace(engine(fuel_l=0.05), battery_swap_days=5.0))
    assert visited.lacks_power is False


def test_a_weak_charger_lacks_power_whatever_the_fuel():
    known = assess(engine(charger_w=0.05, fuel_l=1000.0))
    assert known.generator_hours_per_day > 24.0
    assert known.lacks_power is True


def test_a_generator_without_battery_runs_all_day():
    known = assess(replace(engine(), battery=None))
    assert known.generator_hours_per_day == 24.0
    assert known.fuel_l_per_day == pytest.approx(
        24.0 * (0.126 + 0.59e-3 * known.load_wh_per_day / 24.0 / 0.85)
    )


def test_a_panel_saves_fuel():
    sunny = replace(engine(), panel=replace(stories.solar().panel, stc_w=2.0), clearness=0.4)
    with_sun = assess(sunny)
    without = assess(replace(sunny, panel=replace(sunny.panel, stc_w=0.001)))
    assert with_sun.fuel_days > without.fuel_days


@pytest.mark.parametrize("field", ["rated_w", "fuel_l", "charger_w"])
def test_a_generator_of_unknown_size_or_fuel_is_not_judged(field):
    known = assess(engine(**{field: None}))
    assert known.lacks_power is None
    assert len(known.missing) == 1


def test_mains_alone_is_fed_while_mains_lasts_and_carries_nothing():
    known = assess(PowerSystem(source=PowerSource.MAINS))
    assert known.backup_hours == 0.0
    assert known.lacks_power is False
    assert known.alive_by_day == ()


def test_moving_an_antenna_asks_nothing_again(monkeypatch):
    computed = []
    real = site_power.assess_power
    monkeypatch.setattr(
        site_power, "assess_power", lambda *given: computed.append(1) or real(*given)
    )
    power = SitePower()
    site = stories.complete_site(HILL, -44.0, 170.0, power=stories.mains())
    first = power.assess(PLAN, site, 100.0)
    assert power.assess(PLAN, replace(site, antenna_agl_m=19.0, notes="new"), 100.0) is first
    assert len(computed) == 1
    assert power.assess(PLAN, replace(site, packets_per_hour=200.0), 100.0) is not first


def test_two_threads_get_the_same_answer():
    power, answers = SitePower(), []
    site = stories.complete_site(HILL, -43.0, 171.0, power=stories.solar())
    threads = [
        threading.Thread(target=lambda: answers.append(power.assess(PLAN, site, 100.0)))
        for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 4
    assert all(answer == answers[0] for answer in answers)


def test_a_cancelled_job_ends_the_work():
    job = Job()
    job.cancel()
    site = stories.complete_site(HILL, -44.0, 170.0, power=stories.solar())
    with pytest.raises(JobCancelled):
        SitePower().assess(PLAN, site, 100.0, job=job)


@pytest.mark.parametrize(
    ("start", "days", "months"),
    [
        (date(2031, 6, 1), 14, (6,)),
        (date(2031, 6, 20), 14, (6, 7)),
        (date(2031, 12, 25), 60, (12, 1, 2)),
        (None, 14, tuple(range(1, 13))),
        (date(2031, 1, 1), 400, tuple(range(1, 13))),
    ],
)
def test_months_that_a_mission_touches(start, days, months):
    assert mission_months(Incident(start_on=start, mission_days=days)) == months


def test_a_power_bank_that_may_switch_off_leaves_the_answer_open():
    power = replace(stories.mains(), source=PowerSource.BATTERY)
    bank = replace(power.battery, is_power_bank=True, is_tested=Fact.NO)
    known = assess(replace(power, battery=bank))
    assert known.lacks_power is None
    assert known.missing == ("whether the power bank stays on at this small load",)
    tried = replace(bank, is_tested=Fact.YES)
    assert assess(replace(power, battery=tried)).lacks_power is False
