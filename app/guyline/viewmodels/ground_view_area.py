"""Which piece of the Earth the map shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from guyline.core.plan import Plan
from guyline.services.geodesy import LocalFrame
from guyline.services.raster import Bounds

ROOM = 0.25  # share of the sites' extent shown around them
LEAST_ROOM_M = 3_000.0
LARGEST_AREA_M = 150_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A box in the local frame. [m]."""

    west_m: float
    south_m: float
    east_m: float
    north_m: float

    @property
    def longer_m(self) -> float:
        return max(self.east_m - self.west_m, self.north_m - self.south_m)


def origin_of(plan: Plan, bounds: Bounds | None) -> tuple[float, float]:
    """The middle of the sites, else of the terrain: where a frame for the map begins."""
    places = [s.position for s in plan.sites if s.position is not None]
    if places:
        lon0 = places[0].lon_deg
        lons = [(p.lon_deg - lon0 + 180.0) % 360.0 - 180.0 for p in places]
        lats = [p.lat_deg for p in places]
        return (min(lats) + max(lats)) / 2, lon0 + (min(lons) + max(lons)) / 2
    if bounds is not None:
        return (
            (bounds.south_deg + bounds.north_deg) / 2,
            (bounds.west_deg + bounds.east_deg) / 2,
        )
    return 0.0, 0.0


def area_of(
    frame: LocalFrame, places: Sequence[tuple[float, float]], bounds: Bounds | None
) -> Area:
    """The box that shows all places with room around, as far as there is ground."""
    data = None if bounds is None else _box(frame, bounds)
    if not places:
        return _limited(data or Area(west_m=-5e3, south_m=-5e3, east_m=5e3, north_m=5e3))
    x, y = zip(*places, strict=True)
    room = max(ROOM * max(max(x) - min(x), max(y) - min(y)), LEAST_ROOM_M)
    seen = Area(
        west_m=min(x) - room, south_m=min(y) - room, east_m=max(x) + room, north_m=max(y) + room
    )
    if data is None:
        return _limited(seen)
    cut = Area(
        west_m=max(seen.west_m, data.west_m),
        south_m=max(seen.south_m, data.south_m),
        east_m=min(seen.east_m, data.east_m),
        north_m=min(seen.north_m, data.north_m),
    )
    is_empty = cut.east_m <= cut.west_m or cut.north_m <= cut.south_m
    return _limited(seen if is_empty else cut)


def _box(frame: LocalFrame, bounds: Bounds) -> Area:
    """The box round the corners and edges of the data."""
    part = np.linspace(0.0, 1.0, 9)
    lat = bounds.south_deg + part * (bounds.north_deg - bounds.south_deg)
    lon = bounds.west_deg + part * (bounds.east_deg - bounds.west_deg)
    x, y = frame.to_xy(*np.meshgrid(lat, lon))
    return Area(
        west_m=float(x.min()),
        south_m=float(y.min()),
        east_m=float(x.max()),
        north_m=float(y.max()),
    )


def _limited(area: Area) -> Area:
    """The same middle with sides that can be read in a moment."""
    half = LARGEST_AREA_M / 2
    x, y = (area.west_m + area.east_m) / 2, (area.south_m + area.north_m) / 2
    return Area(
        west_m=max(area.west_m, x - half),
        south_m=max(area.south_m, y - half),
        east_m=min(area.east_m, x + half),
        north_m=min(area.north_m, y + half),
    )
