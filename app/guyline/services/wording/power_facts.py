"""The answers about a site's power, a label and a figure each; what is unknown is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from math import floor, isfinite

from guyline.core.plan import Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.endurance import backup_hours_needed
from guyline.core.power.generator import CHARGER_EFFICIENCY
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.rounds import longest_interval_days
from guyline.services.wording.numbers import percent, span

Fact = tuple[str, str]


def attendance_facts(plan: Plan, site: Site, power: PowerAssessment) -> tuple[Fact, ...]:
    """Return what somebody must be there for: mains back, battery swapped, fuel brought."""
    parts = (_backup, _swap, _generator)
    return tuple(fact for part in parts for fact in part(plan, site, power))


def power_facts(plan: Plan, site: Site, power: PowerAssessment) -> tuple[Fact, ...]:
    """Return what is known, the most urgent first."""
    return tuple(fact for part in _PARTS for fact in part(plan, site, power))


def _shortfall(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    if power.lacks_power and power.shortfall_wh_per_day is not None:
        yield "Shortfall", f"{power.shortfall_wh_per_day:.1f} Wh/day"


def _chances(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    days = plan.incident.mission_days
    if power.survival_probability is not None and days is not None:
        yield f"No outage in {days} days", percent(power.survival_probability)
    if power.loss_of_load_probability is not None:
        yield "Off the air over the years", percent(power.loss_of_load_probability)


def _first_outage(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    hours = power.hours_to_outage
    if hours is None:
        return
    if not isfinite(hours):
        yield "First likely outage", "none in the mission"
        return
    yield "First likely outage", f"after {span(hours)}{_moment(plan.incident.start_on, hours)}"


def _reserve(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    if power.days_without_sun is not None and isfinite(power.days_without_sun):
        yield "Battery alone lasts", span(power.days_without_sun * HOURS_PER_DAY)


def _backup(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    late, needed_h = power.late_return_hours, backup_hours_needed(site, plan.incident.mission_days)
    if power.backup_hours is None or power.source is not PowerSource.MAINS_WITH_BACKUP:
        return
    yield "Stands in for mains", f"at least {span(power.backup_hours)}"
    if late is None or needed_h is None or not isfinite(late):
        return
    if late < 0.0:
        yield "Mains must be back", f"{span(-late)} sooner than the {span(needed_h)} planned"
    else:
        yield "Mains may be late by", span(late)


def _swap(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    """When a battery that nothing charges must be changed, with a quarter to spare."""
    interval, mission = longest_interval_days(power), plan.incident.mission_days
    if power.source is not PowerSource.BATTERY or interval is None or mission is None:
        return
    start, lasts = plan.incident.start_on, power.days_without_sun
    if lasts is not None and lasts >= mission:
        until = _day(start, floor(min(lasts, 1e5)))
        yield "Swap the battery", f"not in the mission; empty {until}"
    elif interval == 0:
        yield "Swap the battery", "more than once a day"
    else:
        yield "Swap the battery", f"{_day(start, interval)}, then every {_days(interval)}"


def _generator(plan: Plan, site: Site, power: PowerAssessment) -> Iterator[Fact]:
    generator, hours = site.power.generator, power.generator_hours_per_day
    if generator is None or hours is None or power.fuel_l_per_day is None:
        return
    output_w = generator.charger_w
    if site.power.battery is None:
        output_w = (power.load_wh_per_day or 0.0) / HOURS_PER_DAY
    share = ""
    if output_w is not None and generator.rated_w:
        share = (
            f" at {100.0 * output_w / CHARGER_EFFICIENCY / generator.rated_w:.0f} % of its power"
        )
    yield "Generator runs", f"{hours:.1f} h a day{share}"
    yield "Fuel", f"{power.fuel_l_per_day:.2g} L a day, lasts {_span_of_days(power.fuel_days)}"
    interval, mission = longest_interval_days(power), plan.incident.mission_days
    if interval and mission is not None and (power.fuel_days or 0.0) < mission:
        yield "Refuel", f"every {_days(interval)}, first {_day(plan.incident.start_on, interval)}"


_PARTS: tuple[Callable[[Plan, Site, PowerAssessment], Iterator[Fact]], ...] = (
    _shortfall,
    _first_outage,
    _chances,
    _reserve,
    _backup,
    _swap,
    _generator,
)


def _span_of_days(days: float | None) -> str:
    return "an unknown time" if days is None else span(min(days, 1e5) * HOURS_PER_DAY)


def _days(days: int) -> str:
    return "day" if days == 1 else f"{days} days"


def _moment(start_on: date | None, hours: float) -> str:
    """The hour of solar time, which is within an hour or two of the clock."""
    if start_on is None:
        return ""
    when = datetime.combine(start_on, time()) + timedelta(hours=hours)
    return f", {when.day} {when:%b} about {when:%H} h"


def _day(start_on: date | None, after: int) -> str:
    if start_on is None:
        return f"on day {after}"
    on = start_on + timedelta(days=after)
    return f"by {on.day} {on:%b}"
