"""Loss in the clutter around an antenna that stands below roofs or tree tops."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.radio.knife_edge import knife_edge_loss_db
from guyline.core.units import Numbers
from guyline.errors import InputError

STREET_WIDTH_M = 27.0  # P.2108-1 section 3.1, where nothing local is known
NEAR_ROOF_SD_DB = 4.0  # sigma_l of P.2108-1 section 3.2.2
FAR_ROOF_SD_DB = 6.0  # sigma_s of P.2108-1 section 3.2.2
STATISTICAL_CAP_M = 2000.0  # P.2108-1 section 3.2.2: no more loss than at 2 km


class ClutterKind(StrEnum):
    """What stands around an antenna; the value is what people read."""

    WATER = "water"
    OPEN = "open or rural"
    SUBURBAN = "suburban"
    URBAN = "urban"
    WOODLAND = "trees or forest"
    DENSE_URBAN = "dense urban"


CLUTTER_HEIGHT_M = {
    ClutterKind.WATER: 10.0,
    ClutterKind.OPEN: 10.0,
    ClutterKind.SUBURBAN: 10.0,
    ClutterKind.URBAN: 15.0,
    ClutterKind.WOODLAND: 15.0,
    ClutterKind.DENSE_URBAN: 20.0,
}
"""Representative heights of Rec. ITU-R P.2108-1, table 3."""


def terminal_clutter_loss_db(
    kind: ClutterKind,
    antenna_agl_m: ArrayLike,
    frequency_hz: float,
    clutter_height_m: float | None = None,
    street_width_m: float = STREET_WIDTH_M,
) -> Numbers:
    r"""Median loss of an antenna below the clutter around it, in dB.

    .. math::

        A_h = J(K_\nu \sqrt{h_{dif} \theta_{clut}}) - 6.03
        \quad\text{or}\quad A_h = -K_{h2} \log_{10}(h / R)

    the first among buildings and trees, the second over water and in the open.

    Parameters
    ----------
    kind : ClutterKind
        What stands around the antenna.
    antenna_agl_m : array_like
        Antenna height above ground, h, above 0. [m]
    frequency_hz : float
        30 MHz to 3 GHz. [Hz]
    clutter_height_m : float, optional
        Height R of the clutter; that of the recommendation for the kind if left out. [m]
    street_width_m : float
        Width of the gap in which the antenna stands. [m]

    Returns
    -------
    array or 0-d array
        Of the shape of `antenna_agl_m`; 0 at and above the clutter. [dB]

    Notes
    -----
    To be added once for each end that stands in clutter, and not where the profile itself
    already carries that clutter.

    References
    ----------
    .. [1] Rec. ITU-R P.2108-1 (09/2021), section 3.1, eqs. (2a) to (2g).
    """
    if not 0.03e9 <= frequency_hz <= 3e9:
        raise InputError(
            f"Terminal clutter at {frequency_hz / 1e6:g} MHz.",
            advice="P.2108 section 3.1 holds from 30 MHz to 3 GHz.",
        )
    agl = np.asarray(antenna_agl_m, dtype=float)
    if np.any(agl <= 0.0) or street_width_m <= 0.0:
        raise InputError(
            "An antenna in clutter stands on the ground or in no street.",
            advice="Enter antenna height and street width above zero.",
        )
    height = CLUTTER_HEIGHT_M[kind] if clutter_height_m is None else clutter_height_m
    f_ghz = frequency_hz / 1e9
    if kind in (ClutterKind.WATER, ClutterKind.OPEN):
        loss = -(21.8 + 6.2 * np.log10(f_ghz)) * np.log10(np.minimum(agl / height, 1.0))
    else:
        rise = np.maximum(height - agl, 0.0)
        angle_deg = np.degrees(np.arctan(rise / street_width_m))
        nu = 0.342 * np.sqrt(f_ghz) * np.sqrt(rise * angle_deg)
        loss = np.asarray(knife_edge_loss_db(np.atleast_1d(nu))).reshape(nu.shape) - 6.03
    return np.asarray(np.where(agl >= height, 0.0, np.maximum(loss, 0.0)))


def statistical_clutter_loss_db(
    distance_m: ArrayLike, frequency_hz: float, location_percent: ArrayLike = 50.0
) -> Numbers:
    r"""Clutter loss not exceeded at a percentage of urban and suburban places, in dB.

    .. math::

        L = -5 \log_{10}(10^{-0.2 L_l} + 10^{-0.2 L_s}) - \sigma_{cb} Q^{-1}(p / 100)

    Parameters
    ----------
    distance_m : array_like
        Length of the path, at least 250. [m]
    frequency_hz : float
        0.5 to 67 GHz. [Hz]
    location_percent : array_like
        Above 0 and below 100. [%]

    Notes
    -----
    For a terminal inside the clutter and below its roofs, without knowledge of the place; for
    one end of the path, or for both where it is at least 1 km long.

    References
    ----------
    .. [1] Rec. ITU-R P.2108-1 (09/2021), section 3.2.2, eqs. (3a) to (3d).
    """
    distance = np.asarray(distance_m, dtype=float)
    percent = np.asarray(location_percent, dtype=float)
    _check_statistical(distance, frequency_hz, percent)
    here = _statistical_db(distance, frequency_hz, percent)
    at_cap = _statistical_db(np.asarray(STATISTICAL_CAP_M), frequency_hz, percent)
    return np.asarray(np.minimum(here, at_cap))


def _check_statistical(distance: Numbers, frequency_hz: float, percent: Numbers) -> None:
    if not 0.5e9 <= frequency_hz <= 67e9:
        raise InputError(
            f"Statistical clutter at {frequency_hz / 1e6:g} MHz.",
            advice="P.2108 section 3.2 holds from 500 MHz to 67 GHz.",
        )
    if np.any(distance < 250.0):
        raise InputError(
            f"Statistical clutter on a path of {np.min(distance):g} m.",
            advice="P.2108 section 3.2 holds from 250 m on.",
        )
    if np.any(percent <= 0.0) or np.any(percent >= 100.0):
        raise InputError(
            "A percentage of places outside 0 to 100.", advice="Choose one between, such as 50."
        )


def _statistical_db(distance: Numbers, frequency_hz: float, percent: Numbers) -> Numbers:
    from scipy.special import ndtri  # here, because a start must not wait for it

    log_f = np.log10(frequency_hz / 1e9)
    near_roof = -2.0 * np.log10(10.0 ** (-5.0 * log_f - 12.5) + 10.0**-16.5)
    far_roof = 32.98 + 23.9 * np.log10(distance / 1e3) + 3.0 * log_f
    near_weight, far_weight = 10.0 ** (-0.2 * near_roof), 10.0 ** (-0.2 * far_roof)
    both = near_weight + far_weight
    sd = np.sqrt((NEAR_ROOF_SD_DB**2 * near_weight + FAR_ROOF_SD_DB**2 * far_weight) / both)
    return np.asarray(-5.0 * np.log10(both) + sd * ndtri(percent / 100.0))
