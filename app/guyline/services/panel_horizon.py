"""The horizon round a panel, and what it takes of the sun's way on a day of each month."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import Position
from guyline.core.units import Numbers
from guyline.services.elevation import Terrain
from guyline.services.horizon import horizon_at
from guyline.services.shades import Shade, passing_share
from guyline.services.sun_and_weather import (
    STEPS_PER_HOUR,
    hour_angles_rad,
    skyline_at,
    sun_on_mean_days_deg,
)

PANEL_AGL_M = 1.5  # of a panel on a frame: our choice
DIRECTIONS = 72  # every 5°, 20 minutes of the sun's way


def panel_horizon(terrain: Terrain, position: Position) -> tuple[float, ...] | None:
    """Return the horizon at equal steps of true azimuth from north, None where it is unknown.

    A direction of which the terrain knows nothing counts as flat, and ground below the panel
    as level: neither shades it.
    """
    seen = horizon_at(terrain, position.lat_deg, position.lon_deg, PANEL_AGL_M, count=DIRECTIONS)
    if seen is None:
        return None
    elevation = np.maximum(np.nan_to_num(seen.elevation_deg, nan=0.0), 0.0)
    return tuple(round(float(e), 1) for e in elevation)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunArc:
    """The sun's way on the mean day of a month.

    Attributes
    ----------
    solar_hour, azimuth_deg, elevation_deg : array (N,)
        Where the sun stands while it is up. [h of solar time], [° true], [°]
    share : array (N,)
        Share of its beam that ground, trees and walls leave.
    """

    month: int
    solar_hour: Numbers
    azimuth_deg: Numbers
    elevation_deg: Numbers
    share: Numbers

    @property
    def is_free(self) -> NDArray[np.bool_]:
        """Whether more of the beam arrives than not."""
        free: NDArray[np.bool_] = self.share > 0.5
        return free

    @property
    def hours_up(self) -> float:
        """Hours of sun over a flat horizon."""
        return len(self.solar_hour) / STEPS_PER_HOUR

    @property
    def hours_lost(self) -> float:
        """Hours of them that horizon, trees and walls take of the beam."""
        return float((1.0 - self.share).sum()) / STEPS_PER_HOUR


def sun_arc(
    lat_deg: float,
    month: int,
    horizon_deg: tuple[float, ...] = (),
    shades: tuple[Shade, ...] = (),
) -> SunArc:
    """Return the sun's way on the mean day of a month (1 to 12) over a horizon.

    Parameters
    ----------
    horizon_deg : tuple of float
        Elevation of the horizon at equal steps of azimuth from north; () is a flat one. [°]
    shades : tuple of Shade
        Trees and walls about the panel.
    """
    hours = hour_angles_rad()
    zenith, azimuth = sun_on_mean_days_deg(lat_deg, hours)
    elevation, direction = 90.0 - zenith[month - 1], azimuth[month - 1]
    is_up = elevation > 0.0
    share = passing_share(direction, elevation, shades)
    share = np.where(elevation > skyline_at(direction, horizon_deg), share, 0.0)
    return SunArc(
        month=month,
        solar_hour=(np.degrees(hours) / 15.0 + 12.0)[is_up],
        azimuth_deg=direction[is_up],
        elevation_deg=elevation[is_up],
        share=share[is_up],
    )
