"""Holds what was read on a link against what was planned.

A reading counts for the margin of its direction as the lower of two figures: level over
sensitivity, which knows nothing of noise at the site, and signal-to-noise ratio over the one
needed, which radios stop showing above some 10 dB (from memory; it can only understate).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import isnan, sqrt

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import LinkReading, Plan, RadioProfile
from guyline.core.radio.link_budget import Direction, required_snr_db

BOTH_WAYS = 2
LEAST_DELIVERED = 0.9  # our choice: 18 of the 20 packets the sheet asks for


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldReading:
    """A reading beside the plan of its direction; None is unknown.

    `planned_dbm` is the level of the budget, `shift_db` by how much the spread expects more or
    less than that, `sd_db` its standard deviation; `margin_db` is what the reading leaves over.
    """

    reading: LinkReading
    planned_dbm: float | None
    sensitivity_dbm: float | None
    shift_db: float | None
    sd_db: float | None
    margin_db: float | None

    @property
    def difference_db(self) -> float | None:
        """Level read less level planned. [dB]"""
        if self.reading.level_dbm is None or self.planned_dbm is None:
            return None
        return self.reading.level_dbm - self.planned_dbm

    @property
    def deviations(self) -> float | None:
        """How far the reading lies from what was expected, in standard deviations."""
        if self.difference_db is None or self.shift_db is None or not self.sd_db:
            return None
        return (self.difference_db - self.shift_db) / self.sd_db

    def suffices(self, required_margin_db: float) -> bool | None:
        """Whether the direction works with the margin asked for; None while nothing tells."""
        delivered = self.reading.delivered
        if delivered is not None and delivered < LEAST_DELIVERED:
            return False
        return None if self.margin_db is None else self.margin_db >= required_margin_db


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How all readings of a plan lie to what was planned."""

    count: int
    mean_db: float
    """Positive where more was read than planned."""
    sd_db: float
    inside_90: int
    """Readings inside the central 90 % of their planned spread, of `with_spread`."""
    with_spread: int


def latest_readings(plan: Plan, link: LinkAssessment) -> tuple[LinkReading, ...]:
    """Return the newest reading of either direction; of one day, the last entered."""
    newest: dict[object, LinkReading] = {}
    for reading in plan.readings:
        if frozenset((reading.talker_id, reading.listener_id)) != link.link.ends:
            continue
        known = newest.get(reading.talker_id)
        if known is None or (reading.read_on or date.min) >= (known.read_on or date.min):
            newest[reading.talker_id] = reading
    ends = (link.link.from_id, link.link.to_id)
    return tuple(newest[talker] for talker in ends if talker in newest)


def held_readings(plan: Plan, link: LinkAssessment) -> tuple[HeldReading, ...]:
    """Return the newest readings of a link, each beside the plan of its direction."""
    return tuple(_held(plan, link, reading) for reading in latest_readings(plan, link))


def is_proven(plan: Plan, link: LinkAssessment) -> bool:
    """Whether signed readings say that a link works in both directions."""
    required = plan.radio_profile.required_margin_db
    held = held_readings(plan, link)
    return sum(h.reading.is_signed and h.suffices(required) is True for h in held) == BOTH_WAYS


def link_works(plan: Plan, link: LinkAssessment) -> bool | None:
    """Whether a link keeps the margin asked for; None while neither plan nor reading tells.

    What was read in both directions goes before what was computed, and one direction that was
    read and does not suffice is enough to say no.
    """
    required = plan.radio_profile.required_margin_db
    held = held_readings(plan, link)
    if any(h.suffices(required) is False for h in held):
        return False
    if is_proven(plan, link):
        return True
    planned = link.margin_db
    return None if planned is None or isnan(planned) else planned >= required


def agreement_of(held: Iterable[HeldReading]) -> Agreement | None:
    """Return mean and spread of read less planned; None where no level was read."""
    held = [h for h in held if h.difference_db is not None]
    differences = [h.difference_db for h in held if h.difference_db is not None]
    if not differences:
        return None
    mean = sum(differences) / len(differences)
    squares = sum((d - mean) ** 2 for d in differences)
    inside = [abs(h.deviations) <= BAND_90 for h in held if h.deviations is not None]
    return Agreement(
        count=len(differences),
        mean_db=mean,
        sd_db=sqrt(squares / (len(differences) - 1)) if len(differences) > 1 else 0.0,
        inside_90=sum(inside),
        with_spread=len(inside),
    )


BAND_90 = 1.6448536269514722
"""Standard deviations to either side that hold 90 % of a normal distribution."""


def _held(plan: Plan, link: LinkAssessment, reading: LinkReading) -> HeldReading:
    way = _planned(link, reading)
    spread = link.spread
    return HeldReading(
        reading=reading,
        planned_dbm=None if way is None else _known(way.received_dbm),
        sensitivity_dbm=None if way is None else way.sensitivity_dbm,
        shift_db=None if spread is None else spread.mean_db - spread.nominal_db,
        sd_db=None if spread is None else spread.sd_db,
        margin_db=_margin_db(plan.radio_profile, reading, way),
    )


def _known(value: float) -> float | None:
    return None if isnan(value) else value


def _planned(link: LinkAssessment, reading: LinkReading) -> Direction | None:
    if link.budget is None:
        return None
    is_forward = reading.talker_id == link.link.from_id
    return link.budget.forward if is_forward else link.budget.backward


def _margin_db(profile: RadioProfile, reading: LinkReading, way: Direction | None) -> float | None:
    over = []
    if reading.level_dbm is not None and way is not None:
        over.append(reading.level_dbm - way.sensitivity_dbm)
    if reading.snr_db is not None:
        over.append(reading.snr_db - required_snr_db(profile.spreading_factor))
    return min(over) if over else None
