"""Lines of latitude and longitude or of the UTM grid over a piece of the map, and its scale."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from guyline.core.plan import Units
from guyline.core.units import Numbers
from guyline.services.geodesy import LocalFrame, Utm, from_utm, utm_position
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.path_view_words import MILE_M

ABOUT_LINES = 4
MOST_LINES = 60  # a line more would be a mesh, not a grid
POINTS = 17  # our choice: enough for a meridian to bend as it does
_MINUTE = 1.0 / 60.0
DEGREE_STEPS = tuple(
    np.array([0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0]) * _MINUTE
)


class GridKind(Enum):
    """Which lines lie over the map; the value is what people read."""

    NONE = "no grid"
    LAT_LON = "lat/lon grid"
    UTM = "UTM grid"


@dataclass(frozen=True, slots=True, eq=False)
class GridLine:
    """One line with its label; `is_upright` where it runs from south to north."""

    x_m: Numbers
    y_m: Numbers
    label: str
    is_upright: bool


def grid_lines(kind: GridKind, frame: LocalFrame, area: Area) -> tuple[GridLine, ...]:
    """The lines that cross an area of the local frame; none beyond the edge of the globe."""
    if not np.isfinite(_corners(frame, area)).all():
        return ()
    if kind is GridKind.LAT_LON:
        return _graticule(frame, area)
    if kind is GridKind.UTM:
        return _utm_lines(frame, area)
    return ()


def scale_bar_m(metres_per_px: float, units: Units, most_px: float = 140.0) -> tuple[float, str]:
    """Length of a round scale bar no longer than `most_px`, and its words."""
    unit_m, name, small = (MILE_M, "mi", "") if units is Units.IMPERIAL else (1000.0, "km", "m")
    room = most_px * metres_per_px / unit_m
    magnitude = 10.0 ** np.floor(np.log10(room))
    value = float(max(m * magnitude for m in (1.0, 2.0, 5.0) if m * magnitude <= room * 1.000001))
    if small and value < 1.0:
        return value * unit_m, f"{value * 1000:.0f} {small}"
    return value * unit_m, f"{value:g} {name}"


def _graticule(frame: LocalFrame, area: Area) -> tuple[GridLine, ...]:
    lats, lons = _corners(frame, area)
    lons = frame.lon0_deg + (lons - frame.lon0_deg + 180.0) % 360.0 - 180.0
    south, north, west, east = lats.min(), lats.max(), lons.min(), lons.max()
    step = _degree_step(max(north - south, (east - west) * np.cos(np.radians(frame.lat0_deg))))
    found = []
    for lon in _rounds(west, east, step):
        x, y = frame.to_xy(np.linspace(south, north, POINTS), np.full(POINTS, lon))
        found.append(GridLine(x, y, _angle_text(lon, "EW", step), is_upright=True))
    for lat in _rounds(south, north, step):
        x, y = frame.to_xy(np.full(POINTS, lat), np.linspace(west, east, POINTS))
        found.append(GridLine(x, y, _angle_text(lat, "NS", step), is_upright=False))
    return tuple(found)


def _utm_lines(frame: LocalFrame, area: Area) -> tuple[GridLine, ...]:
    """Lines of the zone of the map's middle, carried on beyond its edge."""
    middle = utm_position(*_place(frame, area))
    if middle is None:
        return ()
    corners = [
        utm_position(float(lat), float(lon))
        for lat, lon in zip(*_corners(frame, area), strict=True)
    ]
    same = [c for c in corners if c is not None and c.zone == middle.zone]
    same = [c for c in [*same, middle] if c.is_north == middle.is_north]
    half = area.longer_m / 2
    east = (middle.easting_m - half, middle.easting_m + half)
    north = (middle.northing_m - half, middle.northing_m + half)
    if len(same) > 2:
        east = (min(c.easting_m for c in same), max(c.easting_m for c in same))
        north = (min(c.northing_m for c in same), max(c.northing_m for c in same))
    step = _metre_step(max(east[1] - east[0], north[1] - north[0]))
    found = []
    for easting in _rounds(*east, step):
        x, y = _from_utm(frame, middle, np.full(2, easting), np.array(north))
        found.append(GridLine(x, y, f"{easting / 1000:g} E", is_upright=True))
    for northing in _rounds(*north, step):
        x, y = _from_utm(frame, middle, np.array(east), np.full(2, northing))
        found.append(GridLine(x, y, f"{northing / 1000:g} N", is_upright=False))
    return tuple(found)


def _from_utm(
    frame: LocalFrame, zone_of: Utm, easting_m: Numbers, northing_m: Numbers
) -> tuple[Numbers, Numbers]:
    places = [
        from_utm(Utm(zone=zone_of.zone, is_north=zone_of.is_north, easting_m=e, northing_m=n))
        for e, n in zip(easting_m.tolist(), northing_m.tolist(), strict=True)
    ]
    return frame.to_xy([lat for lat, _ in places], [lon for _, lon in places])


def _corners(frame: LocalFrame, area: Area) -> tuple[Numbers, Numbers]:
    part = np.linspace(0.0, 1.0, 3)
    x = area.west_m + part * (area.east_m - area.west_m)
    y = area.south_m + part * (area.north_m - area.south_m)
    lat, lon = frame.to_lat_lon(*np.meshgrid(x, y))
    return lat.ravel(), lon.ravel()


def _place(frame: LocalFrame, area: Area) -> tuple[float, float]:
    lat, lon = frame.to_lat_lon((area.west_m + area.east_m) / 2, (area.south_m + area.north_m) / 2)
    return float(lat), float(lon)


def _degree_step(span_deg: float) -> float:
    return float(min(DEGREE_STEPS, key=lambda s: abs(np.log(span_deg / s / ABOUT_LINES))))


def _metre_step(span_m: float) -> float:
    raw = span_m / ABOUT_LINES
    magnitude = 10.0 ** np.floor(np.log10(raw))
    return float(magnitude * min((1, 2, 5, 10), key=lambda m: abs(np.log(m * magnitude / raw))))


def _rounds(low: float, high: float, step: float) -> list[float]:
    first, last = int(np.ceil(low / step)), int(np.floor(high / step))
    return [n * step for n in range(first, min(last, first + MOST_LINES) + 1)]


def _angle_text(angle_deg: float, letters: str, step_deg: float) -> str:
    """Degrees and minutes, as the site sheet gives positions."""
    folded = (angle_deg + 180.0) % 360.0 - 180.0
    decimals = 2 if step_deg < 0.1 * _MINUTE else 1 if step_deg < 0.99 * _MINUTE else 0
    total = round(abs(folded) * 60.0, decimals)
    degrees, minutes = divmod(total, 60.0)
    letter = letters[0] if folded >= 0.0 else letters[1]
    width = 2 if decimals == 0 else 3 + decimals
    return f"{degrees:.0f}°{minutes:0{width}.{decimals}f}′{letter}"
