"""Losses of the ways beyond the horizon: troposcatter, ducting and layer reflection."""

from __future__ import annotations

from math import exp, log10, sqrt, tanh

from guyline.core.radio.p1812_path import Horizons


def troposcatter_loss_db(
    total_km: float,
    frequency_ghz: float,
    angular_distance_mrad: float,
    n0: float,
    time_percent: float,
) -> float:
    """Troposcatter loss not exceeded that part of the time, in dB.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.4, eqs. (44) and (45).
    """
    f = frequency_ghz
    frequency_db = 25.0 * log10(f) - 2.5 * log10(f / 2.0) ** 2
    return float(
        190.1
        + frequency_db
        + 20.0 * log10(total_km)
        + 0.573 * angular_distance_mrad
        - 0.15 * n0
        - 10.125 * log10(50.0 / time_percent) ** 0.7
    )


def ducting_loss_db(
    total_km: float,
    frequency_ghz: float,
    time_percent: float,
    seen: Horizons,
    coast_km: tuple[float, float],
    antenna_amsl_m: tuple[float, float],
    sea_fraction: float,
    radius_km: float,
    *,
    beta: float,
) -> float:
    """Loss by ducting and layer reflection not exceeded that part of the time, in dB.

    Parameters
    ----------
    coast_km, antenna_amsl_m : (float, float)
        Of transmitter and receiver.
    beta : float
        Ducting incidence of this path. [percent]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.5, eqs. (46) to (56).
    """
    f = frequency_ghz
    ends = (
        (seen.tx_angle_mrad, seen.tx_distance_km, coast_km[0], antenna_amsl_m[0]),
        (seen.rx_angle_mrad, seen.rx_distance_km, coast_km[1], antenna_amsl_m[1]),
    )
    coupling = 102.45 + 20.0 * log10(f)
    coupling += 20.0 * log10(seen.tx_distance_km + seen.rx_distance_km)
    if f < 0.5:
        coupling += 45.375 - 137.0 * f + 92.5 * f * f
    angle = 1e3 * total_km / radius_km
    for horizon_mrad, horizon_km, to_coast_km, amsl_m in ends:
        coupling += _shielding_db(horizon_mrad, horizon_km, f)
        coupling += _over_sea_db(to_coast_km, horizon_km, amsl_m, sea_fraction)
        angle += min(horizon_mrad, 0.1 * horizon_km)
    per_mrad = 5e-5 * radius_km * float(f ** (1.0 / 3.0))
    return coupling + per_mrad * angle + _time_term_db(total_km, time_percent, beta)


def _shielding_db(horizon_mrad: float, horizon_km: float, f: float) -> float:
    """Site shielding of one end, eq. (48)."""
    above = horizon_mrad - 0.1 * horizon_km
    if above <= 0.0:
        return 0.0
    edge = 20.0 * log10(1.0 + 0.361 * above * sqrt(f * horizon_km))
    return edge + 0.264 * above * float(f ** (1.0 / 3.0))


def _over_sea_db(to_coast_km: float, horizon_km: float, amsl_m: float, sea: float) -> float:
    """Coupling into surface ducts over the sea, eq. (49)."""
    if sea < 0.75 or to_coast_km > horizon_km or to_coast_km > 5.0:
        return 0.0
    return -3.0 * exp(-0.25 * to_coast_km**2) * (1.0 + tanh(0.07 * (50.0 - amsl_m)))


def _time_term_db(total_km: float, time_percent: float, beta: float) -> float:
    """Time dependence A(p), eqs. (52) and (53)."""
    lg = log10(beta)
    gamma = 1.076 / (2.0058 - lg) ** 1.012
    gamma *= exp(-(9.51 - 4.8 * lg + 0.198 * lg * lg) * 1e-6 * total_km**1.13)
    ratio = time_percent / beta
    return -12.0 + (1.2 + 3.7e-3 * total_km) * log10(ratio) + 12.0 * float(ratio**gamma)
