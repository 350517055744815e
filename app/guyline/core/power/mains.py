"""A site on mains: with nothing behind it, or with a battery that stands in for it."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np

from guyline.core.plan import Site
from guyline.core.power.assessment import PowerAssessment, PowerQuantity
from guyline.core.power.circumstances import Circumstances, MainsOutcomes
from guyline.core.power.endurance import (
    alive_days,
    backup_hours_needed,
    carried_shortfall,
    lasts,
    longest_cut_h,
)
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.requirements import requirement_of
from guyline.core.power.simulation import Outcome
from guyline.core.units import Numbers

MAINS_CHARGER_LINE = "power of the mains charger"


def mains_by_hour_w(charger_w: float, hours_per_day: float) -> Numbers:
    """Power from mains in each hour of a day while it is cut by turns, shape (24,), in W.

    Mains is there in one block about noon: the longest cut of that many hours, at the hours in
    which a panel has least need of it. Several short cuts are easier on a battery.
    """
    hour = np.arange(24.0)
    start, end = 12.0 - hours_per_day / 2.0, 12.0 + hours_per_day / 2.0
    there: Numbers = np.clip(np.minimum(hour + 1.0, end) - np.maximum(hour, start), 0.0, 1.0)
    return charger_w * there


def assess_mains(
    site: Site, circumstances: Circumstances, known: PowerAssessment
) -> PowerAssessment:
    """Mains alone: the load is shown, but nothing that is missing of it changes the answer."""
    known = replace(
        known, usable_battery_wh=None, days_without_sun=None, backup_hours=0.0, missing=()
    )
    cut_h = longest_cut_h(site)
    if not cut_h:
        return replace(known, lacks_power=False)
    load, mission = known.load_wh_per_day, circumstances.mission_days
    return replace(
        known,
        hours_to_outage=0.0,
        shortfall_wh_per_day=None if load is None else load * cut_h / HOURS_PER_DAY,
        survival_probability=0.0,
        loss_of_load_probability=cut_h / HOURS_PER_DAY,
        alive_by_day=alive_days(0.0, mission),
        lacks_power=True,
    )


def assess_mains_with_backup(
    site: Site, circumstances: Circumstances, known: PowerAssessment
) -> PowerAssessment:
    """A battery behind mains, with or without a panel, while mains is away or cut by turns."""
    needed_h = backup_hours_needed(site, circumstances.mission_days)
    missing = list(known.missing)
    if needed_h is None:
        missing.append("mission length")
    if longest_cut_h(site) is not None:
        missing += _missing_of_turns(site, circumstances)
    known = _with_yield(replace(known, missing=tuple(missing)), circumstances)
    if missing or known.days_without_sun is None or needed_h is None:
        return known
    if circumstances.mains is None:
        known = _by_battery_alone(site, circumstances, known, needed_h)
    else:
        known = _simulated(site, circumstances, known, circumstances.mains, needed_h)
    certain = known.survival_probability == 1.0
    if circumstances.missing_sun and not certain:  # the sun might do it: nobody knows yet
        return replace(
            known,
            missing=circumstances.missing_sun,
            survival_probability=None,
            loss_of_load_probability=None,
            hours_to_outage=None,
            shortfall_wh_per_day=None,
            late_return_hours=None,
            alive_by_day=(),
            alive_runs=b"",
            lacks_power=None,
        )
    return known


def _missing_of_turns(site: Site, circumstances: Circumstances) -> list[str]:
    missing = [] if site.power.mains_charger_w is not None else [MAINS_CHARGER_LINE]
    return missing if circumstances.mission_days is not None else [*missing, "mission length"]


def _with_yield(known: PowerAssessment, circumstances: Circumstances) -> PowerAssessment:
    supply = circumstances.supply
    if supply is None:
        return known
    worst = min(circumstances.months, key=lambda month: supply.yield_wh_per_day[month - 1])
    return replace(
        known,
        worst_month=worst,
        yield_wh_per_day=supply.yield_wh_per_day[worst - 1],
        panel_tilt_deg=supply.tilt_deg,
        panel_azimuth_deg=supply.azimuth_deg,
        quantities=(*known.quantities, *supply.quantities),
    )


def _by_battery_alone(
    site: Site, circumstances: Circumstances, known: PowerAssessment, needed_h: float
) -> PowerAssessment:
    assert known.days_without_sun is not None
    hours = known.days_without_sun * HOURS_PER_DAY
    swap = site.power.battery_swap_days
    between_h = needed_h if swap is None else min(needed_h, swap * HOURS_PER_DAY)
    carries = hours >= between_h
    return replace(
        known,
        backup_hours=hours,
        late_return_hours=hours - needed_h,
        hours_to_outage=inf if carries else hours,
        shortfall_wh_per_day=carried_shortfall(known, between_h / HOURS_PER_DAY),
        survival_probability=float(carries),
        alive_by_day=alive_days(inf if carries else hours, circumstances.mission_days, needed_h),
        lacks_power=not lasts(hours / HOURS_PER_DAY, needed_h / HOURS_PER_DAY, site)[1],
    )


def _simulated(
    site: Site,
    circumstances: Circumstances,
    known: PowerAssessment,
    outcomes: MainsOutcomes,
    needed_h: float,
) -> PowerAssessment:
    """Answer from simulated missions; what the battery alone does for certain stays certain."""
    assert known.days_without_sun is not None
    need, planned, away = requirement_of(site.function), outcomes.as_planned, outcomes.stays_away
    alone_h = known.days_without_sun * HOURS_PER_DAY
    chance = 1.0 if alone_h >= needed_h else float((away.first_outage_h >= needed_h).mean())
    if longest_cut_h(site) is not None:
        chance = min(chance, planned.survival_probability)
    window_h = HOURS_PER_DAY * away.unmet_wh.shape[1]
    with_sun_h = away.first_outage_chance_h(1.0 - need.survival_for_go)
    backup_h = max(alone_h, min(with_sun_h, window_h))
    visited = lasts(known.days_without_sun, inf, site)[1]
    days = circumstances.mission_days or 0
    alive = planned.is_alive[:, :days]
    outage_h = planned.first_outage_chance_h(1.0 - need.survival_with_conditions)
    return replace(
        known,
        backup_hours=backup_h,
        late_return_hours=backup_h - needed_h,
        hours_to_outage=outage_h if chance < 1.0 else inf,
        shortfall_wh_per_day=float(planned.unmet_wh.mean()) if chance < 1.0 else 0.0,
        survival_probability=chance,
        loss_of_load_probability=None
        if circumstances.long_run is None
        else circumstances.long_run.loss_of_load_probability,
        alive_by_day=tuple(float(a) for a in alive.mean(axis=0)),
        alive_runs=np.packbits(alive, axis=None).tobytes(),
        lacks_power=chance < need.survival_with_conditions and not visited,
        quantities=(*known.quantities, simulated_missions(planned, chance)),
    )


def simulated_missions(outcome: Outcome, chance: float) -> PowerQuantity:
    """How many missions the chance was counted in, with its standard deviation."""
    runs = len(outcome.first_outage_h)
    sd = float(np.sqrt(chance * (1.0 - chance) / runs))
    return PowerQuantity(
        name="simulated missions",
        value=float(runs),
        source="synthetic weather with the spread between years",
        confidence=f"{runs} missions: {100.0 * chance:.1f} ± {100.0 * sd:.1f} %",
    )
