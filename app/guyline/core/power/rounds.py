"""When the crew must come with charged batteries or fuel."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor

from guyline.core.plan import PowerSource, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.requirements import VISIT_RESERVE


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One trip: the day of the mission, counted from 0, and the sites in the plan's order."""

    day: int
    site_ids: tuple[SiteId, ...]


def longest_interval_days(assessment: PowerAssessment) -> int | None:
    """Days from one visit to the next that leave a quarter to spare, None where unknown.

    0 where the site would have to be visited more often than once a day.
    """
    late_h = assessment.late_return_hours
    backed = assessment.days_without_sun if late_h is not None and late_h < 0.0 else None
    lasts = {
        PowerSource.BATTERY: assessment.days_without_sun,
        PowerSource.MAINS_WITH_BACKUP: backed,  # where mains comes back too late for the battery
        PowerSource.GENERATOR: assessment.fuel_days,
    }.get(assessment.source)
    return None if lasts is None else floor(min(lasts, 1e6) / VISIT_RESERVE)


def visit_rounds(assessments: Iterable[PowerAssessment], mission_days: int) -> tuple[Round, ...]:
    """Return the trips that keep batteries and fuel going to the end of the mission.

    Trips are as far apart as the hungriest site allows; a site that lasts k times as long is
    visited on every k-th of them. Sites that last the mission, that need more than one visit a
    day, or of which too little is known are in none.
    """
    due: list[tuple[SiteId, int]] = []
    for assessment in assessments:
        interval = longest_interval_days(assessment)
        days = (
            assessment.fuel_days
            if assessment.source is PowerSource.GENERATOR
            else assessment.days_without_sun
        )
        if interval is not None and days is not None and interval >= 1 and days < mission_days:
            due.append((assessment.site_id, interval))
    if not due:
        return ()
    step = min(interval for _, interval in due)
    rounds = []
    for number, day in enumerate(range(step, mission_days, step), start=1):
        here = tuple(site_id for site_id, interval in due if number % (interval // step) == 0)
        if here:
            rounds.append(Round(day=day, site_ids=here))
    return tuple(rounds)
