"""The hourly simulation against exact answers, its own plain loop, and laws."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guyline.core.plan import Battery, Chemistry, Fact
from guyline.core.power.daily_clearness import (
    DailyClearness,
    draw_days,
    matrix_of,
    state_centres,
    transition_matrices,
)
from guyline.core.power.simulation import (
    HIGHEST_C,
    LOWEST_C,
    NEVER,
    RECONNECT_SHARE,
    Outcome,
    Store,
    Supply,
    Weather,
    compiled_loop,
    is_compiled,
    simulate,
    store_of,
)
from guyline.core.power.simulation_loop import simulate_loop

DEGREES = HIGHEST_C - LOWEST_C + 1
NOON = 12


def plain_store(usable_wh: float, start: float = 1.0, reconnect: float = 0.0) -> Store:
    """A battery without losses, limits or temperature."""
    return Store(
        usable_25c_wh=usable_wh,
        factor=(1.0,) * DEGREES,
        charge_w=(1e9,) * DEGREES,
        charge_efficiency=1.0,
        self_discharge_per_hour=0.0,
        start_share=start,
        reconnect_share=reconnect,
    )


def noon_supply(full_w: float) -> Supply:
    """All of a day's energy in one hour, in proportion to clearness."""
    panel = np.zeros((12, 2, 24))
    panel[:, 1, NOON] = full_w
    return Supply(panel_w=panel, clearness_low=0.0, clearness_step=1.0, other_w=np.zeros(24))


def weather_of(clearness: np.ndarray, battery_c: float = 25.0) -> Weather:
    return Weather(
        month_of_day=np.full(clearness.shape[1], 6, dtype=np.int64),
        clearness=clearness,
        battery_c=np.full(clearness.shape, battery_c),
        of_hour_k=np.zeros(24),
    )


def noon_load(wh: float) -> np.ndarray:
    load = np.zeros(24)
    load[NOON] = wh
    return load


@pytest.mark.parametrize(
    ("p", "levels", "exact"),
    [(0.60, 5, 0.019248), (0.60, 10, 0.002339), (0.55, 10, 0.012358), (0.70, 5, 0.002494)],
)
def test_a_battery_that_gains_or_loses_one_unit_a_day(p, levels, exact):
    # Exact: Bucciarelli 1979, two-event walk: q (1 - r) / (1 - r^(N+1)), r = p / q.
    ratio = p / (1.0 - p)
    assert exact == pytest.approx((1 - p) * (1 - ratio) / (1 - ratio ** (levels + 1)), rel=1e-3)
    good = (np.random.default_rng(5).random((400, 1500)) < p).astype(float)
    outcome = simulate(
        noon_supply(2.0), weather_of(good), plain_store(float(levels)), noon_load(1.0)
    )
    settled = outcome.unmet_wh[:, 100:]
    share = float((settled > 0.5).mean())
    blocks = (settled > 0.5).mean(axis=1)
    three_sigma = 3.0 * blocks.std() / np.sqrt(len(blocks))
    assert share == pytest.approx(exact, abs=three_sigma)
    assert three_sigma < 0.20 * exact


def test_equal_chances_fail_every_so_many_days():
    # Exact: p = 1/2 and N = 10: q / (N + 1) = 0.045455.
    good = (np.random.default_rng(6).random((400, 2500)) < 0.5).astype(float)
    outcome = simulate(noon_supply(2.0), weather_of(good), plain_store(10.0), noon_load(1.0))
    blocks = (outcome.unmet_wh[:, 500:] > 0.5).mean(axis=1)
    assert blocks.mean() == pytest.approx(
        0.5 / 11.0, abs=3.0 * blocks.std() / np.sqrt(len(blocks))
    )


def aguiar_days(mean: float, runs: int, days: int) -> np.ndarray:
    """Daily clearness by the transition matrices, rescaled to the long-run mean."""
    random, number = np.random.default_rng(11), matrix_of(mean)
    cumulative = np.cumsum(transition_matrices()[number], axis=1)
    centres = state_centres(number)
    width = centres[1] - centres[0]
    state = np.full(runs, 5)
    drawn = np.empty((runs, days))
    for day in range(days):
        rows, chance = cumulative[state], random.random(runs)
        state = np.minimum((chance[:, None] >= rows).sum(axis=1), 9)
        below = np.where(
            state > 0, np.take_along_axis(rows, np.maximum(state - 1, 0)[:, None], 1)[:, 0], 0.0
        )
        inside = (chance - below) / (np.take_along_axis(rows, state[:, None], 1)[:, 0] - below)
        drawn[:, day] = centres[state] + (inside - 0.5) * width
    return drawn * (mean / drawn.mean())


