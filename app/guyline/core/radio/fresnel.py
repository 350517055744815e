"""Fresnel zones: the room around the line of sight which a radio path needs."""

from __future__ import annotations

from typing import overload

import numpy as np

from guyline.core.radio.path_arrays import broadcast, check_frequency
from guyline.core.units import Numbers, wavelength_m
from guyline.errors import InputError


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
        Distance from the point to either end. [m], >= 0, not both 0; NaN comes back for others.
    frequency_hz : float
        Carrier frequency. [Hz]
    zone : int
        Zone number n, 1 for the first.

    Returns
    -------
    array (N,) or float
        Radius at right angles to the path, 0 at its ends. [m]

    Raises
    ------
    InputError
        A frequency not above zero, a zone below 1, or distances that are no numbers or do not go
        together.

    References
    ----------
    .. [1] Rec. ITU-R P.526, "Propagation by diffraction", Fresnel ellipsoids, in SI units.
    .. [2] Rec. ITU-R P.530-18, section 2.2.1, eq. (3): the practical form, factor 17.3.
    """
    check_frequency(frequency_hz)
    if not zone >= 1:
        raise InputError(f"The Fresnel zone is number {zone}.", advice="The first zone is 1.")
    d1, d2 = broadcast(("distance to one end", d1_m), ("distance to the other end", d2_m))
    on_path = (d1 >= 0.0) & (d2 >= 0.0) & (d1 + d2 > 0.0) & np.isfinite(d1 + d2)
    near, far = np.where(on_path, d1, np.nan), np.where(on_path, d2, np.nan)
    radius = np.sqrt(zone * wavelength_m(frequency_hz) * near * far / (near + far))
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
        Distance from the edge to either end. [m], > 0; NaN comes back for others.
    frequency_hz : float
        Carrier frequency. [Hz]

    Returns
    -------
    array (N,) or float
        Positive for an obstruction.

    Raises
    ------
    InputError
        A frequency not above zero, or arrays that are no numbers or do not go together.

    References
    ----------
    .. [1] Rec. ITU-R P.526, single knife-edge obstacle; P.1812 eq. (14) in mixed units.
    """
    check_frequency(frequency_hz)
    h, d1, d2 = broadcast(
        ("height of the edge", height_m),
        ("distance to one end", d1_m),
        ("distance to the other end", d2_m),
    )
    on_path = (d1 > 0.0) & (d2 > 0.0)
    near, far = np.where(on_path, d1, np.nan), np.where(on_path, d2, np.nan)
    nu = h * np.sqrt(2.0 / wavelength_m(frequency_hz) * (1.0 / near + 1.0 / far))
    return float(nu) if np.ndim(nu) == 0 else nu
