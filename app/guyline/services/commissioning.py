"""What the crew's meter should show when the panel is connected, hour by hour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from guyline.core.plan import Plan, Site
from guyline.core.power.climate import HOURS
from guyline.core.power.panel import (
    STC_CELL_C,
    STC_W_M2,
    charger_w,
    delivery_efficiency,
    open_circuit_v,
)
from guyline.core.power.wiring import SHORT_OVER_WORKING_A, wiring_of
from guyline.core.units import Numbers
from guyline.services.site_supply import mission_months, place_of, sun_of, temperature_of

DULL_CLEARNESS = 0.15  # a thick overcast: our choice
CHARGING_OVER_NOMINAL_V = 1.05  # a battery under charge: common practice, no source
DAYLIGHT_W_M2 = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HourExpectation:
    """Readings to expect at a full hour, from an overcast to a cloudless sky.

    Attributes
    ----------
    clock
        Local time of the plan.
    open_v : tuple of float
        Voltage of the panel alone without load, dull and clear. [V]
    short_circuit_a : tuple of float
        Current of the panel alone through the meter, dull and clear. [A]
    charging_a : tuple of float
        Current into the battery, dull and clear. [A]
    """

    clock: datetime
    open_v: tuple[float, float]
    short_circuit_a: tuple[float, float]
    charging_a: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """Readings of one day.

    `panel_open_v` is that of a cold panel without load, `charging_v` the least that the battery
    shows while it is being charged.
    """

    hours: tuple[HourExpectation, ...]
    panel_open_v: float | None
    charging_v: float


def expected_readings(
    plan: Plan,
    site: Site,
    ground_amsl_m: float | None,
    horizon: Sequence[float] | None = None,
    on: date | None = None,
) -> Expectation | None:
    """Return what to expect on a day, by default the first of the mission; None if unknown.

    Notes
    -----
    A panel lying in its own dust or a little off its azimuth brings less. A reading below the
    dull value in open sun means a wrong pole, a shadow or a broken cell.
    """
    panel, battery, day = site.power.panel, site.power.battery, on or plan.incident.start_on
    months = mission_months(plan.incident)
    skyline = tuple(float(h) for h in horizon) if horizon is not None else ()
    place = place_of(site, round(ground_amsl_m or 0.0, -2), skyline, months)
    if day is None or place is None or panel is None or not panel.stc_w or battery is None:
        return None
    wiring = wiring_of(site.power, None, site.power.coldest_c)
    if wiring is None or not wiring.runs:
        return None
    sun, air = sun_of(place, site.power), temperature_of(place)
    air_c = STC_CELL_C if air is None else float(air.month_c[day.month - 1])
    ambient = np.full(12, 25.0) if air is None else np.maximum(air.month_c, 0.1)
    delivered = charger_w(sun, panel.stc_w, delivery_efficiency(panel.controller), ambient)
    clear = float(sun.clear_clearness[day.month - 1])
    bounds = [
        _of_kind(table[day.month - 1], sun.clearness, k)
        for table in (sun.poa_w_m2, delivered)
        for k in (min(DULL_CLEARNESS, clear), clear)
    ]
    battery_v = wiring.runs[-1].voltage_v * CHARGING_OVER_NOMINAL_V
    full_sun_a = panel.stc_w / wiring.runs[0].voltage_v * SHORT_OVER_WORKING_A
    rows = []
    for clock in _daylight(day, plan.incident.time_zone):
        at = [_at_hour(curve, _solar_hour(clock, place.lon_deg)) for curve in bounds]
        if at[1] < DAYLIGHT_W_M2:
            continue
        rows.append(
            HourExpectation(
                clock=clock,
                open_v=(
                    open_circuit_v(wiring.runs[0].voltage_v, at[0], air_c),
                    open_circuit_v(wiring.runs[0].voltage_v, at[1], air_c),
                ),
                short_circuit_a=(full_sun_a * at[0] / STC_W_M2, full_sun_a * at[1] / STC_W_M2),
                charging_a=(at[2] / battery_v, at[3] / battery_v),
            )
        )
    return Expectation(hours=tuple(rows), panel_open_v=wiring.panel_open_v, charging_v=battery_v)


def _of_kind(month_table: Numbers, clearness: Numbers, kind: float) -> Numbers:
    """The 24 hours of a day of some clearness."""
    return np.array([np.interp(kind, clearness, month_table[:, hour]) for hour in range(24)])


def _at_hour(curve: Numbers, solar_hour: float) -> float:
    return float(np.interp(solar_hour, HOURS, curve))


def _daylight(day: date, time_zone: str) -> list[datetime]:
    """The full hours of a day in the plan's time zone, UTC where that is no known zone."""
    try:
        zone: ZoneInfo | None = ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        zone = None
    start = datetime(day.year, day.month, day.day, tzinfo=zone or UTC)
    return [start + timedelta(hours=hour) for hour in range(24)]


def _solar_hour(clock: datetime, lon_deg: float) -> float:
    """Hour of solar time, 0 to 24, from clock, longitude and equation of time."""
    from pvlib.solarposition import equation_of_time_spencer71

    utc = clock.astimezone(UTC)
    minutes = float(equation_of_time_spencer71(utc.timetuple().tm_yday))
    return (utc.hour + utc.minute / 60.0 + lon_deg / 15.0 + minutes / 60.0) % 24.0
