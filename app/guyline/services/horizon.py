"""The horizon round a place, from the terrain of a plan."""

from __future__ import annotations

import numpy as np

from guyline.core.terrain.horizon import (
    OPTICAL_RADIUS_M,
    Horizon,
    azimuths_deg,
    horizon_of_rays,
    ray_distances_m,
)
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame

FARTHEST_M = 40_000.0  # our choice: a summit 1000 m above the eye still stands 1.3° high there


def horizon_at(
    terrain: Terrain,
    lat_deg: float,
    lon_deg: float,
    agl_m: float,
    *,
    farthest_m: float = FARTHEST_M,
    count: int = 360,
    effective_radius_m: float = OPTICAL_RADIUS_M,
) -> Horizon | None:
    """Horizon seen `agl_m` above the ground of a place, None where that ground is unknown."""
    ground_amsl_m = terrain.height_amsl_m(lat_deg, lon_deg)
    if np.isnan(ground_amsl_m):
        return None
    azimuth = np.radians(azimuths_deg(count))[:, None]
    distance = ray_distances_m(terrain.pitch_m(lat_deg, lon_deg), farthest_m)
    lat, lon = LocalFrame(lat_deg, lon_deg).to_lat_lon(
        np.sin(azimuth) * distance, np.cos(azimuth) * distance
    )
    heights = terrain.height_amsl_m(lat, lon)
    return horizon_of_rays(heights, distance, ground_amsl_m + agl_m, effective_radius_m)
