"""Magnetic declination, from the World Magnetic Model."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date
from functools import cache
from threading import Lock

from pygeomag import GeoMag

_MODEL = "WMM-2025"
_LOCK = Lock()  # the library keeps the sums of a call in its object


@dataclass(frozen=True, slots=True, kw_only=True)
class Declination:
    """Angle from true to magnetic north, east positive; magnetic bearing = true - `deg`."""

    deg: float
    model: str
    on: date


def declination(
    lat_deg: float, lon_deg: float, height_amsl_m: float, on: date
) -> Declination | None:
    """Declination at a place on a day, None outside the model's life of five years.

    Notes
    -----
    The model wants heights above the ellipsoid; 100 m of difference change the declination by
    less than 0.01°.

    References
    ----------
    .. [1] NOAA/NCEI and BGS, "The World Magnetic Model 2025", valid 2025.0 to 2030.0.
    """
    with _LOCK:
        model = _model()
        first, last = model.life_span
    year = _decimal_year(on)
    if not first <= year < last:
        return None
    with _LOCK:
        found = model.calculate(glat=lat_deg, glon=lon_deg, alt=height_amsl_m / 1000.0, time=year)
    return Declination(deg=float(found.d), model=_MODEL, on=on)


@cache
def _model() -> GeoMag:
    return GeoMag(base_year=2025)


def _decimal_year(on: date) -> float:
    days = 366 if calendar.isleap(on.year) else 365
    return on.year + (on.timetuple().tm_yday - 1) / days
