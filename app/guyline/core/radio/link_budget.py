"""Link budget: what arrives at either end of a link, and by how much it suffices."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isnan, log10
from typing import Literal

from guyline.errors import InputError

THERMAL_NOISE_DBM_HZ = -174.0  # k * 290 K in 1 Hz, rounded as the trade writes it (-173.98)

REQUIRED_SNR_DB = {6: -5.0, 7: -7.5, 8: -10.0, 9: -12.5, 10: -15.0, 11: -17.5, 12: -20.0}
"""Signal-to-noise ratio the demodulator needs, by spreading factor.

SX1276/77/78/79 data sheet, table 13. Field check: of 8567 packets received over 108 km at
spreading factor 7 the tenth percentile lies at -7.5 dB.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminal:
    """One end of a link; the feeder lies between radio and antenna in both directions."""

    tx_power_dbm: float
    feeder_loss_db: float
    antenna_gain_dbi: float
    noise_figure_db: float

    def __post_init__(self) -> None:
        for name, loss in (("feeder", self.feeder_loss_db), ("receiver", self.noise_figure_db)):
            if loss < 0.0:
                raise InputError(
                    f"The {name} takes {loss:g} dB.",
                    advice="Enter losses and noise figures as 0 or more.",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """Every step of the budget in one direction, in the order in which the signal meets it."""

    tx_power_dbm: float
    tx_feeder_loss_db: float
    tx_gain_dbi: float
    eirp_dbm: float
    path_loss_db: float
    rx_gain_dbi: float
    rx_feeder_loss_db: float
    received_dbm: float
    snr_db: float
    sensitivity_dbm: float
    margin_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkBudget:
    """Both directions of a link; `forward` is from the near end to the far end."""

    forward: Direction
    backward: Direction

    @property
    def limiting(self) -> Literal["forward", "backward"]:
        """The direction with less margin, an unknown one first; forward where they are equal."""
        forward, backward = (
            -inf if isnan(way.margin_db) else way.margin_db
            for way in (self.forward, self.backward)
        )
        return "forward" if forward <= backward else "backward"

    @property
    def margin_db(self) -> float:
        """Margin of the weaker direction, in dB; NaN where either is unknown."""
        weaker = self.forward if self.limiting == "forward" else self.backward
        return weaker.margin_db


def required_snr_db(spreading_factor: int) -> float:
    """Signal-to-noise ratio at which the demodulator works, in dB.

    Raises
    ------
    InputError
        Spreading factor outside 6 to 12.
    """
    if spreading_factor not in REQUIRED_SNR_DB:
        raise InputError(
            f"The spreading factor is {spreading_factor}.", advice="Choose one from 6 to 12."
        )
    return REQUIRED_SNR_DB[spreading_factor]


def noise_floor_dbm(bandwidth_hz: float, noise_figure_db: float) -> float:
    """Noise at the receiver's input, -174 + 10 log10 BW + NF, in dBm."""
    if not 0.0 < bandwidth_hz < float("inf"):
        raise InputError(
            f"The bandwidth is {bandwidth_hz} Hz.",
            advice="Enter a bandwidth above zero, in hertz.",
        )
    return THERMAL_NOISE_DBM_HZ + 10.0 * log10(bandwidth_hz) + noise_figure_db


def sensitivity_dbm(bandwidth_hz: float, noise_figure_db: float, snr_db: float) -> float:
    r"""Weakest level the receiver still understands, in dBm.

    .. math:: S = -174 + 10 \log_{10} BW + NF + SNR

    Parameters
    ----------
    bandwidth_hz : float
        [Hz]
    noise_figure_db : float
        Receiver noise figure, with man-made noise where there is some. [dB]
    snr_db : float
        Signal-to-noise ratio the demodulator needs. [dB]

    Notes
    -----
    With a noise figure of 7 dB within 1.5 dB of the values the SX1276 data sheet prints.
    """
    return noise_floor_dbm(bandwidth_hz, noise_figure_db) + snr_db


def link_budget(
    near: Terminal,
    far: Terminal,
    path_loss_db: float,
    bandwidth_hz: float,
    spreading_factor: int,
) -> LinkBudget:
    """Budget of a link in both directions.

    Parameters
    ----------
    near, far : Terminal
        Both ends; gains are those toward each other.
    path_loss_db : float
        Basic transmission loss, the same both ways, with whatever lies between the antennas;
        NaN makes levels and margins NaN. [dB]
    bandwidth_hz : float
        [Hz]
    spreading_factor : int
        6 to 12.

    Raises
    ------
    InputError
        A bandwidth not above zero, or another spreading factor.
    """
    snr_db = required_snr_db(spreading_factor)
    return LinkBudget(
        forward=_direction(near, far, path_loss_db, bandwidth_hz, snr_db),
        backward=_direction(far, near, path_loss_db, bandwidth_hz, snr_db),
    )


def _direction(
    tx: Terminal, rx: Terminal, path_loss_db: float, bandwidth_hz: float, snr_db: float
) -> Direction:
    eirp = tx.tx_power_dbm - tx.feeder_loss_db + tx.antenna_gain_dbi
    received = eirp - path_loss_db + rx.antenna_gain_dbi - rx.feeder_loss_db
    sensitivity = sensitivity_dbm(bandwidth_hz, rx.noise_figure_db, snr_db)
    return Direction(
        tx_power_dbm=tx.tx_power_dbm,
        tx_feeder_loss_db=tx.feeder_loss_db,
        tx_gain_dbi=tx.antenna_gain_dbi,
        eirp_dbm=eirp,
        path_loss_db=path_loss_db,
        rx_gain_dbi=rx.antenna_gain_dbi,
        rx_feeder_loss_db=rx.feeder_loss_db,
        received_dbm=received,
        snr_db=received - noise_floor_dbm(bandwidth_hz, rx.noise_figure_db),
        sensitivity_dbm=sensitivity,
        margin_db=received - sensitivity,
    )
