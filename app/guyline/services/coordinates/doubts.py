"""What may be wrong with a position that reads well: the errors people make with coordinates."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from guyline.core.plan import Plan, Site, SiteFunction, SiteId
from guyline.services.elevation import Bounds, Terrain
from guyline.services.geodesy import LocalFrame, inverse

# Our choices, each a distance at which a mistake is likelier than an intention.
FAR_M = 60_000.0
TWIN_M = 25.0
TWIN_DEG = 0.001  # 111 m of latitude: beyond it nothing is a twin
COARSE_M = 100.0
HEIGHT_M = 50.0  # beyond the vertical error of a handheld receiver, 10 to 20 m by common practice
MOVED_M = 40.0  # beyond what a receiver jumps by itself
DATUM_M = 1_000.0  # shifts between the datums in use are 50 to 700 m, by common practice
GATE_M, GATE_RISE_M = 300.0, 30.0  # how far a gate stands from its mast, and how much lower


class DoubtCode(StrEnum):
    """Which mistake it looks like."""

    SWAPPED = "latitude and longitude swapped"
    SIGN_LOST = "sign or hemisphere lost"
    FAR_AWAY = "far from the plan"
    NO_PLACE = "0, 0"
    HEIGHT = "height against terrain"
    MOVED = "moved since the last version"
    GATE = "the gate and not the mast"
    TWIN = "two sites in one place"
    COARSE = "few digits"


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A suspicion in words; `instead` is the place that may have been meant."""

    code: DoubtCode
    message: str
    instead: tuple[float, float] | None = None


def doubts(
    lat_deg: float,
    lon_deg: float,
    *,
    plan: Plan | None = None,
    terrain: Terrain | None = None,
    stated_amsl_m: float | None = None,
    resolution_m: float | None = None,
    site_id: SiteId | None = None,
) -> tuple[Doubt, ...]:
    """Return what speaks against a position, the gravest first.

    Parameters
    ----------
    plan
        Its other sites say where the job is.
    terrain
        Its files say so too, and how high the ground is.
    stated_amsl_m
        Height that came with the position. [m amsl]
    resolution_m
        How far the position may be off for want of digits. [m]
    site_id
        The site that the position is for, which is no twin of itself. What the plan says of it
        is its last version.
    """
    others = [s for s in plan.sites if s.site_id != site_id] if plan is not None else []
    known = _site_of(plan, site_id)
    box = None if terrain is None else terrain.bounds
    misplaced = _misplaced(lat_deg, lon_deg, others, box)
    found = [
        _no_place(lat_deg, lon_deg),
        misplaced,
        _height(lat_deg, lon_deg, terrain, stated_amsl_m),
        None if misplaced else _moved(lat_deg, lon_deg, known),
        _gate(lat_deg, lon_deg, terrain, known),
        _twin(lat_deg, lon_deg, others),
        _coarse(resolution_m),
    ]
    return tuple(doubt for doubt in found if doubt is not None)


def _no_place(lat_deg: float, lon_deg: float) -> Doubt | None:
    if abs(lat_deg) > 0.01 or abs(lon_deg) > 0.01:
        return None
    return Doubt(
        code=DoubtCode.NO_PLACE,
        message="Latitude and longitude are both 0: an empty field, not a place.",
    )


def _misplaced(
    lat_deg: float, lon_deg: float, others: Iterable[Site], box: Bounds | None
) -> Doubt | None:
    places = [s.position for s in others if s.position is not None]

    def is_near(lat: float, lon: float) -> bool:
        if abs(lat) > 90.0:
            return False
        if box is not None and box.contains(lat, lon):
            return True
        return any(_distance_m(lat, lon, p.lat_deg, p.lon_deg) < FAR_M for p in places)

    if (not places and box is None) or is_near(lat_deg, lon_deg):
        return None
    for code, lat, lon, what in _mistakes(lat_deg, lon_deg):
        if is_near(lat, lon):
            return Doubt(
                code=code,
                message=f"Far from everything else of the plan, but near it with {what}.",
                instead=(lat, lon),
            )
    return Doubt(code=DoubtCode.FAR_AWAY, message=_far_message(lat_deg, lon_deg, others))


def _mistakes(lat: float, lon: float) -> Iterable[tuple[DoubtCode, float, float, str]]:
    yield DoubtCode.SIGN_LOST, -lat, lon, "the other hemisphere, north for south"
    yield DoubtCode.SIGN_LOST, lat, -lon, "the other hemisphere, east for west"
    yield DoubtCode.SIGN_LOST, -lat, -lon, "both hemispheres changed"
    for lat_sign in (1.0, -1.0):
        for lon_sign in (1.0, -1.0):
            changed = "" if lat_sign == lon_sign == 1.0 else ", and a sign"
            words = f"latitude and longitude swapped{changed}"
            yield DoubtCode.SWAPPED, lat_sign * lon, lon_sign * lat, words


