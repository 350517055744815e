"""How long a store must last, and what follows when it does not."""

from __future__ import annotations

from math import inf

from guyline.core.plan import Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.requirements import VISIT_RESERVE


def longest_cut_h(site: Site) -> float | None:
    """Hours of a day without mains while power is cut by turns, None where it is not."""
    there = site.power.mains_hours_per_day
    return None if there is None else HOURS_PER_DAY - there


def backup_hours_needed(site: Site, mission_days: int | None) -> float | None:
    """How long the battery must stand in for mains; None where mission and wish are unknown."""
    if site.power.backup_hours_needed is not None:
        return site.power.backup_hours_needed
    cut_h = longest_cut_h(site)
    if cut_h is not None:
        return cut_h
    return None if mission_days is None else mission_days * HOURS_PER_DAY


def lasts(days: float, needed_days: float, site: Site) -> tuple[bool, bool]:
    """Whether a battery lasts as long as needed, and from one promised swap to the next."""
    swap = site.power.battery_swap_days
    return days >= needed_days, days >= needed_days or (
        swap is not None and days >= VISIT_RESERVE * swap
    )


def carried_shortfall(known: PowerAssessment, needed_days: float) -> float | None:
    if known.load_wh_per_day is None or known.days_without_sun is None or needed_days <= 0.0:
        return None
    lacking_days = max(0.0, needed_days - known.days_without_sun)
    return known.load_wh_per_day * lacking_days / needed_days


def alive_days(
    hours: float, mission_days: int | None, back_after_h: float = inf
) -> tuple[float, ...]:
    """Chance to be up on each day, 0 or 1: up for some hours, and again once mains is back."""
    if mission_days is None:
        return ()
    return tuple(
        float(hours >= HOURS_PER_DAY * (day + 1) or HOURS_PER_DAY * day >= back_after_h)
        for day in range(mission_days)
    )
