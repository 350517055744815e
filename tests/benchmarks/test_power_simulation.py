"""The compiled simulation against the plain loop, in one run."""

from __future__ import annotations

from datetime import date
from time import perf_counter

import numpy as np
import pytest

import stories
from guyline.core.plan import Incident, Plan, SiteId
from guyline.core.power.simulation import (
    Supply,
    Weather,
    compiled_loop,
    is_compiled,
    simulate,
    store_of,
)
from guyline.core.power.simulation_loop import simulate_loop
from guyline.services.site_power import SitePower

pytestmark = pytest.mark.benchmark


def case(runs: int) -> tuple[Supply, Weather]:
    random = np.random.default_rng(1)
    sun = np.maximum(0.0, np.sin((np.arange(24) - 6) / 12 * np.pi))
    supply = Supply(
        panel_w=np.linspace(0.05, 1, 41)[None, :, None]
        * 20.0
        * sun[None, None, :]
        * np.ones((12, 1, 1)),
        clearness_low=0.02,
        clearness_step=0.02,
        other_w=np.zeros(24),
    )
    weather = Weather(
        month_of_day=np.repeat(np.arange(1, 13), 31)[:365].astype(np.int64),
        clearness=random.uniform(0.05, 0.8, (runs, 365)),
        battery_c=random.normal(5.0, 6.0, (runs, 365)),
        of_hour_k=np.zeros(24),
    )
    return supply, weather


@pytest.mark.skipif(not is_compiled(), reason="numba is not installed here")
def test_the_compiled_years_are_many_times_faster_than_the_plain_loop():
    store = store_of(stories.solar().battery)
    assert store is not None
    load = np.full(24, 2.0)
    supply, one = case(1)
    simulate(supply, one, store, load, loop=compiled_loop())
    start = perf_counter()
    plain = simulate(supply, one, store, load, loop=simulate_loop)
    plain_s = perf_counter() - start
    _, many = case(50)
    start = perf_counter()
    fast = simulate(supply, many, store, load, loop=compiled_loop())
    fast_s = (perf_counter() - start) / 50.0
    assert np.allclose(fast.unmet_wh[0], simulate(supply, many, store, load).unmet_wh[0])
    assert plain.unmet_wh.shape == (1, 365)
    assert plain_s / fast_s > 10.0


@pytest.mark.skipif(not is_compiled(), reason="numba is not installed here")
def test_a_second_look_at_a_site_costs_next_to_nothing():
    plan = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
    site = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=stories.solar())
    power = SitePower()
    start = perf_counter()
    power.assess(plan, site, 0.0)
    first_s = perf_counter() - start
    start = perf_counter()
    power.assess(plan, site, 0.0)
    assert first_s / (perf_counter() - start) > 10.0


@pytest.mark.skipif(not is_compiled(), reason="numba is not installed here")
def test_a_plan_of_twelve_solar_sites_costs_less_than_the_plain_loop_needs_for_one_year():
    plan = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
    sites = [
        stories.complete_site(SiteId(f"S{n}"), -44.0 - 0.02 * n, 170.0, power=stories.solar())
        for n in range(12)
    ]
    store = store_of(stories.solar().battery)
    assert store is not None
    SitePower().assess(plan, sites[0], 0.0)  # compiled, and the tables read
    supply, one = case(1)
    start = perf_counter()
    simulate(supply, one, store, np.full(24, 2.0), loop=simulate_loop)
    plain_year_s = perf_counter() - start
    power = SitePower()
    start = perf_counter()
    known = [power.assess(plan, site, 0.0) for site in sites]
    twelve_s = perf_counter() - start
    assert all(k.loss_of_load_probability is not None for k in known)
    # 12 sites x 200 years and 2000 missions of 14 days each: 3320 years
    assert plain_year_s * 3320.0 / twelve_s > 10.0
