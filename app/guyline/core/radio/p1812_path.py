"""What P.1812 reads off a path: zones, ducting incidence, horizons, effective heights."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, exp, sqrt

import numpy as np
from numpy.typing import NDArray

from guyline.core.radio.smooth_surface import smooth_surface_ends_m
from guyline.core.units import Numbers

SEA, COASTAL_LAND, INLAND = 1, 3, 4  # zone codes of the published profiles

Zones = NDArray[np.int_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Horizons:
    """Radio horizons of both ends over bare ground, section 4 of attachment 1.

    Angles are above the horizontal of each end; `tx_index` and `rx_index` are the samples of
    the horizons, on a clear path both the sample with the largest Fresnel parameter.
    """

    is_transhorizon: bool
    tx_angle_mrad: float
    rx_angle_mrad: float
    tx_index: int
    rx_index: int
    tx_distance_km: float
    rx_distance_km: float
    angular_distance_mrad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DuctingHeights:
    """Heights above the smooth surface and terrain roughness as the ducting model wants them."""

    tx_m: float
    rx_m: float
    roughness_m: float


def run_lengths_km(d_km: Numbers, inside: NDArray[np.bool_]) -> list[float]:
    """Lengths of the stretches inside a zone, each with half the gap to its neighbours."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(np.int8)))
    lengths = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        last = after - 1
        before_gap = (d_km[first] - d_km[first - 1]) / 2.0 if first > 0 else 0.0
        after_gap = (d_km[after] - d_km[last]) / 2.0 if after < d_km.size else 0.0
        lengths.append(float(d_km[last] - d_km[first] + before_gap + after_gap))
    return lengths


def longest_run_km(d_km: Numbers, inside: NDArray[np.bool_]) -> float:
    return max(run_lengths_km(d_km, inside), default=0.0)


HIGHEST_COAST_M = 100.0  # coastal land reaches so high, Rec. ITU-R P.1812 section 3.3
WIDEST_COAST_KM = 50.0  # and so far from the sea; both from memory


def zones_over(d_km: Numbers, ground_amsl_m: Numbers) -> Zones:
    """Zone of each sample as far as heights tell it: sea where the ground is not above it.

    Land below sea level passes for sea, and sea beside the path for inland.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 3.3: sea, coastal land, inland.
    """
    zones = np.full(d_km.shape, INLAND, dtype=np.int_)
    is_sea = ground_amsl_m <= 0.0
    if not is_sea.any():
        return zones
    sea_km = d_km[is_sea]
    after = np.searchsorted(sea_km, d_km)
    nearest = np.minimum(
        np.abs(d_km - sea_km[np.maximum(after - 1, 0)]),
        np.abs(d_km - sea_km[np.minimum(after, sea_km.size - 1)]),
    )
    zones[(ground_amsl_m <= HIGHEST_COAST_M) & (nearest <= WIDEST_COAST_KM)] = COASTAL_LAND
    zones[is_sea] = SEA
    return zones


def sea_fraction(d_km: Numbers, zone: Zones) -> float:
    """Part of the path over sea, 0 to 1."""
    return sum(run_lengths_km(d_km, zone == SEA)) / float(d_km[-1])


def inland_term(longest_inland_km: float) -> float:
    """Parameter tau, eq. (3)."""
    return 1.0 - exp(-4.12e-4 * longest_inland_km**2.41)


def ducting_incidence_percent(
    latitude_deg: float, longest_land_km: float, longest_inland_km: float
) -> float:
    """Time percentage beta0 for which refractivity lapses over 100 N-units/km are expected.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 3.6, eqs. (2) to (5).
    """
    tau = inland_term(longest_inland_km)
    mu1 = 10.0 ** (-longest_land_km / (16.0 - 6.6 * tau)) + 10.0 ** (-5 * (0.496 + 0.354 * tau))
    mu1 = min(1.0, mu1**0.2)
    latitude = abs(latitude_deg)
    if latitude <= 70.0:
        mu4 = mu1 ** (-0.935 + 0.0176 * latitude)
        return float(10.0 ** (-0.015 * latitude + 1.67) * mu1 * mu4)
    return float(4.17 * mu1 * mu1**0.3)