@pytest.mark.parametrize(
    ("mean", "production", "storage", "published"),
    [
        (0.45, 1.0, 2.0, 0.0497),
        (0.45, 1.0, 5.0, 0.0245),
        (0.45, 1.1, 3.0, 0.0115),
        (0.45, 1.3, 2.0, 0.0061),
        (0.55, 1.1, 3.0, 0.0050),
        (0.25, 1.1, 5.0, 0.0320),
    ],
)
def test_loss_of_load_over_production_and_storage(mean, production, storage, published):
    # Independent implementation: daily balance in plain numpy over 200,000 days of the same
    # matrices (seed-independent to about 5 %); ours runs by the hour.
    clearness = aguiar_days(mean, 200, 1500)
    outcome = simulate(
        noon_supply(production / mean), weather_of(clearness), plain_store(storage), noon_load(1.0)
    )
    blocks = outcome.unmet_wh[:, 100:].mean(axis=1)
    three_sigma = 3.0 * blocks.std() / np.sqrt(len(blocks))
    assert blocks.mean() == pytest.approx(published, abs=max(three_sigma, 0.10 * published))


def test_the_copula_and_the_matrices_lose_about_as_much():
    # Independent implementation: the matrices; both were within a factor of two of hourly files.
    days = DailyClearness.about(np.full(12, 0.45))
    june = np.full(1500, 6, dtype=np.int64)
    ours = draw_days(days, june, 200, seed=2, month_sd=0.0)
    lost = [
        simulate(
            noon_supply(1.1 / 0.45), weather_of(clearness), plain_store(3.0), noon_load(1.0)
        ).loss_of_load_probability
        for clearness in (ours, aguiar_days(0.45, 200, 1500))
    ]
    assert 0.5 < lost[0] / lost[1] < 2.0


def real_case(
    seed: int = 0, runs: int = 6, days: int = 40
) -> tuple[Supply, Weather, Store, np.ndarray]:
    """Odd numbers everywhere, so that every branch of the loop is taken."""
    random = np.random.default_rng(seed)
    sun = np.maximum(0.0, np.sin((np.arange(24) - 6) / 12 * np.pi))
    panel = random.uniform(5, 40, (12, 9, 1)) * np.linspace(0.05, 1, 9)[None, :, None] * sun
    supply = Supply(
        panel_w=panel, clearness_low=0.02, clearness_step=0.1, other_w=random.uniform(0, 0.3, 24)
    )
    weather = Weather(
        month_of_day=np.sort(random.integers(4, 8, days)).astype(np.int64),
        clearness=random.uniform(0.0, 0.9, (runs, days)),
        battery_c=random.normal(1.0, 8.0, (runs, days)),
        of_hour_k=4.0 * np.cos((np.arange(24) - 15) / 12 * np.pi),
    )
    battery = Battery(
        chemistry=Chemistry.LIFEPO4,
        capacity_wh=60.0,
        health_fraction=0.9,
        charge_fraction=0.8,
        is_tested=Fact.YES,
    )
    store = store_of(battery)
    assert store is not None
    return supply, weather, store, random.uniform(1.0, 6.0, 24)


@pytest.mark.parametrize("seed", range(4))
def test_the_compiled_loop_is_the_plain_one(seed):
    supply, weather, store, load = real_case(seed)
    fast = simulate(supply, weather, store, load, idle_w=0.2, loop=compiled_loop())
    plain = simulate(supply, weather, store, load, idle_w=0.2, loop=simulate_loop)
    assert np.allclose(fast.unmet_wh, plain.unmet_wh, rtol=1e-9, atol=1e-9)
    assert np.array_equal(fast.first_outage_h, plain.first_outage_h)
    assert np.allclose(fast.end_share, plain.end_share, atol=1e-9)
    assert fast.unmet_wh.sum() > 0.0
    assert np.isfinite(fast.first_outage_h).any()


def steady(
    load_w: float, days: int, store: Store, sun_w: float = 0.0, cold: float = 25.0
) -> Outcome:
    clearness = np.ones((1, days))
    return simulate(noon_supply(sun_w), weather_of(clearness, cold), store, np.full(24, load_w))


def test_without_sun_a_battery_lasts_its_energy_over_the_load():
    outcome = steady(1.0, 10, plain_store(72.5, reconnect=NEVER))
    assert outcome.first_outage_h[0] == 72.0
    assert outcome.unmet_wh.sum() == pytest.approx(240.0 - 72.5)
    assert list(outcome.is_alive[0]) == [True] * 3 + [False] * 7


def test_a_battery_that_is_never_short_survives_with_certainty():
    outcome = steady(1.0, 30, plain_store(100.0), sun_w=30.0)
    assert outcome.survival_probability == 1.0
    assert outcome.loss_of_load_probability == 0.0
    assert outcome.first_outage_chance_h(0.2) == inf


def test_a_load_comes_back_after_the_battery_has_recovered():
    # 24 Wh a day, 20 Wh of sun at noon into a battery of 10 Wh that starts empty.
    again = steady(1.0, 20, plain_store(10.0, start=0.0, reconnect=0.25), sun_w=20.0)
    never = steady(1.0, 20, plain_store(10.0, start=0.0, reconnect=NEVER), sun_w=20.0)
    assert again.unmet_wh[0].max() < 24.0
    assert never.unmet_wh[0].min() == 24.0


