"""Hour by hour through many synthetic years: will the battery hold?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import Battery, Fact
from guyline.core.power.battery import (
    CHEMISTRIES,
    capacity_factor,
    charge_above_floor,
    health_fraction,
    usable_depth,
)
from guyline.core.power.climate import Temperature
from guyline.core.power.daily_clearness import autoregressive
from guyline.core.power.simulation_loop import simulate_loop
from guyline.core.power.voltage import reconnect_rise
from guyline.core.units import Numbers

LOWEST_C, HIGHEST_C = -70, 70
# Share of the usable energy at which a disconnected load comes back where nobody entered its
# voltage: common practice, no source.
RECONNECT_SHARE = 0.25
NEVER = 2.0  # a share that is never reached: somebody must press the button
TRICKLE_C_RATE = 0.1  # of lithium between 0 and 5 °C: common practice, no source
FULL_CHARGE_FROM_C = 5.0  # best from 5 to 45 °C: a charger maker's support note
SHELTER_DAY_K = 5.0  # a shaded, insulated box warms by this in daylight: common practice
TEMPERATURE_LAG = 0.7  # of daily means from one day to the next: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supply:
    """What feeds the battery.

    Attributes
    ----------
    panel_w : array (12, K, 24)
        Power at the charger's output by month, clearness and hour of solar time. [W]
    clearness_low, clearness_step : float
        Of the evenly spaced K values of clearness.
    other_w : array (24,) or (D, 24)
        Power from another source in each hour of every day, or of each. [W]
    """

    panel_w: Numbers
    clearness_low: float
    clearness_step: float
    other_w: Numbers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weather:
    """Days that may come, for many runs.

    Attributes
    ----------
    month_of_day : array (D,)
        1 to 12.
    clearness : array (R, D)
        Daily clearness.
    battery_c : array (R, D)
        Mean temperature of the battery on each day. [°C]
    of_hour_k : array (24,)
        Departure of each hour from the day's mean. [K]
    """

    month_of_day: NDArray[np.int64]
    clearness: Numbers
    battery_c: Numbers
    of_hour_k: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """The battery as the simulation counts it; shares are of the usable energy.

    Attributes
    ----------
    usable_25c_wh
        From full to the disconnect at 25 °C. [Wh]
    factor
        Usable energy over that at 25 °C for each degree from LOWEST_C to HIGHEST_C.
    charge_w
        Greatest charging power at each of those temperatures. [W]
    self_discharge_per_hour
        Share that is lost in an hour.
    """

    usable_25c_wh: float
    factor: tuple[float, ...]
    charge_w: tuple[float, ...]
    charge_efficiency: float
    self_discharge_per_hour: float
    start_share: float
    reconnect_share: float = RECONNECT_SHARE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What became of a load in every run.

    Attributes
    ----------
    unmet_wh : array (R, D)
        Demand that was not met on each day. [Wh]
    demand_wh_per_day : float
        [Wh/day]
    first_outage_h : array (R,)
        Hours from the start to the first outage, infinite where none came. [h]
    end_share : array (R,)
        Share of the usable energy that was left at the end.
    """

    unmet_wh: Numbers
    demand_wh_per_day: float
    first_outage_h: Numbers
    end_share: Numbers

    @property
    def survival_probability(self) -> float:
        """Share of the runs without an outage."""
        return float(np.isinf(self.first_outage_h).mean())

    @property
    def survival_sd(self) -> float:
        r"""Standard deviation of that share, :math:`\sqrt{p (1 - p) / R}`."""
        p = self.survival_probability
        return float(np.sqrt(p * (1.0 - p) / len(self.first_outage_h)))

    @property
    def loss_of_load_probability(self) -> float:
        """Share of the demand that was not met."""
        demand = self.demand_wh_per_day * self.unmet_wh.size
        return min(1.0, float(self.unmet_wh.sum() / demand)) if demand > 0.0 else 0.0

    @property
    def is_alive(self) -> NDArray[np.bool_]:
        """Whether a run was on the air throughout each day, shape (R, D)."""
        alive: NDArray[np.bool_] = self.unmet_wh <= 0.0
        return alive

    def first_outage_chance_h(self, chance: float) -> float:
        """Return the hour by which that share of the runs had an outage, else infinity."""
        ordered = np.sort(self.first_outage_h)
        place = int(np.ceil(chance * len(ordered))) - 1
        return float(ordered[max(place, 0)])


