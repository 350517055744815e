"""The days of the mission: how likely each site is on the air, how many needs are met."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import isnan

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Incident, SiteId
from guyline.core.power.timeline import Timeline, sites_up
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.site_verdict import UP_PROBABILITY
from guyline.services.wording import counted
from guyline.services.wording.numbers import percent
from guyline.viewmodels.live_assessment import LiveAssessment

UNKNOWN = "unknown"
NO_MISSION = "Enter how many days the network is needed to see them here."
NOT_YET = "The days appear when the plan has been assessed."
NO_SITES = "No sites yet: the days of each one will stand here."


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBand:
    """One site; `chances` has one number from 0 to 1 a day, and none where that is unknown."""

    site_id: SiteId
    name: str
    chances: tuple[float, ...]

    @property
    def is_known(self) -> bool:
        return bool(self.chances)

    @property
    def first_bad_day(self) -> int | None:
        """The first day on which the site is more likely off the air than on it."""
        bad = (day for day, chance in enumerate(self.chances) if chance < UP_PROBABILITY)
        return next(bad, None)

    @property
    def end_text(self) -> str:
        """What stands at the end of the band: how far it lasts, or how likely to the end."""
        if not self.is_known:
            return UNKNOWN
        bad = self.first_bad_day
        if bad is None:
            return percent(self.chances[-1])
        return "not day 0" if bad == 0 else f"to day {bad - 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysView:
    """Everything the strip shows; `problem` says why there is nothing to show."""

    bands: tuple[DayBand, ...] = ()
    days: int = 0
    start_on: date | None = None
    needs: int = 0
    met_by_day: tuple[int, ...] = ()
    is_least: bool = False
    """Whether more needs may be met than counted: sites of unknown power count as off the air."""
    up: Timeline | None = None
    """How many of all sites are up each day; None where that is known of none."""
    problem: str = ""

    def day_text(self, day: int) -> str:
        """A day by its number and, where the start is known, its date."""
        if self.start_on is None:
            return f"day {day}"
        on = self.start_on + timedelta(days=day)
        return f"day {day}, {on.day} {on:%b}"

    def chance_text(self, band: DayBand, day: int) -> str:
        if not band.is_known:
            return f"{band.site_id}, {self.day_text(day)}: {UNKNOWN} whether it is on the air"
        return f"{band.site_id}, {self.day_text(day)}: {percent(band.chances[day])} on the air"

    def needs_text(self, day: int) -> str:
        words = f"D{self.day_text(day)[1:]}"
        if not self.met_by_day:
            return f"{words}: needs met {UNKNOWN}"
        least = "at least " if self.is_least else ""
        more = "; sites of unknown power count as off the air" if self.is_least else ""
        return f"{words}: {least}{self.met_by_day[day]} of {self.needs} needs met{more}"

    def up_text(self, day: int) -> str:
        """How many sites are up on a day, with the doubt that the weather leaves."""
        words = f"D{self.day_text(day)[1:]}"
        if self.up is None:
            return f"{words}: sites up {UNKNOWN}"
        low, high = self.up.low[day], self.up.high[day]
        band = f"{low:.0f}" if low == high else f"{low:.0f} to {high:.0f}"
        more = f"; {self.up.unknown} more {UNKNOWN}" if self.up.unknown else ""
        return f"{words}: {band} of {len(self.bands)} sites up in eight cases of ten{more}"

    @property
    def up_end_text(self) -> str:
        """What stands at the end of the line of sites up."""
        if self.up is None:
            return UNKNOWN
        low, high = self.up.low[-1], self.up.high[-1]
        band = f"{low:.0f}" if low == high else f"{low:.0f}–{high:.0f}"
        return f"{band} of {len(self.bands)}"

    @property
    def needs_end_text(self) -> str:
        """What stands at the end of the line of needs."""
        if not self.met_by_day:
            return UNKNOWN if self.needs else "none entered"
        least = "≥ " if self.is_least else ""
        return f"{least}{self.met_by_day[-1]} of {self.needs}"

    @property
    def summary(self) -> str:
        """The whole strip in sentences, for those who hear it."""
        if self.problem:
            return self.problem
        parts = [f"{counted(self.days, 'day')} from {self.day_text(0)}."]
        parts += [_band_sentence(band) for band in self.bands]
        if self.up is not None:
            parts.append(f"{self.up_text(self.days - 1)}.")
        if self.met_by_day:
            parts.append(self._needs_sentence())
        elif self.needs:
            parts.append(f"How many needs stay met is {UNKNOWN}.")
        return " ".join(parts)

    def _needs_sentence(self) -> str:
        changes = [
            f"{met} from day {day}"
            for day, met in enumerate(self.met_by_day)
            if day == 0 or met != self.met_by_day[day - 1]
        ]
        least = " at least" if self.is_least else ""
        return f"Of {counted(self.needs, 'need')} are met{least}: {', '.join(changes)}."


class DaysModel(QObject):
    """Follows the assessment; `changed` carries a DaysView."""

    changed = Signal(object)

    def __init__(self, live: LiveAssessment, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._view = DaysView(problem=NOT_YET)
        live.updated.connect(self._show)
        if live.current is not None:
            self._show(live.current)

    @property
    def view(self) -> DaysView:
        return self._view

    def _show(self, assessment: PlanAssessment) -> None:
        self._view = days_view(assessment)
        self.changed.emit(self._view)


def days_view(assessment: PlanAssessment) -> DaysView:
    """The strip of an assessment: sites that fail first stand first, then the unknown ones."""
    incident = assessment.plan.incident
    if not assessment.sites:
        return DaysView(problem=NO_SITES)
    days = _days(incident, assessment)
    if days == 0:
        return DaysView(problem=NO_MISSION)
    bands = [
        DayBand(
            site_id=site.site_id,
            name=assessment.plan.site(site.site_id).name,
            chances=_chances(site, days),
        )
        for site in assessment.sites
    ]
    network = assessment.network
    return DaysView(
        bands=tuple(sorted(bands, key=_urgency)),
        days=days,
        start_on=incident.start_on,
        needs=len(assessment.plan.needs),
        met_by_day=tuple(day.needs_met for day in network.days[:days]) if network.needs else (),
        is_least=bool(network.power_unknown),
        up=_sites_up(assessment, days),
    )


def _sites_up(assessment: PlanAssessment, days: int) -> Timeline | None:
    up = sites_up([site.power for site in assessment.sites], days)
    return None if up.unknown == len(assessment.sites) else up


def _days(incident: Incident, assessment: PlanAssessment) -> int:
    longest = max(len(site.power.alive_by_day) for site in assessment.sites)
    return incident.mission_days or longest


def _chances(site: SiteAssessment, days: int) -> tuple[float, ...]:
    """The site's days, none where one of the mission's is missing."""
    known = site.power.alive_by_day[:days]
    is_whole = len(known) == days and not any(isnan(chance) for chance in known)
    return known if is_whole else ()


def _urgency(band: DayBand) -> tuple[int, int, float, str]:
    bad = band.first_bad_day
    if bad is not None:
        return (0, bad, band.chances[-1], band.site_id)
    if not band.is_known:
        return (1, 0, 0.0, band.site_id)
    return (2, 0, min(band.chances), band.site_id)


def _band_sentence(band: DayBand) -> str:
    if not band.is_known:
        return f"{band.site_id}: {UNKNOWN}."
    bad = band.first_bad_day
    if bad is None:
        return f"{band.site_id}: {percent(band.chances[-1])} on the air on the last day."
    return f"{band.site_id}: more likely off than on the air from day {bad}."
