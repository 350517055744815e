"""How a site is fed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from guyline.core.plan.facts import Fact


class PowerSource(StrEnum):
    """Where the energy comes from."""

    MAINS = "mains"
    MAINS_WITH_BACKUP = "mains with backup"
    SOLAR = "solar"
    BATTERY = "battery only"
    GENERATOR = "generator"
    UNKNOWN = "unknown"


class Chemistry(StrEnum):
    """Chemistry of a battery."""

    LIFEPO4 = "LiFePO4"
    NMC = "Li-ion NMC"
    AGM = "lead-acid AGM"
    ALKALINE = "alkaline"
    LI_FES2 = "Li/FeS2"
    LI_SOCL2 = "Li-SOCl2"

    @property
    def is_rechargeable(self) -> bool:
        return self in (Chemistry.LIFEPO4, Chemistry.NMC, Chemistry.AGM)


class Controller(StrEnum):
    """What stands between panel and battery."""

    MPPT = "MPPT"
    PWM = "PWM"
    DIRECT_USB = "direct USB"


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A battery; `health_fraction` is measured capacity over label, None if never measured."""

    chemistry: Chemistry
    capacity_wh: float | None = None
    nominal_v: float | None = None
    health_fraction: float | None = None
    charge_fraction: float | None = None
    """State of charge on the day of installation."""
    is_power_bank: bool = False
    is_tested: Fact = Fact.UNKNOWN
    low_voltage_disconnect_v: float | None = None
    reconnect_v: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """A photovoltaic panel; `azimuth_deg` is true, `tilt_deg` from the horizontal."""

    stc_w: float | None = None
    tilt_deg: float | None = None
    azimuth_deg: float | None = None
    controller: Controller = Controller.MPPT
    controller_quiescent_w: float | None = None
    sunny_hours: float | None = None
    """Of the six from 9 to 15 solar time, those in which trees and walls leave the panel free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A tree, wall or roof that stands between sun and panel, as seen from the panel.

    It reaches clockwise from one true azimuth to the other, and from the ground up to
    `elevation_deg`; `pass_fraction` is the share of the sun's beam that gets through it.
    """

    name: str = ""
    from_azimuth_deg: float | None = None
    to_azimuth_deg: float | None = None
    elevation_deg: float | None = None
    pass_fraction: float | None = None
    """0 is a wall; None counts as dappled light."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraLoad:
    """Something beside the radio that draws on the same battery."""

    name: str
    power_w: float | None = None
    hours_per_day: float = 24.0
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Generator:
    """An engine that charges the battery, or carries the load itself where there is none.

    `fuel_l` is what stands at the site at the start; `fuel_l_per_h` what somebody measured at
    this load, None takes the usual consumption of small petrol sets.
    """

    rated_w: float | None = None
    fuel_l: float | None = None
    fuel_l_per_h: float | None = None
    charger_w: float | None = None
    """What the charger gives the battery."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerSystem:
    """How a site is fed; None is a value nobody has entered yet.

    `clearness` is the mean daily clearness index of the worst month and
    `coldest_c` the lowest battery temperature, both as the planner expects them.
    """

    source: PowerSource = PowerSource.UNKNOWN
    battery: Battery | None = None
    panel: Panel | None = None
    generator: Generator | None = None
    converter_efficiency: float | None = None
    converter_quiescent_w: float | None = None
    extra_loads: tuple[ExtraLoad, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    """Trees and walls about the panel; while there are any, they stand for `sunny_hours`."""
    clearness: float | None = None
    coldest_c: float | None = None
    mains_is_unswitched: Fact = Fact.UNKNOWN
    mains_has_rcd: Fact = Fact.UNKNOWN
    backup_hours_needed: float | None = None
    """How long mains may stay away; None means the whole mission, or a cut of the day's turns."""
    mains_hours_per_day: float | None = None
    """Hours of mains in a day while it is cut by turns; None means that it stays away."""
    mains_charger_w: float | None = None
    """What the charger on mains gives battery and load together."""
    battery_swap_days: float | None = None
    """Interval at which the crew promises to swap batteries or refuel; None means never."""
