"""Gain of an antenna toward a neighbour, from its class, its gain and where it points.

Elevation angles are positive upward from the horizontal; tilt is positive downward, as the
antenna trade has it. Every function takes scalars or arrays and gives the like.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.plan import Pattern
from guyline.core.radio.antenna_f1336 import (
    low_gain_beamwidth_deg,
    low_gain_dbi,
    omni_average_dbi,
    omni_beamwidth_deg,
    sector_average_dbi,
    sector_elevation_beamwidth_deg,
    tilted_elevation_deg,
)
from guyline.core.units import Numbers

DIPOLE_GAIN_DBI = 2.15  # half-wave dipole in free space, rounded as the trade prints it
DIPOLE_BEAMWIDTH_DEG = 78.1  # where the exact pattern is down 3.01 dB; rederived
FLOOR_BELOW_PEAK_DB = 20.0  # scatter of mast and ground fills nulls; judgement (trade.md 3.2)
SECTOR_BEAMWIDTH_DEG = 65.0  # the narrow end of the usual 65-120 degrees; no source


def dipole_dbi(elevation_deg: ArrayLike, gain_dbi: float = DIPOLE_GAIN_DBI) -> Numbers:
    r"""Gain of a vertical half-wave dipole, in dBi.

    .. math:: G = G_0 + 20 \log_{10} \left|
              \frac{\cos(\frac{\pi}{2} \sin\theta)}{\cos\theta} \right|

    Parameters
    ----------
    elevation_deg : array_like
        Angle from the plane across the rod, -90 to 90. [deg]
    gain_dbi : float
        Gain across the rod. [dBi]

    Notes
    -----
    Exact for a thin rod in free space; not less than 20 dB under the peak, because a mast and
    the ground fill the null along the rod.
    """
    theta = np.radians(np.asarray(elevation_deg, dtype=float))
    across = np.maximum(np.abs(np.cos(theta)), 1e-9)
    field = np.abs(np.cos(np.pi / 2.0 * np.sin(theta))) / across
    return gain_dbi + _floored_db(field)


def omni_array_dbi(elevation_deg: ArrayLike, gain_dbi: float) -> Numbers:
    r"""Gain of a uniform vertical line source of that peak gain, in dBi.

    .. math:: G = G_0 + 20 \log_{10} |\mathrm{sinc}(L \sin\theta/\lambda) \cos\theta|,
              \quad L/\lambda = 10^{G_0/10}/2

    Parameters
    ----------
    elevation_deg : array_like
        [deg]
    gain_dbi : float
        Peak gain. [dBi]

    Notes
    -----
    A collinear built of equal elements, with its true nulls filled to 20 dB under the peak.
    """
    theta = np.radians(np.asarray(elevation_deg, dtype=float))
    length_wavelengths = 10.0 ** (gain_dbi / 10.0) / 2.0
    field = np.abs(np.sinc(length_wavelengths * np.sin(theta)) * np.cos(theta))
    return gain_dbi + _floored_db(field)


def omni_wanted_dbi(elevation_deg: ArrayLike, gain_dbi: float) -> Numbers:
    """Gain of an omnidirectional antenna to plan wanted coverage with, in dBi.

    The lower of the F.1336 average pattern and the line source, because F.1336 is a mask for
    sharing studies and errs high off the beam, which flatters a link to a town under the mast.

    Parameters
    ----------
    elevation_deg : array_like
        [deg]
    gain_dbi : float
        Peak gain. [dBi]
    """
    lower = np.minimum(
        omni_average_dbi(elevation_deg, gain_dbi), omni_array_dbi(elevation_deg, gain_dbi)
    )
    return np.asarray(np.maximum(lower, gain_dbi - FLOOR_BELOW_PEAK_DB))


def off_axis_deg(elevation_deg: ArrayLike, azimuth_off_deg: ArrayLike) -> Numbers:
    r"""Angle between a direction and the horizontal axis of an antenna, in deg.

    .. math:: \psi = \arccos(\cos\theta \cos\varphi)
    """
    theta = np.radians(np.asarray(elevation_deg, dtype=float))
    phi = np.radians(np.asarray(azimuth_off_deg, dtype=float))
    return np.asarray(np.degrees(np.arccos(np.clip(np.cos(theta) * np.cos(phi), -1.0, 1.0))))


def seen_from_tilted(
    elevation_deg: ArrayLike, azimuth_off_deg: ArrayLike, tilt_deg: float
) -> tuple[Numbers, Numbers]:
    """Elevation and azimuth of a direction in the frame of an antenna leaning down, in deg.

    A rotation about the horizontal axis across the boresight; azimuth comes back as 0 to 180.

    Parameters
    ----------
    elevation_deg, azimuth_off_deg : array_like
        Direction in the level frame; azimuth from the boresight. [deg]
    tilt_deg : float
        Mechanical tilt, positive downward. [deg]
    """
    theta = np.radians(np.asarray(elevation_deg, dtype=float))
    phi = np.radians(np.asarray(azimuth_off_deg, dtype=float))
    tilt = np.radians(tilt_deg)
    ahead = np.cos(theta) * np.cos(phi)
    along = ahead * np.cos(tilt) - np.sin(theta) * np.sin(tilt)
    up = ahead * np.sin(tilt) + np.sin(theta) * np.cos(tilt)
    across = np.cos(theta) * np.sin(phi)
    elevation = np.degrees(np.arctan2(up, np.hypot(along, across)))
    azimuth = np.degrees(np.arctan2(np.abs(across), along))
    return np.asarray(elevation), np.asarray(azimuth)


def gain_toward_dbi(
    pattern: Pattern,
    gain_dbi: float,
    elevation_deg: ArrayLike,
    azimuth_off_deg: ArrayLike = 0.0,
    tilt_deg: float = 0.0,
    beamwidth_azimuth_deg: float | None = None,
) -> Numbers:
    """Gain of an antenna toward a direction, for planning wanted coverage, in dBi.

    Parameters
    ----------
    pattern : Pattern
        Class of the antenna.
    gain_dbi : float
        Peak gain. [dBi]
    elevation_deg : array_like
        Elevation angle of the direction, positive upward. [deg]
    azimuth_off_deg : array_like
        Azimuth of the direction less that of the antenna; of no effect on an omnidirectional
        antenna or dipole. [deg]
    tilt_deg : float
        Positive downward: electrical on an omnidirectional antenna, where it points down all
        round; mechanical on the others. [deg]
    beamwidth_azimuth_deg : float, optional
        3-dB width of a sector antenna; 65 where nobody knows. [deg]

    Returns
    -------
    array or 0-d array
        Of the broadcast shape of elevation and azimuth; `float()` of it where both are scalars.
        [dBi]

    Notes
    -----
    Omnidirectional: the lower of F.1336 average and line source. Dipole: exact. Sector: F.1336
    average. Yagi and patch: F.1336 low-gain circular pattern, stated for 1-3 GHz and used here
    somewhat below. No gain is less than 20 dB under the peak except where F.1336 says so.

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5 (01/2019), recommends 2.2, 2.5, 3.1.2, 4.1.
    """
    theta, phi = np.broadcast_arrays(
        np.asarray(elevation_deg, dtype=float), np.asarray(azimuth_off_deg, dtype=float)
    )
    if pattern is Pattern.OMNI:
        return omni_wanted_dbi(tilted_elevation_deg(theta, tilt_deg), gain_dbi)
    if pattern is Pattern.DIPOLE:
        return dipole_dbi(tilted_elevation_deg(theta, tilt_deg), gain_dbi)
    elevation, azimuth = seen_from_tilted(theta, phi, tilt_deg)
    if pattern is Pattern.SECTOR:
        width = SECTOR_BEAMWIDTH_DEG if beamwidth_azimuth_deg is None else beamwidth_azimuth_deg
        return sector_average_dbi(azimuth, elevation, gain_dbi, width)
    return low_gain_dbi(off_axis_deg(elevation, azimuth), gain_dbi)


def beamwidth_elevation_deg(
    pattern: Pattern, gain_dbi: float, beamwidth_azimuth_deg: float | None = None
) -> float:
    """Width of the beam in elevation between its 3-dB points, in deg.

    Parameters
    ----------
    pattern : Pattern
        Class of the antenna.
    gain_dbi : float
        Peak gain. [dBi]
    beamwidth_azimuth_deg : float, optional
        3-dB width of a sector antenna; 65 where nobody knows. [deg]
    """
    if pattern is Pattern.OMNI:
        return omni_beamwidth_deg(gain_dbi)
    if pattern is Pattern.DIPOLE:
        return DIPOLE_BEAMWIDTH_DEG
    if pattern is Pattern.SECTOR:
        width = SECTOR_BEAMWIDTH_DEG if beamwidth_azimuth_deg is None else beamwidth_azimuth_deg
        return sector_elevation_beamwidth_deg(gain_dbi, width)
    return low_gain_beamwidth_deg(gain_dbi)


def _floored_db(field: Numbers) -> Numbers:
    floor = 10.0 ** (-FLOOR_BELOW_PEAK_DB / 20.0)
    return np.asarray(20.0 * np.log10(np.maximum(field, floor)))