def horizons(
    d_km: Numbers,
    ground_amsl_m: Numbers,
    tx_amsl_m: float,
    rx_amsl_m: float,
    path_wavelength_m: float,
    radius_km: float,
) -> Horizons:
    """Horizons of both ends.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, attachment 1, eqs. (76) to (84).
    """
    total = float(d_km[-1])
    d, h = d_km[1:-1], ground_amsl_m[1:-1]
    rest = total - d
    from_tx = 1000.0 * np.arctan((h - tx_amsl_m) / (1000.0 * d) - d / (2.0 * radius_km))
    to_rx = _angle_to_other_end_mrad(total, tx_amsl_m, rx_amsl_m, radius_km)
    is_transhorizon = bool(from_tx.max() > to_rx)
    if is_transhorizon:
        from_rx = 1000.0 * np.arctan((h - rx_amsl_m) / (1000.0 * rest) - rest / (2.0 * radius_km))
        tx_index = 1 + int(from_tx.argmax())
        rx_index = d_km.size - 2 - int(from_rx[::-1].argmax())  # the last of equals
        rx_angle = float(from_rx.max())
    else:
        above = h + 500.0 * d * rest / radius_km - (tx_amsl_m * rest + rx_amsl_m * d) / total
        nu = above * np.sqrt(0.002 * total / (path_wavelength_m * d * rest))
        tx_index = rx_index = d_km.size - 2 - int(nu[::-1].argmax())
        rx_angle = _angle_to_other_end_mrad(total, rx_amsl_m, tx_amsl_m, radius_km)
    tx_angle = max(float(from_tx.max()), to_rx)
    return Horizons(
        is_transhorizon=is_transhorizon,
        tx_angle_mrad=tx_angle,
        rx_angle_mrad=rx_angle,
        tx_index=tx_index,
        rx_index=rx_index,
        tx_distance_km=float(d_km[tx_index]),
        rx_distance_km=total - float(d_km[rx_index]),
        angular_distance_mrad=1e3 * total / radius_km + tx_angle + rx_angle,
    )


def _angle_to_other_end_mrad(
    total_km: float, here_m: float, there_m: float, radius_km: float
) -> float:
    return 1000.0 * atan((there_m - here_m) / (1000.0 * total_km) - total_km / (2.0 * radius_km))


def ducting_heights(
    d_km: Numbers, ground_amsl_m: Numbers, tx_agl_m: float, rx_agl_m: float, seen: Horizons
) -> DuctingHeights:
    """Effective heights and terrain roughness between the horizons.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, attachment 1, section 5.6.3.
    """
    near, far = smooth_surface_ends_m(d_km, ground_amsl_m)
    near, far = min(near, float(ground_amsl_m[0])), min(far, float(ground_amsl_m[-1]))
    slope = (far - near) / float(d_km[-1])
    between = slice(seen.tx_index, seen.rx_index + 1)
    above = ground_amsl_m[between] - (near + slope * d_km[between])
    return DuctingHeights(
        tx_m=tx_agl_m + float(ground_amsl_m[0]) - near,
        rx_m=rx_agl_m + float(ground_amsl_m[-1]) - far,
        roughness_m=float(above.max()),
    )


def curvature_factor(
    total_km: float, heights: DuctingHeights, tau: float, radius_km: float
) -> float:
    """Correction mu2 of the ducting incidence for path geometry, eq. (54)."""
    alpha = max(-3.4, -0.6 - 3.5e-9 * total_km**3.1 * tau)
    roots = sqrt(heights.tx_m) + sqrt(heights.rx_m)
    return float(min(1.0, (500.0 * total_km**2 / (radius_km * roots**2)) ** alpha))


def roughness_factor(total_km: float, heights: DuctingHeights, seen: Horizons) -> float:
    """Correction mu3 of the ducting incidence for terrain roughness, eq. (56)."""
    if heights.roughness_m <= 10.0:
        return 1.0
    between = min(total_km - seen.tx_distance_km - seen.rx_distance_km, 40.0)
    return exp(-4.6e-5 * (heights.roughness_m - 10.0) * (43.0 + 6.0 * between))
