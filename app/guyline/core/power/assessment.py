"""What is known of a site's power, as one value that panel, sheet and command line show."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import PowerSource, SiteId
from guyline.core.power.prices import Price


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLine:
    """One draw on the battery; `energy_wh_per_day` is counted at the battery's terminals."""

    name: str
    energy_wh_per_day: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerQuantity:
    """A number behind the answers with its source; None is unknown."""

    name: str
    value: float | None
    unit: str = ""
    source: str = ""
    confidence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A change that would end the shortfall, as it came out when simulated again."""

    kind: str
    """panel, battery, panel and battery, tilt, move, shelter, load, duty, charger, fuel or
    swap"""
    value: float
    unit: str
    mass_kg: float | None = None
    cost_rank: int = 0
    """0 is nothing but a turn of the hand; then by what must be bought and carried."""
    survival_probability: float | None = None
    battery_wh: float | None = None
    """Of the pair, where panel and battery must both be larger."""
    azimuth_deg: float | None = None
    """Where the panel is to face, where it is to be turned."""
    price: Price | None = None
    """Of what must be bought; None where nobody entered one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerAssessment:
    """Answers for one site; None is unknown, and `missing` names what would make it known.

    Attributes
    ----------
    load_wh_per_day
        Whole draw at the battery's terminals, with converter and every quiescent current.
    usable_battery_wh
        What the battery can give on the coldest day, from full to its disconnect.
    days_without_sun
        How long the battery alone carries the load from the stated charge. [days]
    yield_wh_per_day
        What reaches the battery on the mean day of `worst_month`. [Wh/day]
    balance_wh_per_day
        Yield minus load in `worst_month`; negative is a shortfall.
    shortfall_wh_per_day
        What is missing each day: load minus yield where the panel is too small, else the mean
        of what the battery could not cover.
    hours_to_outage
        From the start of the mission to the first outage that must be expected, which is
        when the chance of one exceeds what conditions can make up for; infinite where none is.
    survival_probability
        That no outage happens in the mission.
    loss_of_load_probability
        Long-run share of the demand that is not met.
    lacks_power
        True where the site must be listed as lacking power, None where that is unknown.
    """

    site_id: SiteId
    source: PowerSource
    load_wh_per_day: float | None = None
    load_lines: tuple[LoadLine, ...] = ()
    usable_battery_wh: float | None = None
    days_without_sun: float | None = None
    worst_month: int | None = None
    yield_wh_per_day: float | None = None
    balance_wh_per_day: float | None = None
    shortfall_wh_per_day: float | None = None
    hours_to_outage: float | None = None
    backup_hours: float | None = None
    late_return_hours: float | None = None
    """How much later than planned mains may come back; negative is what it comes too late by."""
    fuel_l_per_day: float | None = None
    fuel_days: float | None = None
    """How long the fuel at the site lasts, with a reserve."""
    generator_hours_per_day: float | None = None
    survival_probability: float | None = None
    loss_of_load_probability: float | None = None
    panel_tilt_deg: float | None = None
    panel_azimuth_deg: float | None = None
    lacks_power: bool | None = None
    missing: tuple[str, ...] = ()
    cures: tuple[Cure, ...] = ()
    """Best first; those that must be bought by price or by mass, as `cures_ranked_by` says."""
    cures_ranked_by: str = ""
    """price or mass; "" without cures"""
    alive_by_day: tuple[float, ...] = ()
    """Chance to be on the air throughout day 0, 1, ... of the mission; () is unknown."""
    alive_runs: bytes = b""
    """The same for every simulated mission, one bit a mission and day: see `timeline`."""
    quantities: tuple[PowerQuantity, ...] = ()
    """What the numbers were made from, for those who ask."""

    def quantity(self, name: str) -> PowerQuantity:
        """Return the quantity of that name, of unknown value where nothing is known of it."""
        for known in self.quantities:
            if known.name == name:
                return known
        return PowerQuantity(name=name, value=None)
