"""Diffraction loss over a smooth spherical Earth."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, log10, pi, sqrt

from guyline.core.units import SPEED_OF_LIGHT_M_S


@dataclass(frozen=True, slots=True)
class Ground:
    """Electrical properties of the surface."""

    relative_permittivity: float
    conductivity_s_m: float


LAND = Ground(22.0, 0.003)  # Rec. ITU-R P.1812, section 4.3.3
SEA = Ground(80.0, 5.0)  # Rec. ITU-R P.1812, section 4.3.3


def spherical_earth_loss_db(
    distance_m: float,
    tx_height_m: float,
    rx_height_m: float,
    frequency_hz: float,
    effective_radius_m: float,
    *,
    polarisation: str = "vertical",
    sea_fraction: float = 0.0,
    path_wavelength_m: float | None = None,
) -> float:
    """Diffraction loss over a smooth spherical Earth, in dB.

    Beyond the radio horizon the first term of the residue series; nearer than that an
    interpolation which ends at 0 dB where 0.552 of the first Fresnel zone is clear.

    Parameters
    ----------
    distance_m : float
        Length of the path. [m], > 0
    tx_height_m, rx_height_m : float
        Antenna heights above the smooth surface. [m], >= 0
    frequency_hz : float
        Carrier frequency. [Hz]
    effective_radius_m : float
        Effective Earth radius. [m]
    polarisation : str
        "vertical" or "horizontal".
    sea_fraction : float
        Part of the path over sea, 0 to 1.
    path_wavelength_m : float, optional
        Where a standard rounds the speed of light; otherwise the exact one is used. [m]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.3.2, eqs. (22) to (28).
    .. [2] Rec. ITU-R P.526, diffraction over a spherical Earth.
    """
    wavelength = path_wavelength_m or SPEED_OF_LIGHT_M_S / frequency_hz
    d, radius = distance_m / 1000.0, effective_radius_m / 1000.0  # the Recommendation's km
    h1, h2 = tx_height_m, rx_height_m

    def first_term(radius_km: float) -> float:
        return _first_term_over_both_db(
            d, h1, h2, frequency_hz / 1e9, radius_km, polarisation, sea_fraction
        )

    horizon = sqrt(2.0 * radius) * (sqrt(0.001 * h1) + sqrt(0.001 * h2))  # eq. (22)
    if d >= horizon:
        return first_term(radius)
    clearance, needed = _smooth_clearance_m(d, h1, h2, radius, wavelength)
    if clearance > needed:
        return 0.0
    marginal_radius = 500.0 * (d / (sqrt(h1) + sqrt(h2))) ** 2  # eq. (27)
    loss = first_term(marginal_radius)
    if loss < 0.0:
        return 0.0
    # eq. (28); an antenna on the ground needs no room and has none: the limit of the quotient is 0
    return (1.0 - clearance / needed) * loss if needed > 0.0 else loss


def _smooth_clearance_m(
    d: float, h1: float, h2: float, radius: float, wavelength: float
) -> tuple[float, float]:
    """Smallest clearance over the curved surface and the one that costs nothing, eqs. (23-26)."""
    c = (h1 - h2) / (h1 + h2)
    m = 250.0 * d * d / (radius * (h1 + h2))
    angle = acos(max(-1.0, min(1.0, 1.5 * c * sqrt(3.0 * m / (m + 1.0) ** 3))))
    b = 2.0 * sqrt((m + 1.0) / (3.0 * m)) * cos(pi / 3.0 + angle / 3.0)
    d1 = 0.5 * d * (1.0 + b)
    d2 = d - d1
    clearance = ((h1 - 500.0 * d1 * d1 / radius) * d2 + (h2 - 500.0 * d2 * d2 / radius) * d1) / d
    return clearance, 17.456 * sqrt(max(d1 * d2, 0.0) * wavelength / d)


def _first_term_over_both_db(
    d: float,
    h1: float,
    h2: float,
    frequency_ghz: float,
    radius: float,
    polarisation: str,
    sea_fraction: float,
) -> float:
    """First-term loss, weighted by the parts of the path over sea and land, eq. (29)."""
    loss = 0.0
    for ground, part in ((SEA, sea_fraction), (LAND, 1.0 - sea_fraction)):
        if part > 0.0:
            admittance = surface_admittance(ground, frequency_ghz, radius, polarisation)
            loss += part * first_term_loss_db(d, h1, h2, frequency_ghz, radius, admittance)
    return loss


def surface_admittance(
    ground: Ground, frequency_ghz: float, radius_km: float, polarisation: str
) -> float:
    """Normalised surface admittance K of the ground, eqs. (30a) and (30b)."""
    loss_term = (18.0 * ground.conductivity_s_m / frequency_ghz) ** 2
    permittivity = ground.relative_permittivity
    horizontal: float = (
        0.036
        * (radius_km * frequency_ghz) ** (-1.0 / 3.0)
        * ((permittivity - 1.0) ** 2 + loss_term) ** -0.25
    )
    if polarisation == "horizontal":
        return horizontal
    return horizontal * sqrt(permittivity**2 + loss_term)


def first_term_loss_db(
    distance_km: float,
    tx_height_m: float,
    rx_height_m: float,
    frequency_ghz: float,
    radius_km: float,
    admittance: float,
) -> float:
    """First term of the residue series, eqs. (31) to (36), in dB; negative near the antenna."""
    k = admittance
    beta = (1.0 + 1.6 * k**2 + 0.67 * k**4) / (1.0 + 4.5 * k**2 + 1.53 * k**4)
    x = 21.88 * beta * (frequency_ghz / radius_km**2) ** (1.0 / 3.0) * distance_km
    per_metre = 0.9575 * beta * (frequency_ghz**2 / radius_km) ** (1.0 / 3.0)
    return (
        -_distance_term_db(x)
        - _height_gain_db(per_metre * tx_height_m, beta, k)
        - _height_gain_db(per_metre * rx_height_m, beta, k)
    )


def _distance_term_db(x: float) -> float:
    if x >= 1.6:
        return 11.0 + 10.0 * log10(x) - 17.6 * x
    return -20.0 * log10(x) - 5.6488 * float(x**1.425)


def _height_gain_db(y: float, beta: float, k: float) -> float:
    floor = 2.0 + 20.0 * log10(k)
    b = beta * y
    if b > 2.0:
        gain = 17.6 * sqrt(b - 1.1) - 5.0 * log10(b - 1.1) - 8.0
    elif b > 0.0:
        gain = 20.0 * log10(b + 0.1 * b**3)
    else:
        return floor  # an antenna on the ground: the logarithm has no end
    return max(gain, floor)
