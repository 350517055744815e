"""Man-made noise, and how far it raises the noise figure of a receiver."""

from __future__ import annotations

from enum import StrEnum
from math import log10

from guyline.errors import InputError


class NoiseEnvironment(StrEnum):
    """Surroundings of a receiving antenna; the value is what people read."""

    BUSINESS = "business district"
    CITY = "city"
    RESIDENTIAL = "residential"
    RURAL = "rural"
    QUIET_RURAL = "quiet rural"


_LINES = {  # Fam = c - d log10 f_MHz; Rec. ITU-R P.372 table of man-made noise, 0.3 to 250 MHz
    NoiseEnvironment.CITY: (76.8, 27.7),
    NoiseEnvironment.RESIDENTIAL: (72.5, 27.7),
    NoiseEnvironment.RURAL: (67.2, 27.7),
    NoiseEnvironment.QUIET_RURAL: (53.6, 28.6),
    NoiseEnvironment.BUSINESS: (44.3, 12.3),  # business areas, 200 to 900 MHz, after P.372-8
}

PLANNING_RISE_DB = {
    NoiseEnvironment.BUSINESS: 4.0,
    NoiseEnvironment.CITY: 2.0,
    NoiseEnvironment.RESIDENTIAL: 2.0,
    NoiseEnvironment.RURAL: 0.0,
    NoiseEnvironment.QUIET_RURAL: 0.0,
}
"""Rise of the noise floor to plan with near 900 MHz, where P.372 has no town line; judgement."""


def man_made_noise_db(environment: NoiseEnvironment, frequency_hz: float) -> float:
    r"""Median external noise factor above thermal noise at 290 K, in dB.

    .. math:: F_{am} = c - d \log_{10} f, \quad f \text{ in MHz}

    Parameters
    ----------
    environment : NoiseEnvironment
        Surroundings of the antenna.
    frequency_hz : float
        Above 0. [Hz]

    Notes
    -----
    Stated for 0.3 to 250 MHz, the business line for 200 to 900 MHz; elsewhere extrapolated.
    After a disaster with mains off the true value is lower; an inverter or charger on the own
    mast makes it higher.

    References
    ----------
    .. [1] Rec. ITU-R P.372-17, man-made noise, and P.372-8 for business areas.
    """
    return _on_line(_LINES[environment], frequency_hz)


def system_noise_figure_db(
    receiver_noise_figure_db: float, external_noise_db: float, feeder_loss_db: float = 0.0
) -> float:
    r"""Noise figure at the receiver's connector, with noise from outside, in dB.

    .. math:: f = f_r + (f_a - 1) / l_f, \quad f_a \ge 1

    Parameters
    ----------
    receiver_noise_figure_db : float
        [dB]
    external_noise_db : float
        External noise factor at the antenna; below 0 it counts as 0, because an antenna near
        the ground sees about 290 K of it. [dB]
    feeder_loss_db : float
        Loss of a feeder at 290 K, which weakens the external noise too. [dB]

    Notes
    -----
    With no feeder the formula of P.372 for lossless antenna and line, f = fa + fr - 1. The
    feeder's loss of signal is not in the result; the link budget counts it.

    References
    ----------
    .. [1] Rec. ITU-R P.372-17, section 2, eqs. (2) and (3).
    """
    external = max(10.0 ** (external_noise_db / 10.0), 1.0)
    receiver = 10.0 ** (receiver_noise_figure_db / 10.0)
    return 10.0 * log10(receiver + (external - 1.0) / 10.0 ** (feeder_loss_db / 10.0))


def planning_noise_figure_db(
    receiver_noise_figure_db: float,
    environment: NoiseEnvironment,
    frequency_hz: float,
    feeder_loss_db: float = 0.0,
) -> float:
    """Noise figure to plan a receiver in these surroundings with, in dB.

    The greater of what P.372 gives and of the judged rise for towns, where P.372 says nothing.

    Parameters
    ----------
    receiver_noise_figure_db : float
        [dB]
    environment : NoiseEnvironment
        Surroundings of the antenna.
    frequency_hz : float
        [Hz]
    feeder_loss_db : float
        [dB]
    """
    computed = system_noise_figure_db(
        receiver_noise_figure_db, man_made_noise_db(environment, frequency_hz), feeder_loss_db
    )
    return max(computed, receiver_noise_figure_db + PLANNING_RISE_DB[environment])


def _on_line(line: tuple[float, float], frequency_hz: float) -> float:
    if not 0.0 < frequency_hz < float("inf"):
        raise InputError(
            f"Noise at {frequency_hz} Hz.", advice="Enter a frequency above zero, in hertz."
        )
    at_1_mhz, slope = line
    return at_1_mhz - slope * log10(frequency_hz / 1e6)
