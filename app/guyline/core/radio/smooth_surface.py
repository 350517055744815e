"""Smooth-Earth surface: the straight line that stands for a profile's terrain."""

from __future__ import annotations

import numpy as np

from guyline.core.units import Numbers


def smooth_surface_ends_m(distance_m: Numbers, height_amsl_m: Numbers) -> tuple[float, float]:
    """Heights above sea level at both ends of the least-squares line through the terrain.

    Parameters
    ----------
    distance_m, height_amsl_m : array (N,)
        Distance from the transmitter and bare terrain height. [m]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, Attachment 1, section 5.6.1, eqs. (85) to (88).
    """
    d, h = distance_m, height_amsl_m
    step = np.diff(d)
    total = float(d[-1])
    v1 = float((step * (h[1:] + h[:-1])).sum())
    v2 = float((step * (h[1:] * (2 * d[1:] + d[:-1]) + h[:-1] * (d[1:] + 2 * d[:-1]))).sum())
    return (2.0 * v1 * total - v2) / total**2, (v2 - v1 * total) / total**2


def diffraction_surface_ends_m(
    distance_m: Numbers, height_amsl_m: Numbers, tx_amsl_m: float, rx_amsl_m: float
) -> tuple[float, float]:
    """Heights at both ends of the smooth surface as the diffraction model wants it.

    Lowered by the highest obstruction above the line between the antennas, and never above
    the ground at either end. [m above sea level]

    Parameters
    ----------
    distance_m, height_amsl_m : array (N,)
        Distance from the transmitter and bare terrain height. [m]
    tx_amsl_m, rx_amsl_m : float
        Antenna heights. [m above sea level]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, Attachment 1, section 5.6.2, eqs. (89) to (91).
    """
    near, far = smooth_surface_ends_m(distance_m, height_amsl_m)
    total = float(distance_m[-1])
    d = distance_m[1:-1]
    above_line = height_amsl_m[1:-1] - (tx_amsl_m * (total - d) + rx_amsl_m * d) / total
    highest = float(above_line.max(initial=0.0))
    if highest > 0.0:
        slope_from_tx = float((above_line / d).max())
        slope_from_rx = float((above_line / (total - d)).max())
        tx_part = slope_from_tx / (slope_from_tx + slope_from_rx)
        near -= highest * tx_part
        far -= highest * (1.0 - tx_part)
    return min(near, float(height_amsl_m[0])), min(far, float(height_amsl_m[-1]))
