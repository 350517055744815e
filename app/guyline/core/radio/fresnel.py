"""Fresnel zones: the room around the line of sight which a radio path needs."""

from __future__ import annotations

from typing import overload

import numpy as np

from guyline.core.units import Numbers, wavelength_m


@overload
def fresnel_radius_m(d1_m: float, d2_m: float, frequency_hz: float, zone: int = 1) -> float: ...
@overload
def fresnel_radius_m(
    d1_m: Numbers, d2_m: Numbers, frequency_hz: float, zone: int = 1
) -> Numbers: ...
def fresnel_radius_m(
    d1_m: float | Numbers, d2_m: float | Numbers, frequency_hz: float, zone: int = 1
) -> float | Numbers:
    r"""Radius of a Fresnel ellipsoid at a point on the path.

    .. math:: R_n = \sqrt{n \lambda d_1 d_2 / (d_1 + d_2)}

    Parameters
    ----------
    d1_m, d2_m : array (N,) or float
        Distance from the point to either end. [m], >= 0, not both 0
    frequency_hz : float
        Carrier frequency. [Hz]
    zone : int
        Zone number n, 1 for the first.

    Returns
    -------
    array (N,) or float
        Radius at right angles to the path, 0 at its ends. [m]

    References
    ----------
    .. [1] Rec. ITU-R P.526, "Propagation by diffraction", Fresnel ellipsoids, in SI units.
    .. [2] Rec. ITU-R P.530-18, section 2.2.1, eq. (3): the practical form, factor 17.3.
    """
    d1, d2 = np.asarray(d1_m, dtype=np.float64), np.asarray(d2_m, dtype=np.float64)
    radius = np.sqrt(zone * wavelength_m(frequency_hz) * d1 * d2 / (d1 + d2))
    return float(radius) if np.ndim(radius) == 0 else radius


@overload
def diffraction_parameter(
    height_m: float, d1_m: float, d2_m: float, frequency_hz: float
) -> float: ...
@overload
def diffraction_parameter(
    height_m: Numbers, d1_m: Numbers, d2_m: Numbers, frequency_hz: float
) -> Numbers: ...
def diffraction_parameter(
    height_m: float | Numbers,
    d1_m: float | Numbers,
    d2_m: float | Numbers,
    frequency_hz: float,
) -> float | Numbers:
    r"""Fresnel diffraction parameter of an edge beside the line of sight.

    .. math:: \nu = h \sqrt{\frac{2}{\lambda} \left(\frac{1}{d_1} + \frac{1}{d_2}\right)}
              = \sqrt{2}\, h / R_1

    Parameters
    ----------
    height_m : array (N,) or float
        Height of the edge above the line of sight, negative where it clears. [m]
    d1_m, d2_m : array (N,) or float
        Distance from the edge to either end. [m], > 0
    frequency_hz : float
        Carrier frequency. [Hz]

    Returns
    -------
    array (N,) or float
        Positive for an obstruction.

    References
    ----------
    .. [1] Rec. ITU-R P.526, single knife-edge obstacle; P.1812 eq. (14) in mixed units.
    """
    h = np.asarray(height_m, dtype=np.float64)
    d1, d2 = np.asarray(d1_m, dtype=np.float64), np.asarray(d2_m, dtype=np.float64)
    nu = h * np.sqrt(2.0 / wavelength_m(frequency_hz) * (1.0 / d1 + 1.0 / d2))
    return float(nu) if np.ndim(nu) == 0 else nu