def store_of(battery: Battery) -> Store | None:
    """Return the battery as the simulation counts it, None where size or charge is unknown.

    A power bank that nobody tried is taken not to come back by itself after it was empty.
    """
    if battery.capacity_wh is None or battery.charge_fraction is None:
        return None
    data = CHEMISTRIES[battery.chemistry]
    degrees = range(LOWEST_C, HIGHEST_C + 1)
    label_wh = battery.capacity_wh * health_fraction(battery)
    return Store(
        usable_25c_wh=label_wh * usable_depth(battery),
        factor=tuple(capacity_factor(battery.chemistry, float(c)) for c in degrees),
        charge_w=tuple(_charge_w(battery, label_wh, float(c)) for c in degrees),
        charge_efficiency=data.charge_efficiency,
        self_discharge_per_hour=data.self_discharge_per_month / (30.0 * 24.0),
        start_share=charge_above_floor(battery, battery.charge_fraction),
        reconnect_share=_reconnect_share(battery),
    )


def _reconnect_share(battery: Battery) -> float:
    """Share of the usable energy at which a load that was cut off comes back."""
    if battery.is_power_bank and battery.is_tested is not Fact.YES:
        return NEVER
    rise, depth = reconnect_rise(battery), usable_depth(battery)
    if rise is None or depth <= 0.0:
        return RECONNECT_SHARE
    return min(1.0, rise / depth)


def _charge_w(battery: Battery, label_wh: float, battery_c: float) -> float:
    data = CHEMISTRIES[battery.chemistry]
    if data.charge_from_c is None or data.charge_to_c is None:
        return 0.0
    if not data.charge_from_c < battery_c <= data.charge_to_c:
        return 0.0
    is_lithium = data.charge_from_c == 0.0
    rate = TRICKLE_C_RATE if is_lithium and battery_c < FULL_CHARGE_FROM_C else data.charge_c_rate
    return label_wh * rate


def draw_temperature(
    temperature: Temperature, month_of_day: NDArray[np.int64], runs: int, *, seed: int
) -> Numbers:
    """Draw daily mean temperatures, shape (runs, days), in °C."""
    departure = _temperature_noise(runs, len(month_of_day), seed) * temperature.day_sd_k
    drawn: Numbers = temperature.month_c[month_of_day - 1][None, :] + departure
    return drawn


@lru_cache(maxsize=8)
def _temperature_noise(runs: int, days: int, seed: int) -> Numbers:
    departure = autoregressive(np.random.default_rng(seed), runs, days, TEMPERATURE_LAG)
    departure.flags.writeable = False
    return departure


def simulate(
    supply: Supply,
    weather: Weather,
    store: Store,
    load_w: Numbers,
    *,
    idle_w: float = 0.0,
    loop: Callable[..., None] | None = None,
) -> Outcome:
    """Follow the battery hour by hour through every run of the weather.

    In each hour the sources carry the load first; what is over charges the battery as far as
    its temperature and size allow, what lacks is drawn from it. When it is empty the load is
    cut off until it has recovered to the reconnect share.

    Parameters
    ----------
    load_w : array (24,)
        Load in each hour of solar time at the battery's terminals. [W]
    idle_w : float
        What is drawn while the load is cut off. [W]
    loop : callable or None
        The loop to run; None takes the compiled one where numba is at hand.

    Notes
    -----
    The state is the share of the usable energy. Cold makes each share smaller on the way out
    and not on the way in, so a battery charged in the warmth and emptied in the cold loses the
    difference: the cautious side.
    """
    runs, days = weather.clearness.shape
    unmet = np.zeros((runs, days))
    first = np.full(runs, inf)
    end = np.zeros(runs)
    (loop or compiled_loop())(
        np.ascontiguousarray(supply.panel_w),
        supply.clearness_low,
        supply.clearness_step,
        np.ascontiguousarray(np.broadcast_to(supply.other_w, (days, 24))),
        weather.month_of_day,
        weather.clearness,
        weather.battery_c,
        weather.of_hour_k,
        np.asarray(load_w, dtype=float),
        idle_w,
        store.usable_25c_wh,
        np.asarray(store.factor),
        np.asarray(store.charge_w),
        float(LOWEST_C),
        SHELTER_DAY_K,
        store.charge_efficiency,
        store.self_discharge_per_hour,
        store.start_share,
        store.reconnect_share,
        unmet,
        first,
        end,
    )
    return Outcome(
        unmet_wh=unmet,
        demand_wh_per_day=float(np.sum(load_w)),
        first_outage_h=first,
        end_share=end,
    )


@cache
def compiled_loop() -> Callable[..., None]:
    """Return the loop compiled by numba, or as it is where numba cannot be had.

    Imported here and not above, because the window must not wait for the compiler.
    """
    try:
        from numba import njit
    except ImportError:
        return simulate_loop
    compiled: Callable[..., None]
    try:
        compiled = njit(nogil=True, cache=True)(simulate_loop)
    except RuntimeError:  # there is no folder to keep the compiled code in
        compiled = njit(nogil=True)(simulate_loop)
    return compiled


def is_compiled() -> bool:
    return compiled_loop() is not simulate_loop
