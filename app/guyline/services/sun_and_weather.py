"""The sun on a panel: pvlib where it has the model, daily totals spread over hours where not."""

from __future__ import annotations

import threading
from functools import lru_cache

import numpy as np

from guyline.core.power.daily_clearness import CLEARNESS_HIGH, CLEARNESS_LOW
from guyline.core.power.panel import SunTable
from guyline.core.units import Numbers
from guyline.services.shades import Shade, passing_share

# Klein 1977: the day of the year that stands for each month's mean.
MEAN_DAYS = np.array([17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344])
SOLAR_CONSTANT_W_M2 = 1367.0  # as Duffie & Beckman's worked examples count
ALBEDO = 0.2
STEPS_PER_HOUR = 4
LOWEST_BEAM_DEG = 5.0  # below it the beam of a spread daily total is not to be trusted
_CLEARNESS = np.linspace(CLEARNESS_LOW, CLEARNESS_HIGH, 41)
_PVLIB = threading.Lock()  # reading the turbidity file is not safe from two threads


def proposed_tilt_deg(lat_deg: float) -> float:
    """Tilt for a site whose winter is critical: |latitude| + 15°, between 15° and 90°."""
    return min(90.0, max(15.0, round(abs(lat_deg) + 15.0)))


def proposed_azimuth_deg(lat_deg: float) -> float:
    """Return the true azimuth that faces the equator: 180° north of it, 0° south of it."""
    return 180.0 if lat_deg >= 0.0 else 0.0


def daily_extraterrestrial_wh_m2(lat_deg: float, day_of_year: Numbers) -> Numbers:
    r"""Energy on a horizontal plane outside the atmosphere in a day, in Wh/m².

    .. math:: H_0 = \frac{24}{\pi} G_{sc} (1 + 0.033 \cos \tfrac{2 \pi n}{365})
              (\cos\varphi \cos\delta \sin\omega_s + \omega_s \sin\varphi \sin\delta)

    References
    ----------
    .. [1] Duffie & Beckman, Solar Engineering of Thermal Processes, eq. 1.10.3.
    """
    lat, declination = np.radians(lat_deg), declination_rad(day_of_year)
    sunset = sunset_hour_angle_rad(lat_deg, day_of_year)
    distance = 1.0 + 0.033 * np.cos(2.0 * np.pi * np.asarray(day_of_year) / 365.0)
    day = np.cos(lat) * np.cos(declination) * np.sin(sunset) + sunset * np.sin(lat) * np.sin(
        declination
    )
    total: Numbers = 24.0 / np.pi * SOLAR_CONSTANT_W_M2 * distance * day
    return np.maximum(total, 0.0)


def declination_rad(day_of_year: Numbers) -> Numbers:
    """Declination of the sun after Cooper 1969, in rad."""
    from pvlib.solarposition import declination_cooper69

    return np.asarray(declination_cooper69(np.asarray(day_of_year, dtype=float)))


def sunset_hour_angle_rad(lat_deg: float, day_of_year: Numbers) -> Numbers:
    """Hour angle of sunset: 0 in the polar night, pi in the polar day, in rad."""
    cosine = -np.tan(np.radians(lat_deg)) * np.tan(declination_rad(day_of_year))
    angle: Numbers = np.arccos(np.clip(cosine, -1.0, 1.0))
    return angle


def daily_diffuse_fraction(clearness: Numbers, sunset_rad: Numbers) -> Numbers:
    """Diffuse share of a day's energy on the horizontal plane.

    References
    ----------
    .. [1] Erbs, Klein & Duffie 1982, Solar Energy 28:293-302, daily correlation.
    """
    k = np.asarray(clearness, dtype=float)
    winter = np.where(
        k < 0.715, 1.0 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4, 0.143
    )
    summer = np.where(k < 0.722, 1.0 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3, 0.175)
    return np.where(np.asarray(sunset_rad) <= np.radians(81.4), winter, summer)


def hourly_share(hour_angle_rad: Numbers, sunset_rad: Numbers) -> Numbers:
    """Relative irradiance over the hours of a day, 0 at night, not normalised.

    References
    ----------
    .. [1] Collares-Pereira & Rabl 1979, Solar Energy 22:155-164.
    """
    a = 0.409 + 0.5016 * np.sin(sunset_rad - np.pi / 3.0)
    b = 0.6609 - 0.4767 * np.sin(sunset_rad - np.pi / 3.0)
    shape = (a + b * np.cos(hour_angle_rad)) * (np.cos(hour_angle_rad) - np.cos(sunset_rad))
    return np.where(np.abs(hour_angle_rad) < sunset_rad, np.maximum(shape, 0.0), 0.0)