def _far_message(lat_deg: float, lon_deg: float, others: Iterable[Site]) -> str:
    distances = [
        (_distance_m(lat_deg, lon_deg, s.position.lat_deg, s.position.lon_deg), s.site_id)
        for s in others
        if s.position is not None
    ]
    if not distances:
        return "Outside the terrain data of the plan."
    distance, nearest = min(distances)
    return f"{distance / 1000:.0f} km from the nearest other site, {nearest}."


def _height(
    lat_deg: float, lon_deg: float, terrain: Terrain | None, stated_amsl_m: float | None
) -> Doubt | None:
    if terrain is None or stated_amsl_m is None:
        return None
    ground = terrain.height_amsl_m(lat_deg, lon_deg)
    if math.isnan(ground) or abs(stated_amsl_m - ground) <= HEIGHT_M:
        return None
    return Doubt(
        code=DoubtCode.HEIGHT,
        message=(
            f"{stated_amsl_m:.0f} m was stated, the terrain says {ground:.0f} m: another place, "
            "or a height above the ellipsoid?"
        ),
    )


def _site_of(plan: Plan | None, site_id: SiteId | None) -> Site | None:
    is_known = plan is not None and site_id is not None and plan.has_site(site_id)
    return plan.site(site_id) if is_known and plan and site_id else None


def _moved(lat_deg: float, lon_deg: float, known: Site | None) -> Doubt | None:
    """Doubt a position that is another one than the site had, by more than that was unsure."""
    if known is None or known.position is None:
        return None
    was = known.position
    moved_m = _distance_m(lat_deg, lon_deg, was.lat_deg, was.lon_deg)
    if moved_m <= max(MOVED_M, 2.0 * (was.uncertainty_m or 0.0)):
        return None
    reason = (
        "another datum, or the gate for the mast?" if moved_m < DATUM_M else "is it the same site?"
    )
    far = f"{moved_m:.0f} m" if moved_m < 10_000 else f"{moved_m / 1000:.0f} km"
    return Doubt(code=DoubtCode.MOVED, message=f"{far} from where it was: {reason}")


def _gate(
    lat_deg: float, lon_deg: float, terrain: Terrain | None, known: Site | None
) -> Doubt | None:
    """Doubt the position of a relay below higher ground: relays stand on top of it."""
    if terrain is None or known is None or known.function is not SiteFunction.RELAY:
        return None
    ground = terrain.height_amsl_m(lat_deg, lon_deg)
    top_m, way_m = _highest_near(lat_deg, lon_deg, terrain)
    if not top_m - ground > GATE_RISE_M:  # also where either is unknown
        return None
    return Doubt(
        code=DoubtCode.GATE,
        message=(
            f"The ground rises {top_m - ground:.0f} m within {way_m:.0f} m: is this the gate, and "
            "the mast higher up?"
        ),
    )


def _highest_near(lat_deg: float, lon_deg: float, terrain: Terrain) -> tuple[float, float]:
    """Return height and distance of the highest ground round a place, NaN where none is known."""
    bearing = np.deg2rad(np.arange(0.0, 360.0, 22.5))
    radius = np.arange(50.0, GATE_M + 1.0, 50.0)[:, np.newaxis]
    lat, lon = LocalFrame(lat_deg, lon_deg).to_lat_lon(
        radius * np.sin(bearing), radius * np.cos(bearing)
    )
    heights = terrain.height_amsl_m(lat, lon)
    if np.isnan(heights).all():
        return math.nan, math.nan
    at = int(np.nanargmax(heights))
    return float(heights.flat[at]), float(radius[at // bearing.size, 0])


def _twin(lat_deg: float, lon_deg: float, others: Iterable[Site]) -> Doubt | None:
    for site in others:
        if site.position is None or abs(site.position.lat_deg - lat_deg) > TWIN_DEG:
            continue  # thousands of sites need no measuring
        distance = _distance_m(lat_deg, lon_deg, site.position.lat_deg, site.position.lon_deg)
        if distance < TWIN_M:
            return Doubt(
                code=DoubtCode.TWIN,
                message=f"{distance:.0f} m from {site.site_id}: the same place twice?",
            )
    return None


def _coarse(resolution_m: float | None) -> Doubt | None:
    if resolution_m is None or resolution_m <= COARSE_M:
        return None
    return Doubt(
        code=DoubtCode.COARSE,
        message=f"So few digits leave it open by {resolution_m:.0f} m: ask for more.",
    )


def _distance_m(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    return inverse(lat1, lon1, lat2, lon2).distance_m
