"""Does the beam pass over a neighbour, what else would do, and what does bad aim cost?"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from guyline.core.plan import Antenna, Pattern
from guyline.core.radio.antenna import beamwidth_elevation_deg, gain_toward_dbi
from guyline.core.units import Numbers
from guyline.errors import InputError

DIRECTIONAL = frozenset({Pattern.SECTOR, Pattern.YAGI, Pattern.PATCH})
WORTH_NAMING_DB = 0.5  # a smaller gain is within what adverts round; judgement
AIMING_STEP_DEG = 0.1


@dataclass(frozen=True, slots=True)
class Direction:
    """Where a neighbour stands as seen from an antenna; azimuth true, elevation positive up."""

    azimuth_deg: float
    elevation_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AntennaFigure:
    """An antenna of the catalogue and its gain toward the neighbour it serves worst.

    `power_cut_db` is by how much the transmit power must fall with it to keep a limit.
    """

    key: str
    worst_gain_dbi: float
    power_cut_db: float = 0.0

    @property
    def net_dbi(self) -> float:
        """What is left of the gain once the power is cut."""
        return self.worst_gain_dbi - self.power_cut_db


@dataclass(frozen=True, slots=True, kw_only=True)
class Overshoot:
    """How an antenna serves the neighbour it serves worst, and what would serve it better.

    `off_beam_deg` is the angle in elevation between the beam and that neighbour; `better` has
    the alternatives with at least half a dB more there, cut power counted, the best first.
    """

    direction: Direction
    off_beam_deg: float
    half_beamwidth_deg: float
    peak_dbi: float
    gain_dbi: float
    better: tuple[AntennaFigure, ...]

    @property
    def is_off_the_beam(self) -> bool:
        """Whether the neighbour is outside the 3-dB width in elevation."""
        return self.off_beam_deg > self.half_beamwidth_deg


def antenna_gain_dbi(antenna: Antenna, direction: Direction) -> float:
    """Gain of an antenna of a plan toward a neighbour; without an azimuth it is aimed there.

    Raises
    ------
    InputError
        The gain of the antenna is not known.
    """
    if antenna.gain_dbi is None:
        raise InputError(
            "The gain of the antenna is not known.", advice="Choose an antenna, or enter its gain."
        )
    off = 0.0 if antenna.azimuth_deg is None else direction.azimuth_deg - antenna.azimuth_deg
    return float(
        gain_toward_dbi(
            antenna.pattern,
            antenna.gain_dbi,
            direction.elevation_deg,
            off,
            antenna.tilt_deg,
            antenna.beamwidth_azimuth_deg,
        )
    )


def worst_gain_dbi(antenna: Antenna, directions: Sequence[Direction]) -> float:
    """Gain toward the neighbour that the antenna serves worst, in dBi."""
    return min(antenna_gain_dbi(antenna, direction) for direction in directions)


def overshoot(
    antenna: Antenna,
    directions: Sequence[Direction],
    alternatives: Mapping[str, Antenna] | None = None,
    power_cut_db: Callable[[Antenna], float] = lambda antenna: 0.0,
) -> Overshoot:
    """How an antenna serves its worst neighbour beside what the alternatives would do.

    Parameters
    ----------
    antenna : Antenna
        With known gain.
    directions : sequence of Direction
        Every neighbour that must be reached, at least one.
    alternatives : mapping of key to Antenna, optional
        Other antennas; those that need an azimuth and have none are aimed where they serve the
        worst neighbour best. They stand upright: tilt 0.
    power_cut_db : function of an Antenna
        By how much the transmit power must fall with an antenna to keep the limit of a rule. [dB]
    """
    worst = min(directions, key=lambda direction: antenna_gain_dbi(antenna, direction))
    gain = antenna_gain_dbi(antenna, worst)
    assert antenna.gain_dbi is not None
    figures = [
        AntennaFigure(
            key=key,
            worst_gain_dbi=worst_gain_dbi(aimed(other, directions), directions),
            power_cut_db=power_cut_db(other),
        )
        for key, other in (alternatives or {}).items()
        if other.gain_dbi is not None
    ]
    least_dbi = gain - power_cut_db(antenna) + WORTH_NAMING_DB
    better = [figure for figure in figures if figure.net_dbi >= least_dbi]
    return Overshoot(
        direction=worst,
        off_beam_deg=abs(worst.elevation_deg + antenna.tilt_deg),
        half_beamwidth_deg=beamwidth_elevation_deg(
            antenna.pattern, antenna.gain_dbi, antenna.beamwidth_azimuth_deg
        )
        / 2.0,
        peak_dbi=antenna.gain_dbi,
        gain_dbi=gain,
        better=tuple(sorted(better, key=lambda figure: -figure.net_dbi)),
    )


def aimed(antenna: Antenna, directions: Sequence[Direction]) -> Antenna:
    """Return the antenna with the azimuth, in whole degrees, that serves its worst neighbour best.

    An antenna that radiates all round, or has an azimuth, comes back as it is.
    """
    if antenna.pattern not in DIRECTIONAL or antenna.azimuth_deg is not None:
        return antenna
    if len(directions) == 1:
        return replace(antenna, azimuth_deg=directions[0].azimuth_deg % 360.0)
    azimuths = np.arange(360.0)
    gains = [
        worst_gain_dbi(replace(antenna, azimuth_deg=float(azimuth)), directions)
        for azimuth in azimuths
    ]
    return replace(antenna, azimuth_deg=float(azimuths[int(np.argmax(gains))]))


def pointing_cost_db(antenna: Antenna, error_deg: float, elevation_deg: float = 0.0) -> float:
    """Gain lost toward a neighbour when the antenna is turned beside it, in dB.

    Parameters
    ----------
    antenna : Antenna
        With known gain.
    error_deg : float
        Error of the azimuth, either way; a hand bearing compass errs by 2 to 5. [deg]
    elevation_deg : float
        Elevation of the neighbour. [deg]
    """
    straight = replace(antenna, azimuth_deg=0.0)
    on = antenna_gain_dbi(straight, Direction(0.0, elevation_deg))
    return on - antenna_gain_dbi(straight, Direction(error_deg, elevation_deg))


def pointing_tolerance_deg(
    antenna: Antenna, most_db: float = 1.0, elevation_deg: float = 0.0
) -> float:
    """Greatest error of the azimuth that costs no more than a loss, to 0.1 deg; 180 if any does.

    Parameters
    ----------
    antenna : Antenna
        With known gain.
    most_db : float
        Loss that is put up with. [dB]
    elevation_deg : float
        Elevation of the neighbour. [deg]
    """
    if antenna.gain_dbi is None or antenna.pattern not in DIRECTIONAL:
        return 180.0
    errors = np.arange(0.0, 180.0 + AIMING_STEP_DEG, AIMING_STEP_DEG)
    gains = _gains_beside(antenna, errors, elevation_deg)
    too_much = np.flatnonzero(gains[0] - gains > most_db)
    return 180.0 if too_much.size == 0 else float(round(errors[max(too_much[0] - 1, 0)], 1))


def lean_cost_db(antenna: Antenna, lean_deg: float, elevation_deg: float = 0.0) -> float:
    """Most gain lost toward a neighbour when the mast leans, whichever way it leans, in dB.

    Parameters
    ----------
    antenna : Antenna
        With known gain.
    lean_deg : float
        Lean from the vertical, which tilts the beam by as much. [deg]
    elevation_deg : float
        Elevation of the neighbour. [deg]
    """
    straight = replace(antenna, azimuth_deg=0.0)
    here = Direction(0.0, elevation_deg)
    leaning = [
        antenna_gain_dbi(replace(straight, tilt_deg=antenna.tilt_deg + lean), here)
        for lean in (-lean_deg, lean_deg)
    ]
    return antenna_gain_dbi(straight, here) - min(leaning)


def _gains_beside(antenna: Antenna, errors_deg: Numbers, elevation_deg: float) -> Numbers:
    assert antenna.gain_dbi is not None
    return gain_toward_dbi(
        antenna.pattern,
        antenna.gain_dbi,
        elevation_deg,
        errors_deg,
        antenna.tilt_deg,
        antenna.beamwidth_azimuth_deg,
    )