def tilted_sky_factor(
    tilt_deg: float,
    azimuth_deg: float,
    horizon_deg: tuple[float, ...] = (),
    shades: tuple[Shade, ...] = (),
) -> float:
    r"""Share of an even sky's diffuse light that a tilted panel sees over a horizon.

    .. math:: F = \frac{1}{\pi} \int \max(0, \cos\theta) \cos e \, de \, dA

    Parameters
    ----------
    horizon_deg : tuple of float
        Elevation of the horizon at equal steps of azimuth from north; () is a flat one. [°]

    References
    ----------
    .. [1] Dozier & Frew 1990, IEEE Trans. Geosci. Remote Sensing 28:963-969 (general form).
    """
    azimuth = np.radians(np.arange(0.5, 360.0))
    elevation = np.radians(np.arange(0.25, 90.0, 0.5))
    lowest = np.radians(skyline_at(np.degrees(azimuth), horizon_deg))
    beta, faces = np.radians(tilt_deg), np.radians(azimuth_deg)
    cosine = (
        np.cos(beta) * np.sin(elevation)[None, :]
        + np.sin(beta) * np.cos(elevation)[None, :] * np.cos(azimuth - faces)[:, None]
    )
    seen = np.where(elevation[None, :] > lowest[:, None], np.maximum(cosine, 0.0), 0.0)
    seen = seen * passing_share(
        np.degrees(azimuth)[:, None], np.degrees(elevation)[None, :], shades
    )
    cell = np.radians(1.0) * np.radians(0.5)
    return float((seen * np.cos(elevation)[None, :]).sum() * cell / np.pi)


def skyline_at(azimuth_deg: Numbers, horizon_deg: tuple[float, ...]) -> Numbers:
    """Elevation of a horizon of equal steps toward any azimuth, in degrees; () is a flat one."""
    if not horizon_deg:
        return np.zeros_like(azimuth_deg)
    known = np.arange(len(horizon_deg)) * (360.0 / len(horizon_deg))
    elevation: Numbers = np.interp(azimuth_deg, known, np.asarray(horizon_deg), period=360.0)
    return elevation


def clear_sky_clearness(lat_deg: float, lon_deg: float, ground_amsl_m: float) -> Numbers:
    """Return the clearness of a cloudless day of each month, shape (12,); 0 in the polar night.

    References
    ----------
    .. [1] Ineichen & Perez 2002, with the Linke turbidity of each month: pvlib.clearsky.
    """
    return _clear_sky_clearness(round(lat_deg, 2), round(lon_deg, 2), round(ground_amsl_m, -1))


@lru_cache(maxsize=256)
def _clear_sky_clearness(lat_deg: float, lon_deg: float, ground_amsl_m: float) -> Numbers:
    import pandas as pd
    from pvlib import atmosphere, clearsky, irradiance

    hours = hour_angles_rad()
    zenith, _ = sun_on_mean_days_deg(lat_deg, hours)
    pressure = atmosphere.alt2pres(ground_amsl_m)
    airmass = atmosphere.get_absolute_airmass(
        atmosphere.get_relative_airmass(np.minimum(zenith, 89.9)), pressure
    )
    times = pd.DatetimeIndex([f"2023-{m:02d}-15" for m in range(1, 13)], tz="UTC")
    with _PVLIB:
        turbidity = clearsky.lookup_linke_turbidity(
            times, lat_deg, lon_deg, interp_turbidity=False
        ).to_numpy()
    extra = irradiance.get_extra_radiation(MEAN_DAYS, solar_constant=SOLAR_CONSTANT_W_M2)
    with np.errstate(all="ignore"):  # the model divides by zero with the sun at the horizon
        sky = clearsky.ineichen(
            zenith, airmass, turbidity[:, None], altitude=ground_amsl_m, dni_extra=extra[:, None]
        )
    ghi = np.where(zenith < 90.0, np.nan_to_num(sky["ghi"]), 0.0).sum(axis=1) / STEPS_PER_HOUR
    outside = daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS)
    clearness: Numbers = np.divide(ghi, outside, out=np.zeros(12), where=outside > 1.0)
    return clearness


@lru_cache(maxsize=256)
def sun_table(
    lat_deg: float,
    lon_deg: float,
    ground_amsl_m: float,
    tilt_deg: float,
    azimuth_deg: float,
    horizon_deg: tuple[float, ...] = (),
    beam_share: float = 1.0,
    shades: tuple[Shade, ...] = (),
) -> SunTable:
    """Irradiance on a panel by month, daily clearness and hour of solar time.

    Daily totals are spread over the hours after Collares-Pereira & Rabl, split by the daily
    correlation of Erbs, and brought to the panel by Hay & Davies; the horizon takes the beam
    and the light around the sun when it is higher than the sun, and its part of the even sky.

    Parameters
    ----------
    horizon_deg : tuple of float
        Elevation of the horizon at equal steps of azimuth from north; () is a flat one. [°]
    beam_share : float
        Share of the beam that trees and walls leave, where nobody entered them one by one.
    shades : tuple of Shade
        Trees and walls; they take their part of the even sky too.

    Notes
    -----
    Against hourly files of seven places: darkest months -22 to +2 %, year -8 to +2 %.
    """
    poa_w_m2 = _poa_w_m2(lat_deg, tilt_deg, azimuth_deg, horizon_deg, beam_share, shades)
    return SunTable(
        clearness=_CLEARNESS,
        poa_w_m2=poa_w_m2,
        clear_clearness=0.98 * clear_sky_clearness(lat_deg, lon_deg, ground_amsl_m),
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
    )


