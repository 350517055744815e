"""The margin of a link as a distribution: how likely the link works, and what makes it unsure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import prod, sqrt

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.radio.building_entry import Construction, building_entry_sd_db
from guyline.core.radio.diffraction import delta_bullington
from guyline.core.units import Numbers

HEIGHT_CORRELATION_M = 300.0  # over which errors of elevation data hang together; judgement
CLEAR_MODEL_SD_DB = 2.2  # two models over the same clear hilly paths differ by -0.5 +- 2.2 dB
OBSTRUCTED_MODEL_SD_DB = 8.0  # and by 14.7 +- 8.2 dB over obstructed ones
GRAZING_LOSS_DB = 6.0  # knife edge at grazing, J(0) = 6.03 dB, P.526: from here on obstructed
GAIN_SD_DB = 1.0  # each antenna, adverts against measurement; judgement
SENSITIVITY_SD_DB = 0.9  # formula within 1.5 dB of data sheets, taken as uniform: 1.5 / sqrt(3)
CLUTTER_SD_DB = 6.0  # sigma_s of P.2108-1 section 3.2.2, whose 3.1 names no spread: judgement
WOODLAND_SD_FRACTION = 0.2  # leaves and moisture; judgement


class SpreadCause(StrEnum):
    """Why the margin is not sure; the value is what people read."""

    TERRAIN = "terrain data"
    LOCATION = "exact place"
    MODEL = "path model"
    GAIN = "antenna gain"
    SENSITIVITY = "receiver"
    CLUTTER = "clutter"
    BUILDING = "building"
    WOODLAND = "trees"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """What one cause does to the path loss.

    `sd_db` is the standard deviation; `shift_db` is by how much the expected loss exceeds the
    loss of the budget.
    """

    cause: SpreadCause
    sd_db: float
    shift_db: float = 0.0
    basis: str = ""
    confidence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginSpread:
    """The margin of a link as a normal distribution made of independent causes.

    `nominal_db` is the margin of the budget, before any shift.
    """

    nominal_db: float
    spreads: tuple[Spread, ...]

    @property
    def mean_db(self) -> float:
        return self.nominal_db - sum(spread.shift_db for spread in self.spreads)

    @property
    def sd_db(self) -> float:
        return sqrt(sum(spread.sd_db**2 for spread in self.spreads))

    @property
    def probability(self) -> float:
        """Probability that the margin is not negative."""
        from scipy.special import ndtr  # here, because a start must not wait for it

        if self.sd_db == 0.0:
            return float(self.mean_db >= 0.0)
        return float(ndtr(self.mean_db / self.sd_db))

    def band_db(self, percent: float = 90.0) -> tuple[float, float]:
        """Central band that holds the margin with that probability, in dB."""
        from scipy.special import ndtri  # here, because a start must not wait for it

        half = self.sd_db * float(ndtri(0.5 + percent / 200.0))
        return self.mean_db - half, self.mean_db + half

    def shares(self) -> tuple[tuple[SpreadCause, float], ...]:
        """Part of the variance each cause makes up, the greatest first; they add up to 1."""
        total = self.sd_db**2
        if total == 0.0:
            return ()
        parts = [(spread.cause, spread.sd_db**2 / total) for spread in self.spreads]
        return tuple(sorted(parts, key=lambda part: -part[1]))


def chain_probability(probabilities: Iterable[float]) -> float:
    """Probability that every hop of a chain works, if they fail independently."""
    return prod(probabilities)


def terrain_spread(
    distance_m: Numbers,
    height_amsl_m: Numbers,
    tx_amsl_m: float,
    rx_amsl_m: float,
    frequency_hz: float,
    height_sd_m: float,
    effective_radius_m: float = 8_500_000.0,
    polarisation: str = "vertical",
    clutter_m: Numbers | None = None,
) -> Spread:
    r"""Spread of the diffraction loss from the error of the elevation data.

    The ground between the ends is moved by :math:`-\sqrt{3}, 0, \sqrt{3}` standard deviations
    of its height above the line between them (three-point Gauss-Hermite quadrature, weights
    1/6, 2/3, 1/6); the antennas stand on ground that is in error too.

    Parameters
    ----------
    distance_m, height_amsl_m : array (N,)
        Profile as in `delta_bullington_loss_db`. [m]
    tx_amsl_m, rx_amsl_m : float
        Antenna heights. [m above sea level]
    frequency_hz : float
        [Hz]
    height_sd_m : float
        Standard deviation of the height error, at least 0. [m]
    effective_radius_m : float
        [m]
    polarisation : str
        "vertical" or "horizontal".
    clutter_m : array (N,), optional
        What stands on the ground and moves with it. [m]

    Notes
    -----
    Holds where one obstacle decides. Errors are taken to hang together over 300 m (Gaussian);
    many equal obstacles with errors of their own lose a little more than this says.
    """
    sd_m = height_sd_m * relative_error_ratio(distance_m)
    standing_m = np.zeros_like(distance_m) if clutter_m is None else clutter_m
    losses = np.array(
        [
            delta_bullington(
                distance_m,
                height_amsl_m + step * sd_m,
                tx_amsl_m,
                rx_amsl_m,
                frequency_hz,
                effective_radius_m,
                polarisation=polarisation,
                obstacle_amsl_m=height_amsl_m + step * sd_m + standing_m,
            ).loss_db
            for step in (-sqrt(3.0), 0.0, sqrt(3.0))
        ]
    )
    weights = np.array([1.0, 4.0, 1.0]) / 6.0
    mean = float(weights @ losses)
    return Spread(
        cause=SpreadCause.TERRAIN,
        sd_db=sqrt(float(weights @ (losses - mean) ** 2)),
        shift_db=mean - float(losses[1]),
        basis=f"height error of {height_sd_m:g} m moved through the diffraction",
        confidence="D",
    )


def relative_error_ratio(
    distance_m: Numbers, correlation_m: float = HEIGHT_CORRELATION_M
) -> Numbers:
    r"""Error of the height above the line between the ends, over that of a height itself.

    .. math::

        r^2 = 1 + (1-t)^2 + t^2 - 2 (1-t) \rho(x) - 2 t \rho(D-x) + 2 t (1-t) \rho(D)

    with :math:`\rho(x) = e^{-(x/\ell)^2}` and t = x/D: 0 at the ends, about 1.2 in between.

    Parameters
    ----------
    distance_m : array (N,)
        Distance from one end, rising from 0. [m]
    correlation_m : float
        Length over which the errors hang together. [m]
    """
    length = distance_m[-1]
    t = distance_m / length

    def rho(lag_m: Numbers) -> Numbers:
        return np.asarray(np.exp(-((lag_m / correlation_m) ** 2)))

    squared = (
        1.0
        + (1.0 - t) ** 2
        + t**2
        - 2.0 * (1.0 - t) * rho(distance_m)
        - 2.0 * t * rho(length - distance_m)
        + 2.0 * t * (1.0 - t) * rho(np.asarray(length))
    )
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))


def location_spread(
    frequency_hz: float,
    antenna_agl_m: float,
    clutter_height_m: float = 0.0,
    resolution_m: float = 90.0,
) -> Spread:
    r"""Spread among the places within one cell of the terrain data.

    .. math:: \sigma_L = (0.52 + 0.024 f)\, w_a^{0.28}\, u(h)

    with f in GHz; u falls from 1 at the top of the clutter to 0 ten metres above it.

    Parameters
    ----------
    frequency_hz : float
        [Hz]
    antenna_agl_m : float
        Height of the lower antenna above ground. [m]
    clutter_height_m : float
        Height of what stands around it. [m]
    resolution_m : float
        Width of the cell. [m]

    References
    ----------
    .. [1] Rec. ITU-R P.1812, sections 4.7 to 4.9, location variability.
    """
    above = np.clip((antenna_agl_m - clutter_height_m) / 10.0, 0.0, 1.0)
    sd = (0.52 + 0.024 * frequency_hz / 1e9) * resolution_m**0.28 * float(1.0 - above)
    return Spread(
        cause=SpreadCause.LOCATION,
        sd_db=sd,
        basis="Rec. ITU-R P.1812 sections 4.7 to 4.9",
        confidence="A",
    )


def model_spread(diffraction_db: float) -> Spread:
    """Spread of what models say of the same path: small where it is clear, wide where it is not.

    Parameters
    ----------
    diffraction_db : float
        Diffraction loss of the path; the spread grows with it up to grazing. [dB]

    Notes
    -----
    From two complete models over 348 hilly paths at 868 MHz; the growth up to grazing is judged.
    """
    return Spread(
        cause=SpreadCause.MODEL,
        sd_db=float(model_sd_db(diffraction_db)),
        basis="difference of two published models over hilly paths",
        confidence="D",
    )


def model_sd_db(diffraction_db: ArrayLike) -> Numbers:
    """Standard deviation of `model_spread`, of the shape of the diffraction losses. [dB]"""
    obstructed = np.clip(np.asarray(diffraction_db, dtype=float) / GRAZING_LOSS_DB, 0.0, 1.0)
    return np.asarray(
        CLEAR_MODEL_SD_DB + (OBSTRUCTED_MODEL_SD_DB - CLEAR_MODEL_SD_DB) * obstructed
    )


def gain_spread() -> Spread:
    """Spread of what two antennas of the stated gains really have."""
    return Spread(
        cause=SpreadCause.GAIN,
        sd_db=sqrt(2.0) * GAIN_SD_DB,
        basis="1 dB for each antenna, judgement",
        confidence="C",
    )


def sensitivity_spread() -> Spread:
    """Spread of the receiver about the sensitivity formula."""
    return Spread(
        cause=SpreadCause.SENSITIVITY,
        sd_db=SENSITIVITY_SD_DB,
        basis="formula against data sheets",
        confidence="B",
    )


def clutter_spread() -> Spread:
    """Spread of the clutter loss among places below the roofs."""
    return Spread(
        cause=SpreadCause.CLUTTER,
        sd_db=CLUTTER_SD_DB,
        basis="6 dB of Rec. ITU-R P.2108-1 section 3.2.2, taken for a known kind of clutter too",
        confidence="C",
    )


def building_spread(construction: Construction, frequency_hz: float) -> Spread:
    """Spread of the building entry loss about its median."""
    return Spread(
        cause=SpreadCause.BUILDING,
        sd_db=building_entry_sd_db(construction, frequency_hz),
        basis="Rec. ITU-R P.2109",
        confidence="A",
    )


def woodland_spread(loss_db: float) -> Spread:
    """Spread of the loss in trees, which the season and rain change."""
    return Spread(
        cause=SpreadCause.WOODLAND,
        sd_db=WOODLAND_SD_FRACTION * loss_db,
        basis="20 % for leaves and moisture, judgement",
        confidence="C",
    )
