"""Reference radiation patterns of Rec. ITU-R F.1336-5 below 3 GHz, each as it stands there.

They are masks for sharing studies: off the beam they err high. `antenna.gain_toward_dbi` says
which to plan wanted coverage with.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.units import Numbers

OMNI_K_TYPICAL = 0.7  # F.1336-5 recommends 2.3: typical antennas, 400 MHz to 3 GHz
SECTOR_K_PEAK = 0.7  # F.1336-5 recommends 3.1: kp = ka = kh = 0.7, kv = 0.3, typical antennas
SECTOR_K_HORIZONTAL = 0.7
SECTOR_K_VERTICAL = 0.3
PEAK_LEVEL_DB = -12.0  # level of the near side lobes, peak and average patterns
AVERAGE_LEVEL_DB = -15.0


def omni_beamwidth_deg(gain_dbi: float) -> float:
    r"""3-dB width in elevation of an omnidirectional antenna, in deg.

    .. math:: \theta_3 = 107.6 \cdot 10^{-0.1 G_0}

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 2.1, eq. (1b).
    """
    return float(107.6 * 10.0 ** (-0.1 * gain_dbi))


def omni_peak_dbi(elevation_deg: ArrayLike, gain_dbi: float, k: float = OMNI_K_TYPICAL) -> Numbers:
    """Gain of an omnidirectional antenna, envelope of the side-lobe peaks, in dBi.

    Parameters
    ----------
    elevation_deg : array_like
        From the direction of most gain, -90 to 90. [deg]
    gain_dbi : float
        Peak gain. [dBi]
    k : float
        Side-lobe factor: 0.7 typical, 0 for antennas with improved side lobes.

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 2.1; the form is from published implementations.
    """
    theta = np.abs(np.asarray(elevation_deg, dtype=float))
    width = omni_beamwidth_deg(gain_dbi)
    inner = width * np.sqrt(1.0 - np.log10(k + 1.0) / 1.2)
    lobes = PEAK_LEVEL_DB + 10.0 * np.log10(_decay(theta / width) + k)
    shoulder = PEAK_LEVEL_DB + 10.0 * np.log10(k + 1.0)
    beam = -12.0 * (theta / width) ** 2
    relative = np.where(theta < inner, beam, np.where(theta < width, shoulder, lobes))
    return np.asarray(gain_dbi + relative)


def omni_average_dbi(
    elevation_deg: ArrayLike, gain_dbi: float, k: float = OMNI_K_TYPICAL
) -> Numbers:
    """Gain of an omnidirectional antenna, average over the side lobes, in dBi.

    Parameters
    ----------
    elevation_deg : array_like
        From the direction of most gain, -90 to 90. [deg]
    gain_dbi : float
        Peak gain. [dBi]
    k : float
        Side-lobe factor: 0.7 typical, 0 for antennas with improved side lobes.

    Notes
    -----
    Published implementations disagree on the sign inside the square root of theta5; minus makes
    the pattern continuous within 0.1 dB and is taken.

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 2.2; the form is from published implementations.
    """
    theta = np.abs(np.asarray(elevation_deg, dtype=float))
    width = omni_beamwidth_deg(gain_dbi)
    outer = width * np.sqrt(1.25 - np.log10(k + 1.0) / 1.2)
    lobes = AVERAGE_LEVEL_DB + 10.0 * np.log10(_decay(theta / width) + k)
    shoulder = AVERAGE_LEVEL_DB + 10.0 * np.log10(k + 1.0)
    beam = -12.0 * (theta / width) ** 2
    relative = np.where(theta < width, beam, np.where(theta < outer, shoulder, lobes))
    return np.asarray(gain_dbi + relative)


def tilted_elevation_deg(elevation_deg: ArrayLike, tilt_deg: float) -> Numbers:
    r"""Angle at which to read a pattern whose beam is tilted down electrically, in deg.

    .. math:: \theta_e = \frac{90 (\theta_h + \beta)}{90 \pm \beta}

    with plus at and above the beam and minus below it.

    Parameters
    ----------
    elevation_deg : array_like
        Elevation above the horizontal, -90 to 90. [deg]
    tilt_deg : float
        Electrical tilt, positive downward, under 90 either way. [deg]

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 2.5.
    """
    from_beam = np.asarray(elevation_deg, dtype=float) + tilt_deg
    return np.asarray(
        90.0 * from_beam / np.where(from_beam >= 0.0, 90.0 + tilt_deg, 90.0 - tilt_deg)
    )


def sector_elevation_beamwidth_deg(gain_dbi: float, beamwidth_azimuth_deg: float) -> float:
    r"""3-dB width in elevation of a sector antenna up to about 120 degrees wide, in deg.

    .. math:: \theta_3 = 31000 \cdot 10^{-0.1 G_0} / \varphi_3

    Notes
    -----
    Not more than 180 degrees, so that a gain too low for a sector antenna still has a pattern.

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 3.3.
    """
    return float(min(180.0, 31_000.0 * 10.0 ** (-0.1 * gain_dbi) / beamwidth_azimuth_deg))


def sector_peak_dbi(
    azimuth_off_deg: ArrayLike,
    elevation_deg: ArrayLike,
    gain_dbi: float,
    beamwidth_azimuth_deg: float,
    beamwidth_elevation_deg: float | None = None,
) -> Numbers:
    """Gain of a sector antenna, envelope of the side-lobe peaks, in dBi.

    Parameters
    ----------
    azimuth_off_deg, elevation_deg : array_like
        Direction from the axis of the beam, -180 to 180 and -90 to 90. [deg]
    gain_dbi : float
        Peak gain. [dBi]
    beamwidth_azimuth_deg, beamwidth_elevation_deg : float
        3-dB widths; that in elevation follows from gain and azimuth where it is not given. [deg]

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 3.1.1 (400 MHz to 6 GHz); the form is from published
       implementations.
    """
    return _sector_dbi(
        azimuth_off_deg,
        elevation_deg,
        gain_dbi,
        beamwidth_azimuth_deg,
        beamwidth_elevation_deg,
        PEAK_LEVEL_DB,
        np.sqrt(1.0 - 0.36 * SECTOR_K_VERTICAL),
    )


def sector_average_dbi(
    azimuth_off_deg: ArrayLike,
    elevation_deg: ArrayLike,
    gain_dbi: float,
    beamwidth_azimuth_deg: float,
    beamwidth_elevation_deg: float | None = None,
) -> Numbers:
    """Gain of a sector antenna, average over the side lobes, in dBi.

    Parameters
    ----------
    azimuth_off_deg, elevation_deg : array_like
        Direction from the axis of the beam, -180 to 180 and -90 to 90. [deg]
    gain_dbi : float
        Peak gain. [dBi]
    beamwidth_azimuth_deg, beamwidth_elevation_deg : float
        3-dB widths; that in elevation follows from gain and azimuth where it is not given. [deg]

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 3.1.2 (400 MHz to 6 GHz); the form is from published
       implementations.
    """
    return _sector_dbi(
        azimuth_off_deg,
        elevation_deg,
        gain_dbi,
        beamwidth_azimuth_deg,
        beamwidth_elevation_deg,
        AVERAGE_LEVEL_DB,
        np.sqrt(1.33 - 0.33 * SECTOR_K_VERTICAL),
    )


def low_gain_beamwidth_deg(gain_dbi: float) -> float:
    r"""3-dB width of a low-gain antenna with a circular beam, in deg.

    .. math:: \varphi_3 = \sqrt{27000 \cdot 10^{-0.1 G_0}}

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 4.1.
    """
    return float(np.sqrt(27_000.0 * 10.0 ** (-0.1 * gain_dbi)))


def low_gain_dbi(off_axis_deg: ArrayLike, gain_dbi: float) -> Numbers:
    """Gain of a low-gain antenna with a circular beam, such as a Yagi or patch, in dBi.

    Parameters
    ----------
    off_axis_deg : array_like
        Angle from the axis, 0 to 180. [deg]
    gain_dbi : float
        Peak gain, under 20. [dBi]

    References
    ----------
    .. [1] Rec. ITU-R F.1336-5, recommends 4.1, stated for 1-3 GHz and gains under 20 dBi.
    """
    phi = np.abs(np.asarray(off_axis_deg, dtype=float))
    width = low_gain_beamwidth_deg(gain_dbi)
    first = 1.9 * width
    second = first * 10.0 ** ((gain_dbi - 6.0) / 32.0)
    beam = gain_dbi - 12.0 * (phi / width) ** 2
    falling = gain_dbi - 14.0 - 32.0 * np.log10(np.maximum(phi, first) / first)
    return np.asarray(
        np.select(
            [phi < 1.08 * width, phi < first, phi < second],
            [beam, np.full_like(phi, gain_dbi - 14.0), falling],
            default=np.where(np.isnan(phi), np.nan, -8.0),
        )
    )


def _decay(width_ratio: Numbers) -> Numbers:
    """Fall of the side lobes; only used outside the beam, where the ratio is at least 1."""
    return np.maximum(width_ratio, 1.0) ** -1.5


def _sector_dbi(
    azimuth_off_deg: ArrayLike,
    elevation_deg: ArrayLike,
    gain_dbi: float,
    phi3: float,
    theta3: float | None,
    level_db: float,
    x_k: float,
) -> Numbers:
    if theta3 is None:
        theta3 = sector_elevation_beamwidth_deg(gain_dbi, phi3)
    back = level_db + 10.0 * np.log10(1.0 + 8.0 * SECTOR_K_PEAK) - 15.0 * np.log10(180.0 / theta3)
    x_h = np.abs(np.asarray(azimuth_off_deg, dtype=float)) / phi3
    x_v = np.abs(np.asarray(elevation_deg, dtype=float)) / theta3
    level = _sector_horizontal_db(x_h, back)
    behind = float(_sector_horizontal_db(np.asarray(180.0 / phi3), back))
    weight = (level - behind) / (0.0 - behind)
    return np.asarray(
        gain_dbi + level + weight * _sector_vertical_db(x_v, theta3, back, level_db, x_k)
    )


def _sector_horizontal_db(x_h: Numbers, back_db: float) -> Numbers:
    kh = SECTOR_K_HORIZONTAL
    step = 3.0 * (1.0 - 0.5**-kh)
    outer = -12.0 * np.maximum(x_h, 0.5) ** (2.0 - kh) - step
    return np.maximum(np.where(x_h <= 0.5, -12.0 * x_h**2, outer), back_db)


def _sector_vertical_db(
    x_v: Numbers, theta3: float, back_db: float, level_db: float, x_k: float
) -> Numbers:
    kv = SECTOR_K_VERTICAL
    far = 4.0**-1.5 + kv
    slope = 0.0
    if theta3 < 22.5:  # wider beams never come to the far lobes: 90 / theta3 is under 4
        fall = (180.0 / theta3) ** 1.5 * far / (1.0 + 8.0 * SECTOR_K_PEAK)
        slope = 10.0 * np.log10(fall) / np.log10(22.5 / theta3)
    near_lobes = level_db + 10.0 * np.log10(np.maximum(x_v, x_k) ** -1.5 + kv)
    at_four = level_db + 10.0 * np.log10(far)
    far_lobes = at_four - slope * np.log10(np.maximum(x_v, 4.0) / 4.0)
    return np.asarray(
        np.select(
            [x_v < x_k, x_v < 4.0, x_v < 90.0 / theta3],
            [-12.0 * x_v**2, near_lobes, far_lobes],
            default=np.where(np.isnan(x_v), np.nan, back_db),
        )
    )