def hour_angles_rad() -> Numbers:
    """Hour angles at the middle of each step of a day, from midnight on, in rad."""
    steps = 24 * STEPS_PER_HOUR
    return np.radians((np.arange(steps) + 0.5) / STEPS_PER_HOUR * 15.0 - 180.0)


def sun_on_mean_days_deg(lat_deg: float, hour_angle_rad: Numbers) -> tuple[Numbers, Numbers]:
    """Zenith and azimuth of the sun on the mean days, each of shape (12, steps), in °."""
    from pvlib.solarposition import solar_azimuth_analytical, solar_zenith_analytical

    declination = declination_rad(MEAN_DAYS)[:, None]
    lat = np.radians(lat_deg)
    zenith = solar_zenith_analytical(lat, hour_angle_rad[None, :], declination)
    azimuth = solar_azimuth_analytical(lat, hour_angle_rad[None, :], declination, zenith)
    return np.degrees(zenith), np.degrees(azimuth) % 360.0


def _poa_w_m2(
    lat_deg: float,
    tilt_deg: float,
    azimuth_deg: float,
    horizon_deg: tuple[float, ...],
    beam_share: float,
    shades: tuple[Shade, ...],
) -> Numbers:
    from pvlib import irradiance

    hours = hour_angles_rad()
    zenith, sun_azimuth = sun_on_mean_days_deg(lat_deg, hours)
    sunset = sunset_hour_angle_rad(lat_deg, MEAN_DAYS)
    cos_zenith = np.maximum(np.cos(np.radians(zenith)), 0.0)
    share = hourly_share(hours[None, :], sunset[:, None])
    daily = (
        daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS)[:, None] * _CLEARNESS[None, :]
    )  # (12, K)
    ghi = daily[:, :, None] * _normalised(share)[:, None, :] * STEPS_PER_HOUR
    diffuse = daily * daily_diffuse_fraction(_CLEARNESS[None, :], sunset[:, None])
    dhi = diffuse[:, :, None] * _normalised(cos_zenith)[:, None, :] * STEPS_PER_HOUR
    has_beam = (90.0 - zenith > LOWEST_BEAM_DEG)[:, None, :]
    dhi = np.where(has_beam, np.minimum(dhi, ghi), ghi)
    dni = np.divide(
        ghi - dhi,
        cos_zenith[:, None, :],
        out=np.zeros_like(ghi),
        where=has_beam & (cos_zenith[:, None, :] > 0.0),
    )
    extra = irradiance.get_extra_radiation(MEAN_DAYS, solar_constant=SOLAR_CONSTANT_W_M2)
    dni = np.minimum(dni, extra[:, None, None])
    projection = irradiance.aoi_projection(tilt_deg, azimuth_deg, zenith, sun_azimuth)
    sky = irradiance.haydavies(
        tilt_deg,
        azimuth_deg,
        dhi,
        dni,
        extra[:, None, None],
        solar_zenith=zenith[:, None, :],
        solar_azimuth=sun_azimuth[:, None, :],
        projection_ratio=(
            np.maximum(projection, 0.0) / np.maximum(np.cos(np.radians(zenith)), 0.01745)
        )[:, None, :],
        return_components=True,
    )
    over_horizon = 90.0 - zenith > skyline_at(sun_azimuth, horizon_deg)
    free = beam_share * over_horizon * passing_share(sun_azimuth, 90.0 - zenith, shades)
    beam = (
        dni * np.maximum(projection, 0.0)[:, None, :] + np.nan_to_num(sky["poa_circumsolar"])
    ) * free[:, None, :]
    open_sky = (1.0 + np.cos(np.radians(tilt_deg))) / 2.0
    seen = open_sky
    if horizon_deg or shades:
        seen = tilted_sky_factor(tilt_deg, azimuth_deg, horizon_deg, shades)
    even = np.nan_to_num(sky["poa_isotropic"]) * (seen / open_sky)
    ground = irradiance.get_ground_diffuse(tilt_deg, ghi, albedo=ALBEDO)
    total = np.maximum(beam + even + ground, 0.0)
    hourly: Numbers = total.reshape(12, len(_CLEARNESS), 24, STEPS_PER_HOUR).mean(axis=3)
    return hourly


def _normalised(shape: Numbers) -> Numbers:
    total = shape.sum(axis=1, keepdims=True)
    share: Numbers = np.divide(shape, total, out=np.zeros_like(shape), where=total > 0.0)
    return share
