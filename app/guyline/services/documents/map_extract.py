"""The ground round a site, for the map on its sheet."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from guyline.core.plan import Plan, Site
from guyline.services.documents.content import MapExtract, Neighbour
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame
from guyline.services.map_layers import MapLayers

NEAREST_M, FARTHEST_M = 1_500.0, 6_000.0  # our choice: a walk, and a drive
ROUND_NEIGHBOURS = 1.15  # our choice: room for the names of those at the edge
WIDE = 1.7  # widest shape of the map on any paper, width over height
CELLS = 150  # our choice, from the middle to the rim and back: finer is not seen on paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What maps are drawn from: the elevation files and the layers of the plan."""

    terrain: Terrain
    layers: MapLayers


def map_extract(
    plan: Plan, site: Site, ground: Ground | None, neighbours: tuple[Neighbour, ...]
) -> MapExtract | None:
    """Heights and areas round a site; None without position or without any height there."""
    if site.position is None or ground is None:
        return None
    frame = LocalFrame(site.position.lat_deg, site.position.lon_deg)
    half = _half_m(neighbours)
    grid = ground.terrain.grid(frame, -WIDE * half, -half, WIDE * half, half, 2.0 * half / CELLS)
    if np.isnan(grid.ground_amsl_m).all():
        return None
    return MapExtract(grid=grid, half_m=half, shapes=ground.layers.shapes(plan.map_layers))


def _half_m(neighbours: tuple[Neighbour, ...]) -> float:
    """From the site to the upper edge of the map: to the farthest linked site, within bounds."""
    linked = [hypot(n.east_m, n.north_m) for n in neighbours if n.is_linked]
    wanted = ROUND_NEIGHBOURS * max(linked, default=NEAREST_M)
    return min(max(wanted, NEAREST_M), FARTHEST_M)


def credits_of_ground(plan: Plan) -> str:
    """Who made the ground that heights, levels and the map come from, as licences ask."""
    told = [
        ", ".join(part for part in (source.description or source.path, source.licence) if part)
        for source in plan.terrain_sources
    ]
    if plan.land_cover_path:
        told.append(f"land cover: {plan.land_cover_licence or 'its maker is not named'}")
    return f"Ground: {'; '.join(dict.fromkeys(told))}." if told else ""
