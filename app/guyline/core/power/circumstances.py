"""What the power of a site depends on beside the site itself."""

from __future__ import annotations

from dataclasses import dataclass, field

from guyline.core.power.assessment import PowerQuantity
from guyline.core.power.load import Load
from guyline.core.power.simulation import Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class SolarSupply:
    """What the panel stores on the mean day of each of the twelve months, in Wh/day."""

    yield_wh_per_day: tuple[float, ...]
    tilt_deg: float
    azimuth_deg: float
    quantities: tuple[PowerQuantity, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MainsOutcomes:
    """Simulated missions of a battery behind mains.

    `as_planned` has mains come back when the plan says, or by turns every day; `stays_away` has
    it away from the start to the end, at least to the hour at which the plan has it back.
    """

    as_planned: Outcome
    stays_away: Outcome


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circumstances:
    """What the answers depend on beside the site itself; None is unknown.

    `months` are those the mission touches (1 to 12), all of them where its start is unknown.
    `missing_sun` names what the supply could not be computed without.
    """

    load: Load
    mission_days: int | None = None
    months: tuple[int, ...] = tuple(range(1, 13))
    coldest: PowerQuantity = field(
        default_factory=lambda: PowerQuantity(name="coldest battery temperature", value=None)
    )
    supply: SolarSupply | None = None
    mission: Outcome | None = None
    """Simulated missions."""
    long_run: Outcome | None = None
    """Simulated years."""
    mains: MainsOutcomes | None = None
    """Simulated missions of a battery behind mains, where sun or cuts by turns ask for them."""
    sun_alone: Outcome | None = None
    """Simulated missions in which what sun and battery lack is brought by a generator."""
    missing_sun: tuple[str, ...] = ()
