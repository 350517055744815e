"""Effective Earth: the radius at which radio rays become straight lines."""

from __future__ import annotations

from typing import overload

from guyline.core.units import Numbers

EARTH_RADIUS_M = 6_371_000.0  # mean radius as Rec. ITU-R P.1812 and P.452 use it


def effective_radius_m(k: float) -> float:
    """Effective Earth radius. [m]

    Parameters
    ----------
    k : float
        Effective over true radius: 4/3 for the median atmosphere, 2/3 for a hard check.
    """
    return k * EARTH_RADIUS_M


@overload
def earth_bulge_m(d1_m: float, d2_m: float, effective_radius_m: float) -> float: ...
@overload
def earth_bulge_m(d1_m: Numbers, d2_m: Numbers, effective_radius_m: float) -> Numbers: ...
def earth_bulge_m(
    d1_m: float | Numbers, d2_m: float | Numbers, effective_radius_m: float
) -> float | Numbers:
    r"""Height of the curved Earth above the chord between both ends.

    .. math:: b = d_1 d_2 / (2 a_e)

    Parameters
    ----------
    d1_m, d2_m : array (N,) or float
        Distance from the point to either end. [m]
    effective_radius_m : float
        Effective Earth radius. [m]

    Returns
    -------
    array (N,) or float
        [m]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, the term 500 Ce di (d - di) of eq. (13), in SI units.
    """
    return d1_m * d2_m / (2.0 * effective_radius_m)
