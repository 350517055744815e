"""Loss of an antenna that stands in or behind trees."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.units import Numbers
from guyline.errors import InputError

# Rec. ITU-R P.833-9, measured woodland: frequency, specific attenuation, greatest loss;
# the table read in public implementations
_FREQUENCIES_HZ = np.array([105.9e6, 466.475e6, 949e6, 1852.2e6, 2117.5e6])
_SPECIFIC_DB_M = np.array([0.04, 0.12, 0.17, 0.30, 0.34])
_GREATEST_DB = np.array([9.4, 18.0, 26.5, 29.0, 34.1])


class Foliage(StrEnum):
    """State of the leaves; the value is what people read."""

    BARE = "bare"
    IN_LEAF = "in leaf"
    WET_LEAF = "wet leaves"


FOLIAGE_FACTOR = {Foliage.BARE: 0.8, Foliage.IN_LEAF: 1.0, Foliage.WET_LEAF: 1.2}
"""Loss against that of the table; 20 % either way is judgement."""


def woodland_loss_db(
    depth_m: ArrayLike, frequency_hz: float, foliage: Foliage = Foliage.IN_LEAF
) -> Numbers:
    r"""Excess loss of a path that ends inside woodland, in dB.

    .. math:: A_{ev} = A_m (1 - e^{-d \gamma / A_m})

    Parameters
    ----------
    depth_m : array_like
        Length d of the path within the trees, at least 0. [m]
    frequency_hz : float
        105.9 MHz to 2.1175 GHz, the ends of the measured table. [Hz]
    foliage : Foliage
        State of the leaves.

    Notes
    -----
    Specific attenuation and greatest loss are interpolated between measured woods in log-log.
    One wood is not another: other sites gave greatest losses of 21 to 29 dB at 868 MHz. Only for
    trees round one end; trees along the path are clutter on the profile, never both.

    References
    ----------
    .. [1] Rec. ITU-R P.833-9, section 2.1, eq. (1) and table of measured woodland.
    """
    if not _FREQUENCIES_HZ[0] <= frequency_hz <= _FREQUENCIES_HZ[-1]:
        raise InputError(
            f"Woodland at {frequency_hz / 1e6:g} MHz.",
            advice="The measured table of P.833 holds from 106 to 2117 MHz.",
        )
    depth = np.asarray(depth_m, dtype=float)
    if np.any(depth < 0.0):
        raise InputError("Woodland of negative depth.", advice="Enter a depth of 0 m or more.")
    greatest = _log_log(frequency_hz, _GREATEST_DB)
    specific = _log_log(frequency_hz, _SPECIFIC_DB_M)
    loss = greatest * -np.expm1(-depth * specific / greatest)
    return np.asarray(FOLIAGE_FACTOR[foliage] * loss)


def _log_log(frequency_hz: float, values: Numbers) -> float:
    return float(np.exp(np.interp(np.log(frequency_hz), np.log(_FREQUENCIES_HZ), np.log(values))))
