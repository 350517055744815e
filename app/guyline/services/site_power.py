"""Puts plan, airtime, sun and climate together into the power assessment of a site."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from threading import Lock

from guyline.core.plan import Incident, Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.circumstances import Circumstances
from guyline.core.power.cures import NO_PRICES, find_cures, is_enough, ranks_by_price
from guyline.core.power.estimate import assess_power
from guyline.core.power.load import site_load
from guyline.core.power.prices import PriceList
from guyline.core.power.sizing import SizingChart, sizing_chart
from guyline.core.radio.airtime import time_on_air_s
from guyline.errors import InputError
from guyline.services.job import Job
from guyline.services.shades import missing_of_shades
from guyline.services.site_outcomes import (
    long_run_outcome,
    mains_long_run,
    mains_outcomes,
    mission_outcome,
    sun_alone_outcome,
)
from guyline.services.site_supply import (
    Place,
    coldest_quantity,
    mission_months,
    place_of,
    solar_supply,
)

_MOST_REMEMBERED = 2000


class SitePower:
    """Assesses the power of sites; remembers answers, and is safe to use from several threads."""

    def __init__(self, prices: Callable[[], PriceList] = lambda: NO_PRICES) -> None:
        """Take `prices`, which is asked only when something must be bought."""
        self._prices = prices
        self._known: dict[Hashable, PowerAssessment] = {}
        self._lock = Lock()

    def assess(
        self,
        plan: Plan,
        site: Site,
        ground_amsl_m: float | None,
        horizon: Sequence[float] | None = None,
        job: Job | None = None,
    ) -> PowerAssessment:
        """Return the power assessment of `site` in `plan`.

        Parameters
        ----------
        ground_amsl_m : float or None
            Height of the ground; None counts as sea level, which matters little. [m amsl]
        horizon : sequence of float or None
            Elevation of the horizon at equal steps of true azimuth from north; None is a
            flat one. [°]
        """
        job = job or Job()
        job.check()
        question = _question(plan, site, ground_amsl_m, horizon, job)
        key = _inputs_of(plan, site, question.height_m, question.horizon)
        with self._lock:
            known = self._known.get(key)
        if known is not None:
            return known
        answer = question.answer(self._prices)
        with self._lock:
            if len(self._known) >= _MOST_REMEMBERED:
                self._known.clear()
            self._known[key] = answer
        return answer

    def forget(self) -> None:
        """Forget all answers, as after another climate was fetched."""
        with self._lock:
            self._known.clear()

    def sizing_chart(
        self,
        plan: Plan,
        site: Site,
        ground_amsl_m: float | None,
        horizon: Sequence[float] | None = None,
        job: Job | None = None,
    ) -> SizingChart | None:
        """Return which panel goes with which battery at the reliability the site needs.

        None where the site is no solar site or not all that it takes is known. Some hundred
        missions are simulated: run it as a job.
        """
        question = _question(plan, site, ground_amsl_m, horizon, job or Job())
        return question.sizing_chart()


def _question(
    plan: Plan,
    site: Site,
    ground_amsl_m: float | None,
    horizon: Sequence[float] | None,
    job: Job,
) -> _Question:
    height_m = round(ground_amsl_m or 0.0, -2)  # pressure is all that it changes
    skyline = tuple(float(h) for h in horizon) if horizon is not None else ()
    return _Question(plan, site, height_m, skyline, job)


def _inputs_of(plan: Plan, site: Site, height_m: float, horizon: tuple[float, ...]) -> Hashable:
    """All that the answer depends on, and nothing else: not the antenna's height."""
    position = site.position
    return (
        site.site_id,
        site.function,
        None if position is None else (position.lat_deg, position.lon_deg),
        replace(site.radio, identifier="", tx_power_dbm=None, noise_figure_db=None),
        site.power,
        site.packets_per_hour,
        site.payload_bytes,
        plan.radio_profile,
        plan.incident.start_on,
        plan.incident.mission_days,
        height_m,
        horizon,
    )


def packet_time_on_air_s(plan: Plan, site: Site) -> float | None:
    """Duration of one packet of the site, None where the radio profile allows none, in s."""
    profile = plan.radio_profile
    try:
        return time_on_air_s(
            site.payload_bytes,
            profile.spreading_factor,
            profile.bandwidth_hz,
            coding_rate=profile.coding_rate,
            preamble_symbols=profile.preamble_symbols,
        )
    except InputError:
        return None


