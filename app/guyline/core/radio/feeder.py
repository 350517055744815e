"""Loss between the radio's connector and the antenna's: cable, joints, arrestor, mismatch."""

from __future__ import annotations

from typing import overload

import numpy as np

from guyline.core.units import FOOT_M, Numbers
from guyline.errors import InputError

JOINT_LOSS_DB = 0.1  # per mated connector pair; common practice, no source
ARRESTOR_LOSS_DB = 0.2  # with its two joints; data sheets of gas tubes say less (trade.md 3.4)
_HUNDRED_FEET_M = 100.0 * FOOT_M


@overload
def cable_loss_db(
    length_m: float, k1_db_per_100ft: float, k2_db_per_100ft: float, frequency_hz: float
) -> float: ...
@overload
def cable_loss_db(
    length_m: Numbers, k1_db_per_100ft: float, k2_db_per_100ft: float, frequency_hz: float
) -> Numbers: ...
@overload
def cable_loss_db(
    length_m: float, k1_db_per_100ft: float, k2_db_per_100ft: float, frequency_hz: Numbers
) -> Numbers: ...
def cable_loss_db(
    length_m: float | Numbers,
    k1_db_per_100ft: float,
    k2_db_per_100ft: float,
    frequency_hz: float | Numbers,
) -> float | Numbers:
    r"""Loss of a matched cable at 20 °C, in dB.

    .. math:: L = (k_1 \sqrt{f} + k_2 f)\, l / 100\,\mathrm{ft}, \quad f \text{ in MHz}

    Parameters
    ----------
    length_m : float or array (N,)
        Length of the cable, at least 0. [m]
    k1_db_per_100ft, k2_db_per_100ft : float
        Conductor and dielectric constants as makers publish them.
    frequency_hz : float or array (N,)
        [Hz]

    Notes
    -----
    Dry, undamaged cable. Copper loss grows by about 0.2 % per kelvin (common practice,
    no source); a wet cable or connector may lose anything.
    """
    f_mhz = np.asarray(frequency_hz) / 1e6
    per_100ft = k1_db_per_100ft * np.sqrt(f_mhz) + k2_db_per_100ft * f_mhz
    loss = per_100ft * np.asarray(length_m) / _HUNDRED_FEET_M
    return float(loss) if np.ndim(loss) == 0 else loss


def feeder_loss_db(
    length_m: float,
    k1_db_per_100ft: float,
    k2_db_per_100ft: float,
    frequency_hz: float,
    joints: int = 2,
    has_arrestor: bool = False,
    swr: float = 1.0,
) -> float:
    """Loss of the whole feeder: cable with mismatch, joints and arrestor, in dB.

    Parameters
    ----------
    length_m : float
        Cable length, at least 0. [m]
    k1_db_per_100ft, k2_db_per_100ft : float
        As in `cable_loss_db`.
    frequency_hz : float
        [Hz]
    joints : int
        Mated connector pairs between radio and antenna, those of the arrestor not counted.
    has_arrestor : bool
        Whether a lightning arrestor is in the line.
    swr : float
        Standing-wave ratio at the antenna, at least 1; 1 is a perfect match.

    Notes
    -----
    The power that a mismatched antenna reflects is lost in the cable only in part; what never
    enters the antenna is `mismatch_loss_db` and is not counted here.
    """
    if length_m < 0.0 or joints < 0:
        raise InputError(
            f"The feeder is {length_m:g} m long and has {joints} joints.",
            advice="Neither can be negative.",
        )
    cable = cable_loss_db(length_m, k1_db_per_100ft, k2_db_per_100ft, frequency_hz)
    arrestor = ARRESTOR_LOSS_DB if has_arrestor else 0.0
    return loss_with_swr_db(cable, swr) + joints * JOINT_LOSS_DB + arrestor


@overload
def loss_with_swr_db(matched_loss_db: float, swr: float) -> float: ...
@overload
def loss_with_swr_db(matched_loss_db: Numbers, swr: float) -> Numbers: ...
@overload
def loss_with_swr_db(matched_loss_db: float, swr: Numbers) -> Numbers: ...
def loss_with_swr_db(matched_loss_db: float | Numbers, swr: float | Numbers) -> float | Numbers:
    r"""Loss of a line that ends in a mismatch: matched loss plus that of the standing wave, in dB.

    .. math:: L = 10 \log_{10} \frac{a^2 - \rho^2}{a\,(1 - \rho^2)},
              \quad a = 10^{M/10},\ \rho = \frac{S - 1}{S + 1}

    Parameters
    ----------
    matched_loss_db : float or array (N,)
        Loss M into a matched load, at least 0. [dB]
    swr : float or array (N,)
        Standing-wave ratio S at the antenna end, at least 1.

    Notes
    -----
    A lossy line hides a bad antenna from a meter at the radio: measure at the antenna.
    """
    a = 10.0 ** (np.asarray(matched_loss_db) / 10.0)
    rho_squared = reflection_coefficient(swr) ** 2
    loss = 10.0 * np.log10((a**2 - rho_squared) / (a * (1.0 - rho_squared)))
    return float(loss) if np.ndim(loss) == 0 else np.asarray(loss)


@overload
def mismatch_loss_db(swr: float) -> float: ...
@overload
def mismatch_loss_db(swr: Numbers) -> Numbers: ...
def mismatch_loss_db(swr: float | Numbers) -> float | Numbers:
    r"""Power that a mismatch at the end of a lossless line turns back, in dB.

    .. math:: L = -10 \log_{10} (1 - \rho^2)
    """
    loss = -10.0 * np.log10(1.0 - np.asarray(reflection_coefficient(swr)) ** 2)
    return float(loss) if np.ndim(loss) == 0 else loss


@overload
def reflection_coefficient(swr: float) -> float: ...
@overload
def reflection_coefficient(swr: Numbers) -> Numbers: ...
def reflection_coefficient(swr: float | Numbers) -> float | Numbers:
    """Magnitude of the voltage reflection coefficient of a standing-wave ratio of at least 1."""
    s = np.asarray(swr)
    if np.any(s < 1.0):
        raise InputError(
            f"The standing-wave ratio is {np.min(s):g}.",
            advice="Enter what the meter shows: a perfect match is 1, all else is more.",
        )
    rho = (s - 1.0) / (s + 1.0)
    return float(rho) if np.ndim(rho) == 0 else np.asarray(rho)
