"""Loss between isotropic antennas in free space."""

from __future__ import annotations

from typing import overload

import numpy as np

from guyline.core.radio.path_arrays import as_numbers, check_frequency
from guyline.core.units import Numbers, wavelength_m


@overload
def free_space_loss_db(distance_m: float, frequency_hz: float) -> float: ...
@overload
def free_space_loss_db(distance_m: Numbers, frequency_hz: float) -> Numbers: ...
def free_space_loss_db(distance_m: float | Numbers, frequency_hz: float) -> float | Numbers:
    r"""Free-space basic transmission loss between isotropic antennas, in dB.

    .. math:: L_{bf} = 20 \log_{10}(4 \pi d / \lambda)

    Parameters
    ----------
    distance_m : array (N,) or float
        Length of the path. [m], > 0; NaN comes back for others, as the far field has no meaning.
    frequency_hz : float
        Carrier frequency. [Hz]

    Returns
    -------
    array (N,) or float
        [dB]

    Raises
    ------
    InputError
        A frequency not above zero, or a distance that is no number.

    Notes
    -----
    Uses the exact constant; the rounded 32.4 of the practical form is 0.048 dB lower.

    References
    ----------
    .. [1] Rec. ITU-R P.525, the ratio form of basic free-space transmission loss.
    """
    check_frequency(frequency_hz)
    distance = as_numbers("distance", distance_m)
    far = np.where(distance > 0.0, distance, np.nan)
    loss = 20.0 * np.log10(4.0 * np.pi * far / wavelength_m(frequency_hz))
    return float(loss) if np.ndim(loss) == 0 else loss
