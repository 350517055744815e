"""A place as it travels between programs: no telephone numbers, no keys, nothing of the kit."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from guyline.core.plan import Plan, Site, SiteFunction
from guyline.errors import InputError

MOST_PLACES = 5_000
MOST_BYTES = 20_000_000
LONGEST_TEXT = 10_000
DEGREE_DECIMALS = 7  # 1 cm
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One place; None and "" are what the file does not tell.

    `height_m` is the height of the ground as written beside the place. A satellite receiver
    may mean the ellipsoid, so it is shown and doubted before it is believed.
    """

    lat_deg: float
    lon_deg: float
    identifier: str = ""
    name: str = ""
    height_m: float | None = None
    antenna_agl_m: float | None = None
    uncertainty_m: float | None = None
    function: SiteFunction | None = None
    notes: str = ""
    source: str = ""
    """How the position came about, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A link as two places, for maps of other programs."""

    from_place: Place
    to_place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesRead:
    """What a file gave, and in sentences what it did not."""

    places: tuple[Place, ...]
    problems: tuple[str, ...] = ()


def places_of_plan(plan: Plan, *, with_notes: bool = False) -> tuple[Place, ...]:
    """Return the sites that have a position; notes only where asked, they may hold secrets."""
    return tuple(
        _place_of(site, with_notes=with_notes) for site in plan.sites if site.position is not None
    )


def lines_of_plan(plan: Plan) -> tuple[Line, ...]:
    """Return the links whose two sites have a position."""
    by_id = {place.identifier: place for place in places_of_plan(plan)}
    return tuple(
        Line(from_place=by_id[link.from_id], to_place=by_id[link.to_id])
        for link in plan.links
        if link.from_id in by_id and link.to_id in by_id
    )


def _place_of(site: Site, *, with_notes: bool) -> Place:
    assert site.position is not None
    return Place(
        lat_deg=site.position.lat_deg,
        lon_deg=site.position.lon_deg,
        identifier=str(site.site_id),
        name=site.name,
        height_m=site.ground_amsl_m,
        antenna_agl_m=site.antenna_agl_m,
        uncertainty_m=site.position.uncertainty_m,
        function=site.function,
        notes=site.notes if with_notes else "",
        source=site.position.source,
    )


def clean(text: str | None) -> str:
    """Return a text that every format can carry: no control characters, at a fair length."""
    text = (text or "").replace("\r\n", "\n").replace("\r", "\n")
    return _NOT_TEXT.sub(" ", text).strip()[:LONGEST_TEXT].strip()


def finite(value: str | float | None) -> float | None:
    """Return a number, None where there is none.

    Raises
    ------
    InputError
        It is no number, or an endless one.
    """
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    try:
        number = float(value)
    except (ValueError, OverflowError):
        number = math.nan
    if not math.isfinite(number):
        raise InputError(f"has “{str(value)[:40]}” where a number should be")
    return number


def position_problem(lat_deg: float | None, lon_deg: float | None) -> str:
    """Return what is wrong with a position, empty where nothing is."""
    if lat_deg is None or lon_deg is None:
        return "has no position"
    if not -90.0 <= lat_deg <= 90.0:
        return f"has a latitude of {lat_deg:g}, beyond 90 degrees"
    if not -180.0 <= lon_deg <= 180.0:
        return f"has a longitude of {lon_deg:g}, beyond 180 degrees"
    return ""


def function_of(text: str | None) -> SiteFunction | None:
    """Return a site's function from its word, None for any other text."""
    word = (text or "").strip().lower()
    return next((f for f in SiteFunction if f.value == word), None)


def check_size(data: bytes) -> None:
    if len(data) > MOST_BYTES:
        raise InputError(
            f"The file has {len(data) / 1e6:.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB.",
            advice="Cut it down to the places that matter.",
        )


def check_count(places: Sequence[object]) -> None:
    if len(places) > MOST_PLACES:
        raise InputError(
            f"The file has {len(places):,} places, more than {MOST_PLACES:,}.",
            advice="Cut it down to the places that matter.",
        )
