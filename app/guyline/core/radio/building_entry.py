"""Loss on the way into a building: the pocket radio in the hall."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.units import Numbers
from guyline.errors import InputError


class Construction(StrEnum):
    """How a building is built; the value is what people read."""

    TRADITIONAL = "traditional"
    EFFICIENT = "thermally efficient"


@dataclass(frozen=True, slots=True)
class _Coefficients:
    r: float
    s: float
    t: float
    u: float
    v: float
    w: float
    x: float
    y: float
    z: float


_TABLE_1 = {  # Rec. ITU-R P.2109, table 1
    Construction.TRADITIONAL: _Coefficients(12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
    Construction.EFFICIENT: _Coefficients(28.19, -3.0, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1),
}


def building_entry_loss_db(
    construction: Construction,
    frequency_hz: float,
    percent: ArrayLike = 50.0,
    elevation_deg: ArrayLike = 0.0,
) -> Numbers:
    r"""Building entry loss not exceeded with a probability, in dB.

    .. math::

        L(P) = 10 \log_{10}(10^{0.1 A(P)} + 10^{0.1 B(P)} + 10^{-0.3})

        A(P) = F^{-1}(P) \sigma_1 + \mu_1, \quad B(P) = F^{-1}(P) \sigma_2 + \mu_2

    Parameters
    ----------
    construction : Construction
        Traditional, or thermally efficient (metallised glass, foil-backed panels).
    frequency_hz : float
        80 MHz to 100 GHz. [Hz]
    percent : array_like
        Probability, above 0 and below 100: over buildings and places within them. [%]
    elevation_deg : array_like
        Elevation angle of the path at the facade. [deg]

    References
    ----------
    .. [1] Rec. ITU-R P.2109, section 3, eqs. (1) to (10) and table 1.
    """
    from scipy.special import ndtri  # here, because a start must not wait for it

    if not 0.08e9 <= frequency_hz <= 100e9:
        raise InputError(
            f"Building entry at {frequency_hz / 1e6:g} MHz.",
            advice="P.2109 holds from 80 MHz to 100 GHz.",
        )
    chance = np.asarray(percent, dtype=float) / 100.0
    if np.any(chance <= 0.0) or np.any(chance >= 1.0):
        raise InputError(
            "A probability outside 0 to 100 %.", advice="Choose one between, such as 50."
        )
    c = _TABLE_1[construction]
    log_f = np.log10(frequency_hz / 1e9)
    horizontal = c.r + c.s * log_f + c.t * log_f**2
    mean_1 = horizontal + 0.212 * np.abs(np.asarray(elevation_deg, dtype=float))
    mean_2 = c.w + c.x * log_f
    normal = ndtri(chance)
    a = normal * (c.u + c.v * log_f) + mean_1
    b = normal * (c.y + c.z * log_f) + mean_2
    return np.asarray(10.0 * np.log10(10.0 ** (0.1 * a) + 10.0 ** (0.1 * b) + 10.0**-0.3))


def building_entry_sd_db(construction: Construction, frequency_hz: float) -> float:
    """Spread of the building entry loss as half of its central 68.27 %, in dB."""
    low, high = building_entry_loss_db(construction, frequency_hz, [15.8655, 84.1345])
    return float(high - low) / 2.0
