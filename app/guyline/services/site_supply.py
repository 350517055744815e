"""Climate, sun and weather of a site as the simulation takes them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import Incident, PowerSystem, Site
from guyline.core.power.assessment import PowerQuantity
from guyline.core.power.circumstances import SolarSupply
from guyline.core.power.climate import Climate, Temperature
from guyline.core.power.panel import (
    STC_CELL_C,
    SunTable,
    chain_efficiency,
    monthly_yield_wh_per_day,
)
from guyline.core.units import Numbers
from guyline.services.climate import climate_for
from guyline.services.panel_horizon import sun_arc
from guyline.services.shades import Shade, shades_of
from guyline.services.sun_and_weather import (
    clear_sky_clearness,
    proposed_azimuth_deg,
    proposed_tilt_deg,
    sun_table,
)

SEED = 20_260  # any number: the same weather for all sites and for every cure
YEARS = 200
MOST_RUN_DAYS = 120_000  # missions are fewer where they are longer
MOST_RUNS, FEWEST_RUNS = 2000, 200
WATCHED_HOURS = 6.0  # of sun between 9 and 15 that a surveyor looks at
SLOW_SHARE = 0.1  # of the runs where there is no compiler
CONTROLLER_LINE = "quiescent draw of the controller"


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """What sun and air do at a site, whatever stands there."""

    lat_deg: float
    lon_deg: float
    height_m: float
    horizon_deg: tuple[float, ...]
    climate: Climate | None


def mission_months(incident: Incident) -> tuple[int, ...]:
    """Months (1 to 12) that the mission touches; all of them where that is unknown."""
    if incident.start_on is None or incident.mission_days is None:
        return tuple(range(1, 13))
    days = month_of_day(incident.start_on, min(incident.mission_days, 366))
    return tuple(int(month) for month in dict.fromkeys(days.tolist()))


def month_of_day(start_on: date, days: int) -> NDArray[np.int64]:
    return np.array([(start_on + timedelta(days=n)).month for n in range(days)], dtype=np.int64)


def place_of(
    site: Site, height_m: float, horizon_deg: tuple[float, ...], months: tuple[int, ...]
) -> Place | None:
    """Return sun and climate of the site's position, None without one."""
    if site.position is None:
        return None
    lat_deg, lon_deg = round(site.position.lat_deg, 2), round(site.position.lon_deg, 2)
    climate = climate_for(
        lat_deg,
        lon_deg,
        site.power.clearness,
        site.power.coldest_c,
        months,
        clear_sky_clearness(lat_deg, lon_deg, height_m),
        height_m,
    )
    return Place(lat_deg, lon_deg, height_m, horizon_deg, climate)


def coldest_quantity(site: Site, place: Place | None, months: tuple[int, ...]) -> PowerQuantity:
    """Return the coldest battery temperature: as entered, else from the climate."""
    name, entered = "coldest battery temperature", site.power.coldest_c
    if entered is not None:
        return PowerQuantity(name=name, value=entered, unit="°C", source="plan")
    air = temperature_of(place)
    if air is None:
        return PowerQuantity(name=name, value=None, unit="°C")
    return PowerQuantity(
        name=name,
        value=round(air.coldest_c(months), 1),
        unit="°C",
        source=air.source,
        confidence="from mean and extremes of a ten-year record; a hilltop is colder",
    )


def temperature_of(place: Place | None) -> Temperature | None:
    return None if place is None or place.climate is None else place.climate.temperature


def sun_of(place: Place, power: PowerSystem) -> SunTable:
    """Return the sun on the panel; there must be one."""
    panel, shades = power.panel, shades_of(power)
    assert panel is not None
    tilt = proposed_tilt_deg(place.lat_deg) if panel.tilt_deg is None else panel.tilt_deg
    faces = panel.azimuth_deg
    if faces is None:
        faces = proposed_azimuth_deg(place.lat_deg)
    watched = panel.sunny_hours is not None and not shades
    free = (panel.sunny_hours or 0.0) / WATCHED_HOURS if watched else 1.0
    return sun_table(
        place.lat_deg, place.lon_deg, place.height_m, tilt, faces, place.horizon_deg, free, shades
    )


def solar_supply(site: Site, place: Place, months: tuple[int, ...]) -> SolarSupply:
    """Return the mean yield of every month; panel, battery and climate must be known."""
    panel, battery, climate = site.power.panel, site.power.battery, place.climate
    assert panel is not None
    assert panel.stc_w is not None
    assert battery is not None
    assert climate is not None
    sun = sun_of(place, site.power)
    efficiency = chain_efficiency(panel.controller, battery.chemistry)
    yields = monthly_yield_wh_per_day(
        sun, climate.days, panel.stc_w, efficiency, ambient_c(climate)
    )
    worst = min(months, key=lambda month: float(yields[month - 1]))
    return SolarSupply(
        yield_wh_per_day=tuple(float(y) for y in yields),
        tilt_deg=sun.tilt_deg,
        azimuth_deg=sun.azimuth_deg,
        quantities=(
            PowerQuantity(
                name="mean daily clearness",
                value=float(climate.days.mean[worst - 1]),
                source=climate.source,
                confidence=climate.confidence,
            ),
            *_hidden_sun(place, worst, shades_of(site.power)),
            PowerQuantity(
                name="panel at standard conditions", value=panel.stc_w, unit="W", source="plan"
            ),
            PowerQuantity(
                name="share of the panel's power that is stored",
                value=efficiency,
                source="soiling, mismatch, wiring, mounting, controller, charging",
                confidence="planning values; 62 % were measured on a whole lead-acid system",
            ),
        ),
    )


def _hidden_sun(place: Place, month: int, shades: tuple[Shade, ...]) -> tuple[PowerQuantity, ...]:
    """Hours a day in which ground, trees and walls hide the sun, where any is known."""
    if not place.horizon_deg and not shades:
        return ()
    arc = sun_arc(place.lat_deg, month, place.horizon_deg, shades)
    ground = "horizon from terrain data" if place.horizon_deg else "flat horizon"
    return (
        PowerQuantity(
            name="sun hidden in the worst month",
            value=round(arc.hours_lost, 1),
            unit="h/day",
            source=f"{ground}; trees and walls of the plan" if shades else ground,
            confidence=f"of {arc.hours_up:.1f} h"
            + ("" if shades else "; trees and walls are not in it"),
        ),
    )


def ambient_c(climate: Climate) -> Numbers:
    if climate.temperature is None:
        return np.full(12, STC_CELL_C)
    return climate.temperature.month_c
