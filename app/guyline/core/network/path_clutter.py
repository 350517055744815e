"""Trees and houses along a path, and which of them nothing else counts already."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from guyline.core.earth import EARTH_RADIUS_M
from guyline.core.network.terminal_terms import counts_surroundings
from guyline.core.plan import ClutterBand, Plan, Site, Surroundings
from guyline.core.terrain.profile import Profile
from guyline.core.units import Numbers

BARE_END_M = 50.0
"""About either antenna nothing stands in the profile, as Rec. ITU-R P.452-18 has it: clutter
right beside a low antenna would take tens of decibels. Read in its published code."""

HEIGHT_ON_PATH_M = {
    Surroundings.UNKNOWN: 0.0,
    Surroundings.WATER: 0.0,
    Surroundings.BARE: 0.0,
    Surroundings.OPEN: 0.0,
    Surroundings.SUBURB: 10.0,
    Surroundings.TOWN: 15.0,
    Surroundings.WOODLAND: 15.0,
    Surroundings.DENSE_TOWN: 20.0,
}
"""Heights to add along a profile, Rec. ITU-R P.1812 table 2; from memory."""


def clutter_on_path_m(profile: Profile, bands: Iterable[ClutterBand]) -> Numbers:
    """Height of what stands on the ground at each sample, by map and planner. [m]

    Parameters
    ----------
    profile : Profile
        With what the map of land cover says.
    bands : iterable of ClutterBand
        What the planner drew; it counts instead of the map, the highest where several meet.

    Returns
    -------
    array (N,)
        0 where the terrain data includes trees and roofs: there they stand in the profile.
    """
    drawn = np.full(profile.distance_m.shape, np.nan)
    for band in bands:
        height = HEIGHT_ON_PATH_M[band.kind] if band.height_m is None else band.height_m
        inside = _is_inside(band, profile.lat_deg, profile.lon_deg)
        drawn[inside] = np.fmax(drawn[inside], height)
    clutter = np.where(np.isnan(drawn), profile.clutter_m, drawn)
    return np.where(profile.includes_trees, 0.0, clutter)


def _is_inside(band: ClutterBand, lat_deg: Numbers, lon_deg: Numbers) -> NDArray[np.bool_]:
    """Which places lie within the band, on a plane that touches the Earth at its first end."""
    scale = np.radians(EARTH_RADIUS_M)  # metres in a degree
    shrink = np.cos(np.radians(band.from_lat_deg))

    def plane(lat: Numbers | float, lon: Numbers | float) -> tuple[Numbers, Numbers]:
        east = (np.asarray(lon) - band.from_lon_deg + 180.0) % 360.0 - 180.0
        return east * shrink * scale, (np.asarray(lat) - band.from_lat_deg) * scale

    x, y = plane(lat_deg, lon_deg)
    end_x, end_y = plane(band.to_lat_deg, band.to_lon_deg)
    squared = float(end_x**2 + end_y**2)
    along = (x * end_x + y * end_y) / squared if squared > 0.0 else np.zeros_like(x)
    part = np.clip(along, 0.0, 1.0)
    return np.asarray(np.hypot(x - part * end_x, y - part * end_y) <= band.half_width_m)


def counted_clutter_m(
    distance_m: Numbers, clutter_m: Numbers, near_bare_m: float, far_bare_m: float
) -> Numbers:
    """The clutter without that about either end. [m]

    Parameters
    ----------
    distance_m, clutter_m : array (N,)
        [m]
    near_bare_m, far_bare_m : float
        How far from either end nothing counts. [m]
    """
    away = distance_m[-1] - distance_m
    return np.where((distance_m <= near_bare_m) | (away <= far_bare_m), 0.0, clutter_m)


def bare_ends_m(
    plan: Plan, near: Site, far: Site, profile: Profile, clutter_m: Numbers
) -> tuple[float, float]:
    """How far from either site the clutter of the path is left out. [m]

    Fifty metres; and where a term of the site counts what stands round its antenna, as far as
    the wood or the houses in which it stands go without a gap: the same obstacle, counted there.
    """
    distance = profile.distance_m
    return (
        _bare_end_m(plan, near, distance, clutter_m),
        _bare_end_m(plan, far, distance[-1] - distance[::-1], clutter_m[::-1]),
    )


def _bare_end_m(plan: Plan, site: Site, distance_m: Numbers, clutter_m: Numbers) -> float:
    if not counts_surroundings(plan, site):
        return BARE_END_M
    least = max(BARE_END_M, site.trees_m)
    gaps = np.flatnonzero((clutter_m == 0.0) & (distance_m >= least))
    return float(distance_m[gaps[0]] if gaps.size else distance_m[-1])
