"""Bullington's construction: a whole terrain profile as one equivalent knife edge."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np

from guyline.core.radio.knife_edge import knife_edge_loss_db
from guyline.core.units import Numbers


def equivalent_edge_nu(
    distance_m: Numbers,
    height_amsl_m: Numbers,
    tx_amsl_m: float,
    rx_amsl_m: float,
    path_wavelength_m: float,
    effective_radius_m: float,
) -> float:
    """Diffraction parameter of the edge that stands for the whole profile.

    On a clear path this is the worst interior sample, otherwise the crossing of the
    horizon rays of both ends. Minus infinity where there is no interior sample.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.3.1, eqs. (13) to (18), in SI units.
    """
    total = float(distance_m[-1])
    d = distance_m[1:-1]
    if d.size == 0:
        return -float("inf")
    rest = total - d
    raised = height_amsl_m[1:-1] + d * rest / (2.0 * effective_radius_m)
    steepest_from_tx = float(((raised - tx_amsl_m) / d).max())
    slope_to_rx = (rx_amsl_m - tx_amsl_m) / total
    if steepest_from_tx < slope_to_rx:
        above_line = raised - (tx_amsl_m * rest + rx_amsl_m * d) / total
        return float((above_line * np.sqrt(2.0 * total / (path_wavelength_m * d * rest))).max())
    steepest_from_rx = float(((raised - rx_amsl_m) / rest).max())
    edge = (rx_amsl_m - tx_amsl_m + steepest_from_rx * total) / (
        steepest_from_tx + steepest_from_rx
    )
    chord = (tx_amsl_m * (total - edge) + rx_amsl_m * edge) / total
    edge_above = tx_amsl_m + steepest_from_tx * edge - chord
    return edge_above * sqrt(2.0 * total / (path_wavelength_m * edge * (total - edge)))


def bullington_loss_db(
    distance_m: Numbers,
    height_amsl_m: Numbers,
    tx_amsl_m: float,
    rx_amsl_m: float,
    path_wavelength_m: float,
    effective_radius_m: float,
) -> float:
    r"""Loss of the Bullington part of the diffraction model, in dB.

    .. math:: L = J(\nu) + (1 - e^{-J(\nu)/6})(10 + 0.02 d_{km})

    Parameters
    ----------
    distance_m, height_amsl_m : array (N,)
        Distance from the transmitter and height of the obstacles, clutter included. [m]
    tx_amsl_m, rx_amsl_m : float
        Antenna heights. [m above sea level]
    path_wavelength_m : float
        Wavelength. [m]
    effective_radius_m : float
        Effective Earth radius. [m]

    Notes
    -----
    Not for use alone: over flat ground it lacks up to 20 dB; see `diffraction`.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.3.1, eqs. (13) to (21).
    """
    nu = equivalent_edge_nu(
        distance_m, height_amsl_m, tx_amsl_m, rx_amsl_m, path_wavelength_m, effective_radius_m
    )
    return corrected_edge_loss_db(nu, float(distance_m[-1]))


def corrected_edge_loss_db(nu: float, distance_m: float) -> float:
    """Knife-edge loss with Bullington's empirical correction for a path of that length, in dB."""
    edge_db = knife_edge_loss_db(nu)
    return edge_db + (1.0 - exp(-edge_db / 6.0)) * (10.0 + 0.02 * distance_m / 1000.0)
