"""Puts plan, airtime, sun and climate together into the power assessment of a site."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace
from datetime import timedelta
from threading import Lock

import numpy as np

from guyline.core.plan import Incident, Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment, PowerQuantity
from guyline.core.power.estimate import Circumstances, SolarSupply, assess_power
from guyline.core.power.load import site_load
from guyline.core.power.panel import chain_efficiency, monthly_yield_wh_per_day
from guyline.core.radio.airtime import time_on_air_s
from guyline.errors import InputError
from guyline.services.job import Job
from guyline.services.sun_and_weather import (
    proposed_azimuth_deg,
    proposed_tilt_deg,
    sun_table,
)

_MOST_REMEMBERED = 2000
_ALL_MONTHS = tuple(range(1, 13))


class SitePower:
    """Assesses the power of sites; remembers answers, and is safe to use from several threads."""

    def __init__(self) -> None:
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
        """Power assessment of `site` in `plan`.

        Parameters
        ----------
        ground_amsl_m : float or None
            Height of the ground; None counts as sea level, which matters little. [m amsl]
        horizon : sequence of float or None
            Elevation of the horizon at equal steps of true azimuth from north; None is a
            flat one. [°]
        """
        if job is not None:
            job.check()
        height_m = round(ground_amsl_m or 0.0, -2)
        skyline = tuple(float(h) for h in horizon) if horizon is not None else ()
        key = _inputs_of(plan, site, height_m, skyline)
        with self._lock:
            known = self._known.get(key)
        if known is not None:
            return known
        answer = assess_power(site, _circumstances(plan, site, height_m, skyline))
        with self._lock:
            if len(self._known) >= _MOST_REMEMBERED:
                self._known.clear()
            self._known[key] = answer
        return answer


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


def mission_months(incident: Incident) -> tuple[int, ...]:
    """Months (1 to 12) that the mission touches; all of them where that is unknown."""
    if incident.start_on is None or incident.mission_days is None:
        return _ALL_MONTHS
    last = min(incident.mission_days, 366) - 1
    days = (incident.start_on + timedelta(days=n) for n in (*range(0, last, 27), last))
    return tuple(dict.fromkeys(day.month for day in days))


def _circumstances(
    plan: Plan, site: Site, height_m: float, horizon: tuple[float, ...]
) -> Circumstances:
    missing, supply = _missing_for_sun(site), None
    if site.power.source is PowerSource.SOLAR and not missing:
        supply = _supply(site, height_m, horizon)
    return Circumstances(
        load=site_load(site, packet_time_on_air_s(plan, site)),
        mission_days=plan.incident.mission_days,
        months=mission_months(plan.incident),
        coldest=PowerQuantity(
            name="coldest battery temperature",
            value=site.power.coldest_c,
            unit="°C",
            source="plan",
        ),
        supply=supply,
        missing_sun=missing,
    )


def _missing_for_sun(site: Site) -> tuple[str, ...]:
    panel = site.power.panel
    needed: dict[str, object] = {
        "position": site.position,
        "panel": panel,
        "mean daily clearness of the worst month": site.power.clearness,
        "battery": site.power.battery,
    }
    if panel is not None:
        needed["rated power of the panel"] = panel.stc_w
    return tuple(name for name, value in needed.items() if value is None)


def _supply(site: Site, height_m: float, horizon: tuple[float, ...]) -> SolarSupply:
    position, panel, battery = site.position, site.power.panel, site.power.battery
    assert position is not None
    assert panel is not None
    assert panel.stc_w is not None
    assert battery is not None
    assert site.power.clearness is not None
    lat_deg = position.lat_deg
    tilt = proposed_tilt_deg(lat_deg) if panel.tilt_deg is None else panel.tilt_deg
    faces = proposed_azimuth_deg(lat_deg) if panel.azimuth_deg is None else panel.azimuth_deg
    sun = sun_table(round(lat_deg, 3), round(position.lon_deg, 2), height_m, tilt, faces, horizon)
    efficiency = chain_efficiency(panel.controller, battery.chemistry)
    yields = monthly_yield_wh_per_day(
        sun, np.full(12, site.power.clearness), panel.stc_w, efficiency
    )
    return SolarSupply(
        yield_wh_per_day=tuple(float(y) for y in yields),
        tilt_deg=tilt,
        azimuth_deg=faces,
        quantities=(
            PowerQuantity(name="mean daily clearness", value=site.power.clearness, source="plan"),
            PowerQuantity(name="panel at standard conditions", value=panel.stc_w, unit="W"),
            PowerQuantity(
                name="share of the panel's power that is stored",
                value=efficiency,
                source="soiling, mismatch, wiring, mounting, controller, charging",
                confidence="planning values; 62 % were measured on a whole lead-acid system",
            ),
        ),
    )
