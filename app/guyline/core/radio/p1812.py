"""Rec. ITU-R P.1812: path loss not exceeded for a part of the time and of the locations."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, log, log10, tanh

import numpy as np

from guyline.core.radio.anomalous import ducting_loss_db, troposcatter_loss_db
from guyline.core.radio.diffraction import delta_bullington
from guyline.core.radio.location_variability import (
    PREDICTION_SQUARE_M,
    inverse_normal,
    location_loss_db,
)
from guyline.core.radio.p1812_path import (
    COASTAL_LAND,
    INLAND,
    SEA,
    DuctingHeights,
    Horizons,
    Zones,
    curvature_factor,
    ducting_heights,
    ducting_incidence_percent,
    horizons,
    inland_term,
    longest_run_km,
    roughness_factor,
    sea_fraction,
)
from guyline.core.radio.path_arrays import as_number, as_numbers, check_radio, checked_distances_m
from guyline.core.units import Numbers
from guyline.errors import InputError

EARTH_RADIUS_KM = 6371.0
DUCTING_RADIUS_KM = 3.0 * EARTH_RADIUS_KM  # effective radius exceeded beta0 of the time, eq. (7b)
WAVELENGTH_M_GHZ = 0.2998  # the Recommendation's speed of light; the published results need it
FAR_FROM_COAST_KM = 500.0  # default of the published validation where the coast is not given


@dataclass(frozen=True, slots=True, kw_only=True)
class P1812Result:
    """Every intermediate loss, named by the symbol it has in the Recommendation.

    All NaN where the profile has voids. Losses in dB, `beta0` in percent, `theta` (angular
    distance) in milliradians, `tx_horizon_m` and `rx_horizon_m` the distances of the horizons.
    """

    lbfs_db: float
    lb0p_db: float
    lb0beta_db: float
    ld50_db: float
    ldp_db: float
    lbd50_db: float
    lbd_db: float
    lba_db: float
    lbs_db: float
    lminb0p_db: float
    lminbap_db: float
    lbda_db: float
    lbam_db: float
    lbc_db: float
    lloc_db: float
    lb_db: float
    beta0_percent: float
    theta_mrad: float
    omega: float
    is_transhorizon: bool
    tx_horizon_m: float
    rx_horizon_m: float
    smooth_tx_amsl_m: float
    smooth_rx_amsl_m: float


def basic_loss_db(
    distance_m: Numbers,
    height_amsl_m: Numbers,
    clutter_height_m: Numbers,
    zone: Zones,
    tx_agl_m: float,
    rx_agl_m: float,
    frequency_hz: float,
    time_percent: float,
    location_percent: float = 50.0,
    polarisation: str = "vertical",
    delta_n: float = 45.0,
    n0: float = 325.0,
    latitude_deg: float = 50.0,
) -> float:
    """Basic transmission loss not exceeded for `time_percent` of the time, in dB.

    Parameters
    ----------
    distance_m : array (N,)
        Distance from the transmitter, rising from 0. [m], N >= 5
    height_amsl_m : array (N,)
        Height of the bare ground; a NaN (no data) makes the loss NaN. [m above sea level]
    clutter_height_m : array (N,)
        Representative height of what stands on it; not used at both ends. [m]
    zone : array (N,)
        1 sea, 3 coastal land, 4 inland.
    tx_agl_m, rx_agl_m : float
        Antenna heights. [m above ground]
    frequency_hz : float
        30 MHz to 6 GHz. [Hz]
    time_percent : float
        1 to 50; 50 is the median, less is for interference and for the unwanted long reach.
    location_percent : float
        Part of the places about the receiver with no more loss, 1 to 99; 50 adds nothing.
    polarisation : str
        "vertical" or "horizontal".
    delta_n : float
        Positive lapse rate of refractivity in the lowest kilometre, yearly mean. [N-units/km]
    n0 : float
        Sea-level surface refractivity, yearly mean. [N-units]
    latitude_deg : float
        Of the centre of the path. [degrees]

    Returns
    -------
    float
        [dB]

    Raises
    ------
    InputError
        Arrays that are no path, or a value outside the Recommendation's validity.

    Notes
    -----
    Valid for about 0.25 to 3000 km, which is not enforced, and antennas 1 to 3000 m above
    ground. It cannot give the loss
    exceeded only 1 to 10 % of the time; use a fade margin. The parts are in `basic_loss`.

    References
    ----------
    .. [1] Rec. ITU-R P.1812-8, 09/2025; numerically the core of P.1812-6.
    """
    return basic_loss(
        distance_m,
        height_amsl_m,
        clutter_height_m,
        zone,
        tx_agl_m,
        rx_agl_m,
        frequency_hz,
        time_percent,
        location_percent=location_percent,
        polarisation=polarisation,
        delta_n=delta_n,
        n0=n0,
        latitude_deg=latitude_deg,
    ).lb_db


def basic_loss(
    distance_m: Numbers,
    height_amsl_m: Numbers,
    clutter_height_m: Numbers,
    zone: Zones,
    tx_agl_m: float,
    rx_agl_m: float,
    frequency_hz: float,
    time_percent: float,
    *,
    location_percent: float = 50.0,
    polarisation: str = "vertical",
    delta_n: float = 45.0,
    n0: float = 325.0,
    latitude_deg: float = 50.0,
    tx_to_coast_m: float | None = None,
    rx_to_coast_m: float | None = None,
    prediction_square_m: float = PREDICTION_SQUARE_M,
) -> P1812Result:
    """Basic transmission loss with everything it is made of.

    Parameters as those of `basic_loss_db`, and

    Parameters
    ----------
    tx_to_coast_m, rx_to_coast_m : float, optional
        Distance from each end over land to the coast along the path; 0 at sea, far inland where
        left out. [m]
    prediction_square_m : float
        Side of the square whose places `location_percent` counts. [m]
    """
    zones = _checked_zones(zone)
    tx_agl_m = as_number("height of the transmitting antenna", tx_agl_m)
    rx_agl_m = as_number("height of the receiving antenna", rx_agl_m)
    frequency_hz = as_number("frequency", frequency_hz)
    time_percent = as_number("time percentage", time_percent)
    distance = checked_distances_m(distance_m, height_amsl_m, clutter_height_m, zones)
    _check_validity(
        ("number of profile samples", distance.size, 5, inf, ""),
        ("frequency", frequency_hz, 30e6, 6e9, " Hz"),
        ("time percentage", time_percent, 1, 50, " %"),
        ("location percentage", location_percent, 1, 99, " %"),
        ("height of the transmitting antenna", tx_agl_m, 0.1, 3000, " m"),
        ("height of the receiving antenna", rx_agl_m, 0.1, 3000, " m"),
        ("refractivity lapse rate", delta_n, 0, 156, " N-units/km"),
        ("sea-level refractivity", n0, 0, 1000, " N-units"),
        ("latitude of the path's centre", latitude_deg, -90, 90, "°"),
    )
    check_radio(frequency_hz, polarisation)
    ground = as_numbers("ground", height_amsl_m)
    cover = as_numbers("height of the cover", clutter_height_m)
    if (cover < 0.0).any():
        raise InputError(
            f"The cover is {float(np.nanmin(cover)):g} m high somewhere.",
            advice="Enter heights above the ground, 0 where it is bare.",
        )
    if not np.isfinite(ground).all() or not np.isfinite(cover[1:-1]).all():
        return _unknown()
    d_km = distance / 1000.0
    path = _Path(
        d_km=d_km,
        ground_amsl_m=ground,
        obstacle_amsl_m=np.concatenate(
            (ground[:1], ground[1:-1] + cover[1:-1], ground[-1:])  # eq. (1)
        ),
        tx_agl_m=tx_agl_m,
        rx_agl_m=rx_agl_m,
        frequency_ghz=frequency_hz / 1e9,
        polarisation=polarisation,
        radius_km=EARTH_RADIUS_KM * 157.0 / (157.0 - delta_n),  # eqs. (6), (7a)
        omega=sea_fraction(d_km, zones),
    )
    land = longest_run_km(d_km, (zones == COASTAL_LAND) | (zones == INLAND))
    inland = longest_run_km(d_km, zones == INLAND)
    return _combined(
        path,
        time_percent=time_percent,
        n0=n0,
        beta0=ducting_incidence_percent(latitude_deg, land, inland),
        tau=inland_term(inland),
        coast_km=(
            _coast_distance_km(tx_to_coast_m, zones[0]),
            _coast_distance_km(rx_to_coast_m, zones[-1]),
        ),
        lloc=location_loss_db(
            location_percent,
            frequency_hz,
            rx_agl_m,
            float(cover[-1]),
            prediction_square_m,
            is_at_sea=bool(zones[-1] == SEA),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Path:
    d_km: Numbers
    ground_amsl_m: Numbers
    obstacle_amsl_m: Numbers
    tx_agl_m: float
    rx_agl_m: float
    frequency_ghz: float
    polarisation: str
    radius_km: float
    omega: float

    @property
    def total_km(self) -> float:
        return float(self.d_km[-1])

    @property
    def tx_amsl_m(self) -> float:
        return float(self.ground_amsl_m[0]) + self.tx_agl_m

    @property
    def rx_amsl_m(self) -> float:
        return float(self.ground_amsl_m[-1]) + self.rx_agl_m

    @property
    def wavelength_m(self) -> float:
        return WAVELENGTH_M_GHZ / self.frequency_ghz


def _combined(
    path: _Path,
    *,
    time_percent: float,
    n0: float,
    beta0: float,
    tau: float,
    coast_km: tuple[float, float],
    lloc: float,
) -> P1812Result:
    """Section 4: the loss mechanisms, and their combination by eqs. (57) to (69)."""
    p, total, f = time_percent, path.total_km, path.frequency_ghz
    seen = horizons(
        path.d_km, path.ground_amsl_m, path.tx_amsl_m, path.rx_amsl_m, path.wavelength_m,
        path.radius_km,
    )  # fmt: skip
    heights = ducting_heights(path.d_km, path.ground_amsl_m, path.tx_agl_m, path.rx_agl_m, seen)
    slant_km2 = total**2 + ((path.tx_amsl_m - path.rx_amsl_m) / 1000.0) ** 2
    lbfs = 92.4 + 20.0 * log10(f) + 10.0 * log10(slant_km2)  # eq. (8)
    lb0p = lbfs + _focusing_db(seen, p)
    lb0beta = lbfs + _focusing_db(seen, beta0)
    ld50, ldp, surface = _diffraction(path, p, beta0)
    lbd50, lbd = lbfs + ld50, lb0p + ldp
    lbs = troposcatter_loss_db(total, f, seen.angular_distance_mrad, n0, p)
    lba = ducting_loss_db(
        total, f, p, seen, coast_km, (path.tx_amsl_m, path.rx_amsl_m), path.omega,
        path.radius_km, beta=_path_beta(path, beta0, tau, seen, heights),
    )  # fmt: skip
    lminb0p = lb0p + (1.0 - path.omega) * ldp
    if p >= beta0:  # eq. (59); section 4.3.5 has the strict comparison
        fi = inverse_normal(p / 100.0) / inverse_normal(beta0 / 100.0)
        lminb0p = lbd50 + (lb0beta + (1.0 - path.omega) * ldp - lbd50) * fi
    lminbap = _soft_maximum(lba, lb0p)
    lbda = lbd
    if lminbap <= lbd:
        lbda = lminbap + (lbd - lminbap) * _fade_between(total, 20.0, 0.5, 20.0)
    lbam = lbda + (lminb0p - lbda) * _fade_between(seen.angular_distance_mrad, 0.3, 0.8, 0.3)
    lbc = -5.0 * log10(10.0 ** (-0.2 * lbs) + 10.0 ** (-0.2 * lbam))
    return P1812Result(
        lbfs_db=lbfs,
        lb0p_db=lb0p,
        lb0beta_db=lb0beta,
        ld50_db=ld50,
        ldp_db=ldp,
        lbd50_db=lbd50,
        lbd_db=lbd,
        lba_db=lba,
        lbs_db=lbs,
        lminb0p_db=lminb0p,
        lminbap_db=lminbap,
        lbda_db=lbda,
        lbam_db=lbam,
        lbc_db=lbc,
        lloc_db=lloc,
        lb_db=max(lb0p, lbc + lloc),
        beta0_percent=beta0,
        theta_mrad=seen.angular_distance_mrad,
        omega=path.omega,
        is_transhorizon=seen.is_transhorizon,
        tx_horizon_m=1000.0 * seen.tx_distance_km,
        rx_horizon_m=1000.0 * seen.rx_distance_km,
        smooth_tx_amsl_m=surface[0],
        smooth_rx_amsl_m=surface[1],
    )


def _focusing_db(seen: Horizons, time_percent: float) -> float:
    """Multipath and focusing, eqs. (9) to (11)."""
    reach = seen.tx_distance_km + seen.rx_distance_km
    return 2.6 * (1.0 - exp(-0.1 * reach)) * log10(time_percent / 50.0)


def _diffraction(path: _Path, p: float, beta0: float) -> tuple[float, float, tuple[float, float]]:
    """Median loss, loss not exceeded p % of the time, ends of the smooth surface; 4.3.5."""

    def loss(radius_km: float) -> tuple[float, tuple[float, float]]:
        parts = delta_bullington(
            path.d_km * 1000.0,
            path.ground_amsl_m,
            path.tx_amsl_m,
            path.rx_amsl_m,
            path.frequency_ghz * 1e9,
            radius_km * 1000.0,
            polarisation=path.polarisation,
            obstacle_amsl_m=path.obstacle_amsl_m,
            sea_fraction=path.omega,
            path_wavelength_m=path.wavelength_m,
        )
        surface = path.tx_amsl_m - parts.tx_height_m, path.rx_amsl_m - parts.rx_height_m
        return parts.loss_db, surface

    ld50, surface = loss(path.radius_km)
    if p == 50.0:
        return ld50, ld50, surface
    ldbeta, _ = loss(DUCTING_RADIUS_KM)
    fi = inverse_normal(p / 100.0) / inverse_normal(beta0 / 100.0) if p > beta0 else 1.0
    return ld50, ld50 + fi * (ldbeta - ld50), surface


def _path_beta(
    path: _Path, beta0: float, tau: float, seen: Horizons, heights: DuctingHeights
) -> float:
    """Ducting incidence corrected for this path, eq. (53), in percent."""
    mu2 = curvature_factor(path.total_km, heights, tau, path.radius_km)
    return beta0 * mu2 * roughness_factor(path.total_km, heights, seen)


def _fade_between(value: float, midpoint: float, steepness: float, width: float) -> float:
    """Interpolation from 1 to 0 as the value passes the midpoint, eqs. (57) and (58)."""
    return 1.0 - 0.5 * (1.0 + tanh(3.0 * steepness * (value - midpoint) / width))


def _soft_maximum(a_db: float, b_db: float) -> float:
    """2.5 ln(e^(a/2.5) + e^(b/2.5)), eq. (60), without overflow."""
    high, low = max(a_db, b_db), min(a_db, b_db)
    return high + 2.5 * log(1.0 + exp((low - high) / 2.5))


def field_strength_dbuv_m(loss_db: float, frequency_hz: float) -> float:
    """Field strength for 1 kW ERP behind that basic transmission loss, eq. (70), in dB(µV/m)."""
    return 199.36 + 20.0 * log10(frequency_hz / 1e9) - loss_db


def _coast_distance_km(given_m: float | None, zone_there: int) -> float:
    if zone_there == SEA:
        return 0.0
    return FAR_FROM_COAST_KM if given_m is None else given_m / 1000.0


def _checked_zones(zone: Zones) -> Zones:
    zones = np.asarray(zone)
    if not np.isin(zones, (SEA, COASTAL_LAND, INLAND)).all():
        raise InputError(
            f"Radio-climatic zones are {sorted(set(zones.tolist()))}.",
            advice="Use 1 for sea, 3 for coastal land and 4 for inland.",
        )
    return zones.astype(np.int_)


def _check_validity(*limits: tuple[str, float, float, float, str]) -> None:
    for name, value, low, high, unit in limits:
        if not low <= value <= high:
            raise InputError(
                f"The {name} {value:g}{unit} is outside {low:g} to {high:g}{unit}.",
                advice="Rec. ITU-R P.1812 holds only inside these limits.",
            )


def _unknown() -> P1812Result:
    numbers = dict.fromkeys(P1812Result.__slots__, float("nan"))
    del numbers["is_transhorizon"]
    return P1812Result(is_transhorizon=False, **numbers)
