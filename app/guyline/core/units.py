"""Constants and conversions; everything inside the program is SI."""

from __future__ import annotations

from typing import overload

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

SPEED_OF_LIGHT_M_S = 299_792_458.0  # exact, SI definition of the metre
FOOT_M = 0.3048  # exact, international foot
INCH_M = 0.0254  # exact
MILE_PER_HOUR_M_S = 0.44704  # exact, of the international mile
POUND_KG = 0.45359237  # exact, avoirdupois
POUND_FOOT_N_M = 1.3558179483314004  # exact: pound of force by foot, standard gravity
EIRP_OVER_ERP_DB = 2.15  # gain of a half-wave dipole over isotropic, rounded as rules print it


def wavelength_m(frequency_hz: float) -> float:
    return SPEED_OF_LIGHT_M_S / frequency_hz


@overload
def dbm_from_w(power_w: float) -> float: ...
@overload
def dbm_from_w(power_w: Numbers) -> Numbers: ...
def dbm_from_w(power_w: float | Numbers) -> float | Numbers:
    """Power in dB above one milliwatt."""
    level = 10.0 * np.log10(np.asarray(power_w) * 1000.0)
    return float(level) if np.ndim(level) == 0 else level


@overload
def w_from_dbm(level_dbm: float) -> float: ...
@overload
def w_from_dbm(level_dbm: Numbers) -> Numbers: ...
def w_from_dbm(level_dbm: float | Numbers) -> float | Numbers:
    """Power in watts of a level in dBm."""
    power = 10.0 ** (np.asarray(level_dbm) / 10.0) / 1000.0
    return float(power) if np.ndim(power) == 0 else power