def test_lithium_takes_no_charge_in_frost():
    battery = Battery(
        chemistry=Chemistry.LIFEPO4, capacity_wh=100.0, health_fraction=1.0, charge_fraction=0.6
    )
    store = store_of(battery)
    assert store is not None
    warm = steady(0.1, 5, store, sun_w=40.0, cold=10.0)
    frost = steady(0.1, 5, store, sun_w=40.0, cold=-6.0)
    assert warm.end_share[0] > store.start_share
    assert frost.end_share[0] < store.start_share


def test_a_power_bank_nobody_tried_does_not_come_back():
    bank = Battery(
        chemistry=Chemistry.NMC, capacity_wh=74.0, charge_fraction=1.0, is_power_bank=True
    )
    assert store_of(bank).reconnect_share == NEVER
    assert store_of(replace(bank, is_tested=Fact.YES)).reconnect_share == RECONNECT_SHARE


def test_primary_cells_are_never_charged():
    cells = Battery(chemistry=Chemistry.LI_FES2, capacity_wh=50.0, charge_fraction=1.0)
    assert max(store_of(cells).charge_w) == 0.0


@pytest.mark.parametrize("field", ["capacity_wh", "charge_fraction"])
def test_a_battery_of_unknown_size_or_charge_cannot_be_simulated(field):
    known = Battery(chemistry=Chemistry.AGM, capacity_wh=84.0, charge_fraction=0.9)
    assert store_of(replace(known, **{field: None})) is None


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 50), st.floats(1.0, 3.0))
def test_more_panel_never_loses_more(seed, times):
    supply, weather, store, load = real_case(seed)
    more = replace(supply, panel_w=supply.panel_w * times)
    lost = simulate(supply, weather, store, load).unmet_wh.sum()
    # a load that comes back earlier may be cut off once more, so whole runs are compared
    assert simulate(more, weather, store, load).unmet_wh.sum() <= lost + load.sum()


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 50), st.floats(1.0, 3.0))
def test_more_panel_never_brings_the_first_outage_forward(seed, times):
    supply, weather, store, load = real_case(seed)
    more = replace(supply, panel_w=supply.panel_w * times)
    before = simulate(supply, weather, store, load).first_outage_h
    assert (simulate(more, weather, store, load).first_outage_h >= before).all()


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 50), st.floats(1.0, 3.0))
def test_a_larger_battery_never_brings_the_first_outage_forward(seed, times):
    supply, weather, store, load = real_case(seed)
    larger = replace(
        store,
        usable_25c_wh=store.usable_25c_wh * times,
        charge_w=tuple(w * times for w in store.charge_w),
        self_discharge_per_hour=0.0,
    )
    same = replace(store, self_discharge_per_hour=0.0)
    before = simulate(supply, weather, same, load).first_outage_h
    assert (simulate(supply, weather, larger, load).first_outage_h >= before).all()


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 50), st.floats(1.0, 3.0))
def test_a_larger_load_never_puts_the_first_outage_off(seed, times):
    supply, weather, store, load = real_case(seed)
    before = simulate(supply, weather, store, load).first_outage_h
    assert (simulate(supply, weather, store, load * times).first_outage_h <= before).all()


def test_no_more_is_lost_than_was_asked_for():
    supply, weather, store, load = real_case(3)
    outcome = simulate(supply, weather, store, load)
    assert (outcome.unmet_wh <= load.sum() + 1e-9).all()
    assert 0.0 <= outcome.loss_of_load_probability <= 1.0


def test_the_hour_by_which_a_share_of_runs_is_out():
    outcome = Outcome(
        unmet_wh=np.zeros((5, 1)),
        demand_wh_per_day=1.0,
        first_outage_h=np.array([inf, 30.0, 10.0, inf, 20.0]),
        end_share=np.zeros(5),
    )
    assert outcome.first_outage_chance_h(0.2) == 10.0
    assert outcome.first_outage_chance_h(0.6) == 30.0
    assert outcome.first_outage_chance_h(0.8) == inf
    assert outcome.survival_probability == 0.4
    assert outcome.survival_sd == pytest.approx(np.sqrt(0.4 * 0.6 / 5))


def test_without_the_compiler_the_plain_loop_answers(monkeypatch):
    supply, weather, store, load = real_case(2)
    fast = simulate(supply, weather, store, load)
    monkeypatch.setitem(sys.modules, "numba", None)
    compiled_loop.cache_clear()
    try:
        assert compiled_loop() is simulate_loop
        assert not is_compiled()
        plain = simulate(supply, weather, store, load)
    finally:
        compiled_loop.cache_clear()
    assert np.allclose(fast.unmet_wh, plain.unmet_wh, rtol=1e-9, atol=1e-9)


def test_where_compiled_code_cannot_be_kept_it_is_compiled_each_time(monkeypatch):
    numba = pytest.importorskip("numba")
    real, asked = numba.njit, []

    def njit(**how):
        asked.append(how)
        if how.get("cache"):
            raise RuntimeError("no locator available")
        return real(**how)

    monkeypatch.setattr(numba, "njit", njit)
    compiled_loop.cache_clear()
    try:
        compiled_loop()
    finally:
        compiled_loop.cache_clear()
    assert asked == [{"nogil": True, "cache": True}, {"nogil": True}]