@dataclass(frozen=True, slots=True)
class _Question:
    """One site to be answered for, and again with what might cure it."""

    plan: Plan
    site: Site
    height_m: float
    horizon: tuple[float, ...]
    job: Job

    def answer(self, prices: Callable[[], PriceList]) -> PowerAssessment:
        known = self._assess(self.site, with_years=True)
        mission_days = self.plan.incident.mission_days
        if known.lacks_power is None or mission_days is None:
            return known
        if self.site.power.source is PowerSource.MAINS:
            return known
        if is_enough(self.site, known, mission_days):
            return known
        cures = find_cures(
            self.site,
            known,
            mission_days,
            self._assess,
            self._assess_in_the_open if self._is_shaded() else None,
            prices(),
        )
        by = "" if not cures else "price" if ranks_by_price(cures) else "mass"
        return replace(known, cures=cures, cures_ranked_by=by)

    def _is_shaded(self) -> bool:
        panel = self.site.power.panel
        watched = panel is not None and panel.sunny_hours is not None
        trees = watched or bool(self.site.power.obstacles)
        return trees or any(elevation > 0.0 for elevation in self.horizon)

    def _assess_in_the_open(self, site: Site) -> PowerAssessment:
        panel = site.power.panel
        if panel is not None:
            panel = replace(panel, sunny_hours=None)
            site = replace(site, power=replace(site.power, panel=panel, obstacles=()))
        return replace(self, horizon=())._assess(site)

    def sizing_chart(self) -> SizingChart | None:
        known, mission_days = self._assess(self.site), self.plan.incident.mission_days
        if mission_days is None:
            return None
        return sizing_chart(self.site, known, mission_days, self._assess)

    def _assess(self, site: Site, with_years: bool = False) -> PowerAssessment:
        self.job.check()
        incident = self.plan.incident
        months = mission_months(incident)
        place = place_of(site, self.height_m, self.horizon, months)
        circumstances = Circumstances(
            load=site_load(site, packet_time_on_air_s(self.plan, site)),
            mission_days=incident.mission_days,
            months=months,
            coldest=coldest_quantity(site, place, months),
        )
        if site.power.source is PowerSource.SOLAR:
            circumstances = _with_sun(site, place, circumstances, incident, with_years)
        elif site.power.source is PowerSource.MAINS_WITH_BACKUP:
            circumstances = _with_mains(site, place, circumstances, incident, with_years)
        elif (
            site.power.source is PowerSource.GENERATOR
            and place is not None
            and site.power.panel is not None
            and not _missing_for_yield(site, place)
        ):
            circumstances = replace(
                circumstances,
                supply=solar_supply(site, place, circumstances.months),
                sun_alone=sun_alone_outcome(site, place, circumstances.load, incident, months),
            )
        return assess_power(site, circumstances)


def _with_sun(
    site: Site,
    place: Place | None,
    circumstances: Circumstances,
    incident: Incident,
    with_years: bool,
) -> Circumstances:
    missing = _missing_for_sun(site, place, incident)
    circumstances = replace(circumstances, missing_sun=missing)
    if place is None or _missing_for_yield(site, place):
        return circumstances
    circumstances = replace(circumstances, supply=solar_supply(site, place, circumstances.months))
    months, load = circumstances.months, circumstances.load
    return replace(
        circumstances,
        mission=mission_outcome(site, place, load, incident, months),
        long_run=long_run_outcome(site, place, load, months) if with_years else None,
    )


def _with_mains(
    site: Site,
    place: Place | None,
    circumstances: Circumstances,
    incident: Incident,
    with_years: bool,
) -> Circumstances:
    """Sun and cuts by turns are followed hour by hour; a battery alone needs no simulation."""
    power = site.power
    if power.panel is None and power.mains_hours_per_day is None:
        return circumstances
    missing = () if power.panel is None else _missing_for_sun(site, place, incident)
    with_sun = power.panel is not None and not missing
    if with_sun and place is not None:
        supply = solar_supply(site, place, circumstances.months)
        circumstances = replace(circumstances, supply=supply)
    load, months = circumstances.load, circumstances.months
    return replace(
        circumstances,
        missing_sun=missing,
        mains=mains_outcomes(site, place, load, incident, months, with_sun=with_sun)
        if with_sun or power.mains_hours_per_day is not None
        else None,
        long_run=mains_long_run(site, place, load, months, with_sun=with_sun)
        if with_years
        else None,
    )


def _missing_for_yield(site: Site, place: Place | None) -> tuple[str, ...]:
    panel = site.power.panel
    needed: dict[str, object] = {
        "position": site.position,
        "panel": panel,
        "battery": site.power.battery,
    }
    if panel is not None:
        needed["rated power of the panel"] = panel.stc_w
    if place is not None:
        needed["mean daily clearness of the worst month"] = place.climate
    missing = tuple(name for name, value in needed.items() if value is None)
    return (*missing, *missing_of_shades(site.power))


def _missing_for_sun(site: Site, place: Place | None, incident: Incident) -> tuple[str, ...]:
    missing = _missing_for_yield(site, place)
    return missing if incident.start_on is not None else (*missing, "start of the mission")
