"""Imported places as sites to look at before they enter the plan."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from guyline.core.plan import Plan, Position, Site, SiteFunction, SiteId
from guyline.services.coordinates import Doubt, DoubtCode, doubts
from guyline.services.coordinates.doubts import TWIN_DEG, TWIN_M
from guyline.services.elevation import Terrain
from guyline.services.geodesy import inverse
from guyline.services.interchange.place import Place

_LONGEST_IDENTIFIER = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A site that an imported place would become.

    `twin_id` is a site of the plan, or an earlier one of the same import, that seems to be the
    same: by its identifier, or because it stands within 25 m.
    """

    place: Place
    site: Site
    doubts: tuple[Doubt, ...] = ()
    twin_id: SiteId | None = None


def proposals(
    plan: Plan,
    places: Sequence[Place],
    terrain: Terrain | None = None,
    *,
    source: str = "",
    keep_heights: bool = False,
) -> tuple[Proposal, ...]:
    """Return what would be added to a plan, with what speaks against each place.

    Parameters
    ----------
    source
        Where the places are from, for those that do not say it themselves.
    keep_heights
        Whether heights of the file overrule the terrain data; else they only raise doubts.
    """
    taken = {str(site.site_id) for site in plan.sites}
    known = _KnownSites(plan.sites)
    found: list[Proposal] = []
    for number, place in enumerate(places, 1):
        twin = known.twin_of(place)
        site_id = _free_identifier(place, number, taken)
        taken.add(site_id)
        site = _site(place, site_id, source, keep_heights=keep_heights)
        known.add(site)
        found.append(
            Proposal(
                place=place,
                site=site,
                doubts=_doubts(plan, place, terrain, known.named(place)),
                twin_id=twin,
            )
        )
    return tuple(found)


def with_new_sites(plan: Plan, accepted: Iterable[Proposal]) -> Plan:
    """Return the plan with the accepted sites added."""
    return replace(plan, sites=(*plan.sites, *(proposal.site for proposal in accepted)))


def _doubts(
    plan: Plan, place: Place, terrain: Terrain | None, site_id: SiteId | None
) -> tuple[Doubt, ...]:
    found = doubts(
        place.lat_deg,
        place.lon_deg,
        plan=plan,
        terrain=terrain,
        stated_amsl_m=place.height_m,
        site_id=site_id,
    )
    return tuple(doubt for doubt in found if doubt.code is not DoubtCode.TWIN)


class _KnownSites:
    """Sites by their identifier and by strips of latitude, to find a twin among thousands."""

    def __init__(self, sites: Iterable[Site]) -> None:
        self._by_name: dict[str, SiteId] = {}
        self._strips: dict[int, list[Site]] = {}
        for site in sites:
            self.add(site)

    def add(self, site: Site) -> None:
        self._by_name.setdefault(str(site.site_id).casefold(), site.site_id)
        if site.position is not None:
            self._strips.setdefault(_strip(site.position.lat_deg), []).append(site)

    def named(self, place: Place) -> SiteId | None:
        """Return the site of that identifier."""
        return self._by_name.get(place.identifier.casefold()) if place.identifier else None

    def twin_of(self, place: Place) -> SiteId | None:
        """Return the site of that identifier, else the first one in the same place."""
        named = self.named(place)
        if named is not None:
            return named
        strip = _strip(place.lat_deg)
        near = (s for n in (strip, strip - 1, strip + 1) for s in self._strips.get(n, ()))
        return next((s.site_id for s in near if s.position and _is_near(s.position, place)), None)


def _strip(lat_deg: float) -> int:
    return math.floor(lat_deg / TWIN_DEG)


def _is_near(position: Position, place: Place) -> bool:
    if abs(position.lat_deg - place.lat_deg) > TWIN_DEG:  # no need to measure
        return False
    way = inverse(position.lat_deg, position.lon_deg, place.lat_deg, place.lon_deg)
    return way.distance_m < TWIN_M


def _free_identifier(place: Place, number: int, taken: set[str]) -> str:
    """Return an identifier that is printable, short and not taken yet."""
    wish = "".join(c if c.isprintable() else " " for c in place.identifier or place.name)
    wish = " ".join(wish.split())[:_LONGEST_IDENTIFIER].strip() or f"P{number}"
    if wish not in taken:
        return wish
    stem = wish[: _LONGEST_IDENTIFIER - 5].strip()
    return next(f"{stem}-{n}" for n in range(2, 100_000) if f"{stem}-{n}" not in taken)


def _site(place: Place, site_id: str, source: str, *, keep_heights: bool) -> Site:
    height_m = place.height_m if keep_heights else None
    return Site(
        site_id=SiteId(site_id),
        name=place.name or (place.identifier if place.identifier != site_id else ""),
        function=place.function or SiteFunction.END_POINT,
        position=Position(
            lat_deg=place.lat_deg,
            lon_deg=place.lon_deg,
            source=place.source or source,
            uncertainty_m=place.uncertainty_m,
        ),
        ground_amsl_m=height_m,
        ground_source=source if height_m is not None else "",
        antenna_agl_m=place.antenna_agl_m,
        notes=place.notes,
    )
