"""The radio at the antenna's foot against the radio indoors behind a feeder."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Feeder
from guyline.core.radio.feeder import cable_loss_db, feeder_loss_db
from guyline.core.units import w_from_dbm
from guyline.errors import InputError

AT_ANTENNA = Feeder(
    catalogue_key="foam-6mm",
    length_m=0.5,
    k1_db_per_100ft=0.24208,
    k2_db_per_100ft=0.00033,
    source="maker's published loss formula, quoted in scientific code",
)
"""The jumper of a radio in a box at the foot of its antenna."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FeederFigure:
    """What a feeder takes: of the signal both ways, and of the transmitter's power."""

    loss_db: float
    cable_db: float
    power_at_antenna_w: float
    power_lost_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MountingComparison:
    """Two ways to mount the same node."""

    indoors: FeederFigure
    at_antenna: FeederFigure

    @property
    def gained_db(self) -> float:
        """Margin won in both directions by putting the radio at the antenna."""
        return self.indoors.loss_db - self.at_antenna.loss_db


def feeder_figure(feeder: Feeder, frequency_hz: float, tx_power_dbm: float) -> FeederFigure:
    """Loss of a feeder and power behind it.

    Parameters
    ----------
    feeder : Feeder
        With known length and loss constants.
    frequency_hz : float
        [Hz]
    tx_power_dbm : float
        At the radio. [dBm]

    Raises
    ------
    InputError
        Length or loss constants are not known.
    """
    length, k1, k2 = feeder.length_m, feeder.k1_db_per_100ft, feeder.k2_db_per_100ft
    if length is None or k1 is None or k2 is None:
        raise InputError(
            "The feeder's length or kind is not known.",
            advice="Choose the cable and enter its length.",
        )
    loss = feeder_loss_db(length, k1, k2, frequency_hz, feeder.joints, feeder.has_arrestor)
    at_antenna = w_from_dbm(tx_power_dbm - loss)
    return FeederFigure(
        loss_db=loss,
        cable_db=cable_loss_db(length, k1, k2, frequency_hz),
        power_at_antenna_w=at_antenna,
        power_lost_w=w_from_dbm(tx_power_dbm) - at_antenna,
    )


def compare_mounting(
    indoors: Feeder,
    at_antenna: Feeder,
    frequency_hz: float,
    tx_power_dbm: float,
) -> MountingComparison:
    """Both ways to mount a node, side by side.

    What the numbers do not show: the node at the antenna stands in the weather and must be
    climbed to; a feeder brings lightning indoors.
    """
    return MountingComparison(
        indoors=feeder_figure(indoors, frequency_hz, tx_power_dbm),
        at_antenna=feeder_figure(at_antenna, frequency_hz, tx_power_dbm),
    )
