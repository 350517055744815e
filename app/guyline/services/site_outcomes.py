"""Missions and years of a site, simulated in the weather of its place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import ceil

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import Incident, Panel, PowerSource, Site
from guyline.core.power.circumstances import MainsOutcomes
from guyline.core.power.climate import Temperature, temperature_from_coldest
from guyline.core.power.daily_clearness import draw_days
from guyline.core.power.endurance import backup_hours_needed
from guyline.core.power.load import HOURS_PER_DAY, Load
from guyline.core.power.mains import mains_by_hour_w
from guyline.core.power.panel import charger_w, delivery_efficiency
from guyline.core.power.simulation import (
    Outcome,
    Store,
    Supply,
    Weather,
    draw_temperature,
    is_compiled,
    simulate,
    store_of,
)
from guyline.core.units import Numbers
from guyline.services.site_supply import Place, ambient_c, month_of_day, sun_of, temperature_of

SEED = 20_260  # any number: the same weather for all sites and for every cure
YEARS = 200
MOST_RUN_DAYS = 120_000  # missions are fewer where they are longer
MOST_RUNS, FEWEST_RUNS = 2000, 200
SLOW_SHARE = 0.1  # of the runs where there is no compiler
CONTROLLER_LINE = "quiescent draw of the controller"
LATE_DAYS = 2  # beyond its return that mains is followed in case it comes late: our choice
LONGEST_WINDOW_DAYS = 366


@dataclass(frozen=True, slots=True, eq=False)
class _Case:
    """What stays the same while mains or days change."""

    site: Site
    store: Store
    air: Temperature
    load: Load
    months: tuple[int, ...]
    panel: Panel | None
    """None where there is none or its sun is unknown."""
    place: Place | None

    def supply(self, other_w: Numbers) -> Supply:
        if self.panel is None or self.place is None or self.place.climate is None:
            return Supply(
                panel_w=np.zeros((12, 2, 24)),
                clearness_low=0.0,
                clearness_step=1.0,
                other_w=other_w,
            )
        assert self.panel.stc_w is not None
        sun = sun_of(self.place, self.site.power)
        delivered = charger_w(
            sun,
            self.panel.stc_w,
            delivery_efficiency(self.panel.controller),
            ambient_c(self.place.climate),
        )
        return Supply(
            panel_w=delivered,
            clearness_low=float(sun.clearness[0]),
            clearness_step=float(sun.clearness[1] - sun.clearness[0]),
            other_w=other_w,
        )

    def weather(self, days: NDArray[np.int64], runs: int) -> Weather:
        clearness = np.zeros((runs, len(days)))
        if self.panel is not None and self.place is not None and self.place.climate is not None:
            climate = self.place.climate
            clearness = draw_days(climate.days, days, runs, seed=SEED, climate_sd=climate.mean_sd)
        return Weather(
            month_of_day=days,
            clearness=clearness,
            battery_c=_battery_c(self.site, self.air, days, runs, self.months),
            of_hour_k=self.air.of_hour_k,
        )

    def outcome(self, days: NDArray[np.int64], runs: int, other_w: Numbers) -> Outcome:
        return simulate(
            self.supply(other_w),
            self.weather(days, runs),
            self.store,
            self.load_w,
            idle_w=self.idle_w,
        )

    @property
    def load_w(self) -> Numbers:
        return np.full(24, (self.load.total_wh_per_day or 0.0) / HOURS_PER_DAY)

    @property
    def idle_w(self) -> float:
        lines = (x.energy_wh_per_day for x in self.load.lines if x.name == CONTROLLER_LINE)
        return sum(lines) / HOURS_PER_DAY


def mission_outcome(
    site: Site, place: Place, load: Load, incident: Incident, months: tuple[int, ...]
) -> Outcome | None:
    """Simulate the mission many times; None where something it needs is unknown."""
    case = _solar_case(site, place, load, months)
    if case is None or incident.start_on is None or incident.mission_days is None:
        return None
    days = month_of_day(incident.start_on, incident.mission_days)
    return case.outcome(days, _runs(len(days)), np.zeros(24))


def long_run_outcome(
    site: Site, place: Place, load: Load, months: tuple[int, ...]
) -> Outcome | None:
    """Simulate many years; None where something they need is unknown."""
    case = _solar_case(site, place, load, months)
    return None if case is None else case.outcome(_YEAR, _few(YEARS), np.zeros(24))


def sun_alone_outcome(
    site: Site, place: Place, load: Load, incident: Incident, months: tuple[int, ...]
) -> Outcome | None:
    """Simulate a mission of sun and battery whose gaps a generator fills at once, or None.

    What is unmet is what the generator must bring. What the battery holds at the start is kept
    as a reserve, as it is where no panel helps.
    """
    panel, air = site.power.panel, temperature_of(place)
    if panel is None or panel.stc_w is None or air is None:
        return None
    if incident.start_on is None or incident.mission_days is None:
        return None
    case = _case(site, place, load, months, panel, air)
    if case is None:
        return None
    case = replace(case, store=replace(case.store, start_share=0.0, reconnect_share=0.0))
    days = month_of_day(incident.start_on, incident.mission_days)
    return case.outcome(days, _runs(len(days)), np.zeros(24))


def mains_outcomes(
    site: Site,
    place: Place | None,
    load: Load,
    incident: Incident,
    months: tuple[int, ...],
    *,
    with_sun: bool,
) -> MainsOutcomes | None:
    """Simulate the mission with mains as planned and without it; None where nothing can be said.

    Parameters
    ----------
    with_sun : bool
        Whether all is known that the panel's yield takes; else it is left out.
    """
    case = _mains_case(site, place, load, months, with_sun)
    needed_h = backup_hours_needed(site, incident.mission_days)
    if case is None or needed_h is None:
        return None
    length = max(incident.mission_days or 1, ceil(needed_h / HOURS_PER_DAY)) + LATE_DAYS
    days = _days_of(incident, case.air, months, min(length, LONGEST_WINDOW_DAYS))
    runs = _runs(len(days))
    turns = _turns_w(site)
    planned = days if turns is None else days[: incident.mission_days]
    return MainsOutcomes(
        as_planned=case.outcome(
            planned, runs, _returning_w(case, needed_h, len(days)) if turns is None else turns
        ),
        stays_away=case.outcome(days, runs, np.zeros(24)),
    )


def mains_long_run(
    site: Site,
    place: Place | None,
    load: Load,
    months: tuple[int, ...],
    *,
    with_sun: bool,
) -> Outcome | None:
    """Simulate many years of cuts by turns; None without them."""
    case, turns = _mains_case(site, place, load, months, with_sun), _turns_w(site)
    if case is None or turns is None:
        return None
    return case.outcome(_YEAR, _few(YEARS), turns)


def _solar_case(site: Site, place: Place, load: Load, months: tuple[int, ...]) -> _Case | None:
    panel, air = site.power.panel, temperature_of(place)
    if panel is None or panel.stc_w is None or air is None:
        return None
    if site.power.source is not PowerSource.SOLAR:
        return None
    return _case(site, place, load, months, panel, air)


def _mains_case(
    site: Site, place: Place | None, load: Load, months: tuple[int, ...], with_sun: bool
) -> _Case | None:
    air, coldest_c = temperature_of(place), site.power.coldest_c
    if air is None and coldest_c is not None:
        air = temperature_from_coldest(coldest_c)
    panel = site.power.panel if with_sun else None
    return None if air is None else _case(site, place, load, months, panel, air)


def _case(
    site: Site,
    place: Place | None,
    load: Load,
    months: tuple[int, ...],
    panel: Panel | None,
    air: Temperature,
) -> _Case | None:
    battery = site.power.battery
    store = None if battery is None else store_of(battery)
    if store is None or load.total_wh_per_day is None:
        return None
    return _Case(site, store, air, load, months, panel, place)


def _turns_w(site: Site) -> Numbers | None:
    hours, charger = site.power.mains_hours_per_day, site.power.mains_charger_w
    return None if hours is None or charger is None else mains_by_hour_w(charger, hours)


def _returning_w(case: _Case, needed_h: float, days: int) -> Numbers:
    """Mains that comes back after some hours and then carries the load, shape (days, 24)."""
    power = (
        float(case.load_w[0])
        if case.site.power.mains_charger_w is None
        else (case.site.power.mains_charger_w)
    )
    hour = np.arange(days * 24.0).reshape(days, 24)
    there: Numbers = np.clip(hour + 1.0 - needed_h, 0.0, 1.0) * power
    return there


def _days_of(
    incident: Incident, air: Temperature, months: tuple[int, ...], count: int
) -> NDArray[np.int64]:
    """The days from the start on; the coldest month again and again where that is unknown."""
    if incident.start_on is not None:
        return month_of_day(incident.start_on, count)
    coldest = min(months, key=lambda month: float(air.month_c[month - 1]))
    return np.full(count, coldest, dtype=np.int64)


def _runs(days: int) -> int:
    return _few(int(np.clip(MOST_RUN_DAYS // days, FEWEST_RUNS, MOST_RUNS)))


def _few(runs: int) -> int:
    """Fewer where there is no compiler; a multiple of 8, so that bits fill bytes."""
    return max(8, int(runs * (1.0 if is_compiled() else SLOW_SHARE)) // 8 * 8)


def _battery_c(
    site: Site,
    air: Temperature,
    days: NDArray[np.int64],
    runs: int,
    months: tuple[int, ...],
) -> Numbers:
    """Daily mean battery temperature; an entered coldest hour shifts or holds the air's."""
    drawn = draw_temperature(air, days, runs, seed=SEED + 1)
    entered = site.power.coldest_c
    if entered is None:
        return drawn
    colder = min(0.0, entered - air.coldest_c(months))
    held: Numbers = np.maximum(drawn + colder, entered + air.swing_k)
    return held


_YEAR = month_of_day(date(2001, 1, 1), 365)
