"""How high the ground stands all round a place: what shades a panel and hides a far site."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from guyline.core.earth import EARTH_RADIUS_M
from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers

# Light bends less than radio: coefficient of terrestrial refraction 0.13 (C. F. Gauss, survey of
# Hanover; the usual value of geodesy), as an effective radius R / (1 - 0.13).
OPTICAL_RADIUS_M = EARTH_RADIUS_M / (1.0 - 0.13)


@dataclass(frozen=True, eq=False, kw_only=True)
class Horizon:
    """Elevation of the horizon by true azimuth.

    Attributes
    ----------
    azimuth_deg : array (N,)
        Ascending from 0, evenly spaced. [degrees from true north, clockwise]
    elevation_deg : array (N,)
        Greatest angle at which ground is seen, negative where the place overlooks all;
        NaN where nothing is known of that direction. [degrees above the horizontal]
    distance_m : array (N,)
        How far away that ground is. [m]
    known_to_m : array (N,)
        How far the ground is known without a gap: beyond, it may stand higher. [m]
    """

    azimuth_deg: Numbers
    elevation_deg: Numbers
    distance_m: Numbers
    known_to_m: Numbers

    def at(self, azimuth_deg: float | Numbers) -> float | Numbers:
        """Elevation toward any azimuth, linear between the computed ones."""
        found = np.interp(azimuth_deg, self.azimuth_deg, self.elevation_deg, period=360.0)
        return float(found) if np.ndim(found) == 0 else found


def azimuths_deg(count: int) -> Numbers:
    return np.arange(count, dtype=np.float64) * (360.0 / count)


def ray_distances_m(nearest_m: float, farthest_m: float, growth: float = 0.005) -> Numbers:
    """Distances at which a ray is sampled: `nearest_m` apart, wider in proportion farther out.

    A crest between two samples is missed by at most its slope times half a step: at a slope of
    45° and a growth of 0.005 by 0.0025 of the distance, which is 0.14°.
    """
    turn_m = nearest_m / growth
    even = np.arange(nearest_m, min(turn_m, farthest_m) + nearest_m / 2.0, nearest_m)
    if farthest_m <= turn_m:
        return even
    steps = math.ceil(math.log(farthest_m / even[-1]) / math.log1p(growth))
    return np.concatenate((even, even[-1] * (1.0 + growth) ** np.arange(1, steps + 1)))


def horizon_of_rays(
    ground_amsl_m: Numbers,
    distance_m: Numbers,
    eye_amsl_m: float,
    effective_radius_m: float = OPTICAL_RADIUS_M,
) -> Horizon:
    r"""Horizon over ground sampled along rays in all directions.

    .. math:: e = \max_d \arctan\frac{h(d) - h_0 - d^2 / 2 a_e}{d}

    Parameters
    ----------
    ground_amsl_m : array (N, M)
        Heights by azimuth (evenly spaced from north) and distance; NaN is unknown. [m amsl]
    distance_m : array (M,)
        Ascending, above 0. [m]
    eye_amsl_m : float
        Height of the panel or antenna. [m amsl]
    effective_radius_m : float
        Effective Earth radius: of light by default. [m]

    Notes
    -----
    Heights of the bare ground: trees and houses stand above it. Ground nearer than the first
    distance is not seen.
    """
    drop = distance_m**2 / (2.0 * effective_radius_m)
    slope = (ground_amsl_m - eye_amsl_m - drop) / distance_m
    seen = np.where(np.isnan(slope), -np.inf, slope)
    highest = seen.argmax(axis=1)
    top = np.take_along_axis(seen, highest[:, None], axis=1)[:, 0]
    void = np.isnan(slope)
    gap = np.where(void.any(axis=1), void.argmax(axis=1), distance_m.size)
    reach = np.concatenate(([0.0], distance_m))
    is_known = np.isfinite(top)
    return Horizon(
        azimuth_deg=azimuths_deg(ground_amsl_m.shape[0]),
        elevation_deg=np.where(is_known, np.degrees(np.arctan(top)), np.nan),
        distance_m=np.where(is_known, distance_m[highest], np.nan),
        known_to_m=reach[gap],
    )


def horizon_of_grid(
    grid: Grid,
    x_m: float,
    y_m: float,
    eye_amsl_m: float,
    farthest_m: float,
    count: int = 360,
    effective_radius_m: float = OPTICAL_RADIUS_M,
) -> Horizon:
    """Horizon at a place of a grid, sampled once a cell along `count` rays.

    Parameters
    ----------
    x_m, y_m : float
        Place in the frame of the grid, whose origin should be near: azimuths are those of the
        frame, true at its origin. [m]
    farthest_m : float
        Length of the rays. [m]
    """
    azimuth = np.radians(azimuths_deg(count))[:, None]
    distance = ray_distances_m(grid.cell_m, farthest_m)
    heights = grid.height_amsl_m(
        x_m + np.sin(azimuth) * distance, y_m + np.cos(azimuth) * distance
    )
    return horizon_of_rays(heights, distance, eye_amsl_m, effective_radius_m)
