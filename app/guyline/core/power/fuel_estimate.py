"""A site that a generator keeps up: how much it burns, how long the fuel lasts."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np

from guyline.core.plan import Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.circumstances import Circumstances
from guyline.core.power.endurance import alive_days, lasts
from guyline.core.power.generator import FUEL_RESERVE, fuel_use, missing_of_generator
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.requirements import requirement_of
from guyline.core.power.simulation import Outcome
from guyline.core.units import Numbers


def assess_generator(
    site: Site, circumstances: Circumstances, known: PowerAssessment
) -> PowerAssessment:
    """Fuel decides; a panel beside the generator saves what it brings.

    Where the mission is simulated, the generator brings what sun and battery lack: fuel is
    counted for the darkest weather that the site must stand. Else the panel's worst month counts.
    """
    mission, generator = circumstances.mission_days, site.power.generator
    missing = [*circumstances.load.missing, *missing_of_generator(site)]
    if mission is None:
        missing.append("mission length")
    hours = None if known.days_without_sun is None else known.days_without_sun * HOURS_PER_DAY
    known = replace(known, backup_hours=hours, missing=tuple(missing))
    if missing or generator is None or known.load_wh_per_day is None or mission is None:
        return known
    known, need_wh = _with_sun(site, circumstances, known, known.load_wh_per_day)
    fuel = fuel_use(generator, site.power.battery, need_wh)
    swap = site.power.battery_swap_days
    between = float(mission) if swap is None else min(float(mission), swap)
    is_strong = fuel.hours_per_day <= HOURS_PER_DAY
    carries = is_strong and fuel.days >= between
    chance = float(carries)
    if swap is None and is_strong and circumstances.sun_alone is not None:
        chance = _chance(site, circumstances.sun_alone)
    until_h = inf if carries else fuel.days * HOURS_PER_DAY + (hours or 0.0)
    lacking_days = max(0.0, between - fuel.days) if is_strong else between
    return replace(
        known,
        fuel_l_per_day=fuel.l_per_day,
        fuel_days=fuel.days,
        generator_hours_per_day=fuel.hours_per_day,
        hours_to_outage=until_h,
        shortfall_wh_per_day=need_wh * lacking_days / between,
        survival_probability=chance,
        alive_by_day=alive_days(until_h, mission),
        lacks_power=not (is_strong and lasts(fuel.days, float(mission), site)[1]),
    )


def _with_sun(
    site: Site, circumstances: Circumstances, known: PowerAssessment, load_wh: float
) -> tuple[PowerAssessment, float]:
    """What the panel brings, and what the generator must bring each day, in Wh/day."""
    supply = circumstances.supply
    if supply is None:
        return known, load_wh
    worst = min(circumstances.months, key=lambda month: supply.yield_wh_per_day[month - 1])
    brings_wh = supply.yield_wh_per_day[worst - 1]
    known = replace(
        known,
        yield_wh_per_day=brings_wh,
        worst_month=worst,
        panel_tilt_deg=supply.tilt_deg,
        panel_azimuth_deg=supply.azimuth_deg,
        quantities=(*known.quantities, *supply.quantities),
    )
    if circumstances.sun_alone is None:
        return known, max(0.0, load_wh - brings_wh)
    sure = requirement_of(site.function).survival_for_go
    lacking = np.quantile(_lacking_wh(circumstances.sun_alone), sure, method="higher")
    return known, float(lacking) / circumstances.sun_alone.unmet_wh.shape[1]


def _lacking_wh(outcome: Outcome) -> Numbers:
    """Energy that sun and battery did not bring in each mission, shape (R,), in Wh."""
    total: Numbers = outcome.unmet_wh.sum(axis=1)
    return total


def _chance(site: Site, outcome: Outcome) -> float:
    """Share of the missions in which the fuel is enough."""
    generator = site.power.generator
    assert generator is not None
    assert generator.fuel_l is not None
    l_per_wh = fuel_use(generator, site.power.battery, 1.0).l_per_day
    usable_l = generator.fuel_l * (1.0 - FUEL_RESERVE)
    return float((_lacking_wh(outcome) * l_per_wh <= usable_l).mean())
