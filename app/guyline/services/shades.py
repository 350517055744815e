"""Trees and walls about a panel, as somebody entered them: what they let through of the sun."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from guyline.core.plan import PowerSystem
from guyline.core.units import Numbers

# A partly shaded small panel loses more than the shaded area: dappled light counts as three
# tenths of the beam. From memory; deciduous crowns in leaf 0.10 to 0.25, bare 0.50 to 0.75,
# conifers 0.05 to 0.15.
DAPPLED = 0.3


class Shade(NamedTuple):
    """An obstacle from one true azimuth clockwise to another, up to an elevation."""

    from_deg: float
    to_deg: float
    elevation_deg: float
    passes: float
    """Share of the light that gets through."""


def shades_of(power: PowerSystem) -> tuple[Shade, ...]:
    """Return the obstacles of which place and height are known."""
    return tuple(
        Shade(
            obstacle.from_azimuth_deg % 360.0,
            obstacle.to_azimuth_deg % 360.0,
            obstacle.elevation_deg,
            DAPPLED if obstacle.pass_fraction is None else obstacle.pass_fraction,
        )
        for obstacle in power.obstacles
        if obstacle.from_azimuth_deg is not None
        and obstacle.to_azimuth_deg is not None
        and obstacle.elevation_deg is not None
    )


def missing_of_shades(power: PowerSystem) -> tuple[str, ...]:
    """Names of the obstacles whose place or height nobody entered."""
    return tuple(
        f"where and how high {obstacle.name or 'an obstacle'} stands"
        for obstacle in power.obstacles
        if None in (obstacle.from_azimuth_deg, obstacle.to_azimuth_deg, obstacle.elevation_deg)
    )


def passing_share(
    azimuth_deg: Numbers, elevation_deg: Numbers, shades: tuple[Shade, ...]
) -> Numbers:
    """Share of the light from some directions that obstacles let through, 1 without any.

    An obstacle whose two azimuths are the same stands all round. Where several stand behind one
    another the light passes through all of them.
    """
    share: Numbers = np.ones(np.broadcast(azimuth_deg, elevation_deg).shape)
    for shade in shades:
        width = (shade.to_deg - shade.from_deg) % 360.0 or 360.0
        inside = (azimuth_deg - shade.from_deg) % 360.0 <= width
        share = np.where(
            inside & (elevation_deg < shade.elevation_deg), share * shade.passes, share
        )
    return share
