"""What a battery can give: chemistry, temperature, age, and the floor it must not pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.plan import Battery, Chemistry, Fact
from guyline.core.power.voltage import disconnect_charge

FROM_MEMORY = "from memory, check against the data sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChemistryData:
    """Planning values of a chemistry.

    Attributes
    ----------
    usable_depth
        Share of the capacity that is planned with.
    charge_efficiency
        Energy stored over energy brought to the terminals.
    self_discharge_per_month
        Share of the capacity lost in 30 days.
    discharge_from_c, charge_from_c, charge_to_c
        Temperature limits of the cell; None where it must not be charged at all. [°C]
    charge_c_rate
        Greatest planned charging power over the capacity. [1/h]
    temperature_c, capacity_factor
        Capacity over that at 25 °C, to be interpolated.
    """

    usable_depth: float
    charge_efficiency: float
    self_discharge_per_month: float
    discharge_from_c: float
    charge_from_c: float | None
    charge_to_c: float | None
    charge_c_rate: float
    temperature_c: tuple[float, ...]
    capacity_factor: tuple[float, ...]
    source: str
    confidence: str


# Usable depth, self-discharge and efficiency: common practice, from memory, except lead-acid
# self-discharge (Applied Photovoltaics, p. 142). Discharge limits: from memory, except Li/FeS2
# (manufacturer handbook, -40 to 60 °C). Charge limits of lithium-ion: cell specification of an
# LFP maker (0 to 60 °C) and a charger maker's support note (none below 0 °C, best 5 to 45 °C),
# both name lithium plating as the reason.
CHEMISTRIES: dict[Chemistry, ChemistryData] = {
    Chemistry.LIFEPO4: ChemistryData(
        usable_depth=0.80,
        charge_efficiency=0.97,
        self_discharge_per_month=0.03,
        discharge_from_c=-20.0,
        charge_from_c=0.0,
        charge_to_c=45.0,
        charge_c_rate=0.5,
        temperature_c=(-30, -20, -10, 0, 5, 10, 15, 20, 25, 40),
        capacity_factor=(0.50, 0.70, 0.75, 0.80, 0.86, 0.91, 0.95, 0.98, 1.0, 1.0),
        source="data of a 100 Ah cell: 80 Ah at 0 °C, 70 Ah at -20 °C",
        confidence="two points published, the others interpolated; another has 90 % at 0 °C",
    ),
    Chemistry.NMC: ChemistryData(
        usable_depth=0.80,
        charge_efficiency=0.97,
        self_discharge_per_month=0.02,
        discharge_from_c=-20.0,
        charge_from_c=0.0,
        charge_to_c=45.0,
        charge_c_rate=0.5,
        temperature_c=(-30, -20, -10, 0, 5, 10, 15, 20, 25, 40),
        capacity_factor=(0.45, 0.65, 0.78, 0.87, 0.91, 0.94, 0.96, 0.98, 1.0, 1.0),
        source="common practice, no source",
        confidence=FROM_MEMORY,
    ),
    Chemistry.AGM: ChemistryData(
        usable_depth=0.50,
        charge_efficiency=0.85,
        self_discharge_per_month=0.03,
        discharge_from_c=-20.0,
        charge_from_c=-15.0,
        charge_to_c=50.0,
        charge_c_rate=0.2,
        temperature_c=(-10, 0, 5, 10, 15, 20, 25, 35),
        capacity_factor=(0.60, 0.73, 0.77, 0.84, 0.895, 0.945, 1.0, 1.08),
        source="IEEE 485 temperature multipliers as two published worksheets print them",
        confidence="1/multiplier; -10 °C extrapolated, 35 °C from memory",
    ),
    Chemistry.ALKALINE: ChemistryData(
        usable_depth=0.85,
        charge_efficiency=0.0,
        self_discharge_per_month=0.03 / 12.0,
        discharge_from_c=-18.0,
        charge_from_c=None,
        charge_to_c=None,
        charge_c_rate=0.0,
        temperature_c=(-30, -20, -10, 0, 5, 10, 15, 20, 25, 35, 40),
        capacity_factor=(0.10, 0.25, 0.45, 0.65, 0.75, 0.83, 0.90, 0.96, 1.0, 1.02, 1.03),
        source="common practice, no source; below 50 mA per AA cell, to 0.9 V",
        confidence=FROM_MEMORY,
    ),
    Chemistry.LI_FES2: ChemistryData(
        usable_depth=0.90,
        charge_efficiency=0.0,
        self_discharge_per_month=0.01 / 12.0,
        discharge_from_c=-40.0,
        charge_from_c=None,
        charge_to_c=None,
        charge_c_rate=0.0,
        temperature_c=(-30, -20, -10, 0, 10, 20, 40),
        capacity_factor=(0.65, 0.80, 0.88, 0.94, 0.97, 1.0, 1.0),
        source="temperature range: maker's handbook; factors: common practice, no source",
        confidence=FROM_MEMORY,
    ),
    Chemistry.LI_SOCL2: ChemistryData(
        usable_depth=0.80,
        charge_efficiency=0.0,
        self_discharge_per_month=0.01 / 12.0,
        discharge_from_c=-55.0,
        charge_from_c=None,
        charge_to_c=None,
        charge_c_rate=0.0,
        temperature_c=(-30, -20, -10, 0, 10, 20, 40),
        capacity_factor=(0.65, 0.80, 0.88, 0.94, 0.97, 1.0, 1.0),
        source="factors of Li/FeS2 stand in",
        confidence=FROM_MEMORY,
    ),
}

# IEEE 450/485 practice: a battery is replaced at 80 % of its label.
AGED_HEALTH = 0.80
UNTESTED_HEALTH = 0.60  # common practice for second-hand batteries, no source
# Label of a power bank counts cell energy; boost converters give 85 % of it (from memory).
POWER_BANK_OUTPUT_FRACTION = 0.85
USB_V = 5.0
# Power banks that switch off "usually" below 100 mA: published measurements and maker's notes
# name 100 to 227 mA; below 50 mA none is known to stay on without a mode of its own.
BANK_SURE_A, BANK_DOUBTFUL_A = 0.100, 0.050


def capacity_factor(chemistry: Chemistry, battery_c: float) -> float:
    """Capacity at `battery_c` over that at 25 °C; 0 below the range in which it may be used.

    Linear interpolation between the values of the chemistry's table, held beyond its ends.

    References
    ----------
    .. [1] IEEE 485: temperature factors of lead-acid batteries; the other chemistries as
       their entry in CHEMISTRIES says.
    """
    data = CHEMISTRIES[chemistry]
    if battery_c < data.discharge_from_c:
        return 0.0
    return float(np.interp(battery_c, data.temperature_c, data.capacity_factor))


def health_fraction(battery: Battery) -> float:
    """Capacity to count on over the label: as measured, or a cautious share where it was not."""
    if battery.health_fraction is not None:
        return battery.health_fraction
    return AGED_HEALTH if battery.is_tested is Fact.YES else UNTESTED_HEALTH


def usable_depth(battery: Battery) -> float:
    """Share of the capacity that is planned with, from full to the disconnect.

    A disconnect that is set higher than planning values count with leaves less; a lower one
    does not leave more, because that would be paid for with the life of the battery.
    """
    if battery.is_power_bank:
        return POWER_BANK_OUTPUT_FRACTION
    planned = CHEMISTRIES[battery.chemistry].usable_depth
    cut_off_at = disconnect_charge(battery)
    return planned if cut_off_at is None else min(planned, 1.0 - cut_off_at)


def usable_battery_wh(battery: Battery, coldest_c: float) -> float | None:
    r"""Energy from full to the disconnect at the lowest temperature, None without capacity, in Wh.

    .. math:: C_u = C_{nom} \, DoD \, k_T \, k_{age}

    References
    ----------
    .. [1] IEEE 1013, IEEE 485 (form of the sizing equation).
    """
    if battery.capacity_wh is None:
        return None
    factor = capacity_factor(battery.chemistry, coldest_c)
    return battery.capacity_wh * usable_depth(battery) * factor * health_fraction(battery)


def bank_current_a(load_wh_per_day: float) -> float:
    """Mean current that a load draws from a power bank's output, in A."""
    return load_wh_per_day / 24.0 / USB_V


def bank_may_switch_off(battery: Battery, load_wh_per_day: float) -> bool:
    """Whether a power bank nobody tried is likely to take the load for none at all."""
    return (
        battery.is_power_bank
        and battery.is_tested is not Fact.YES
        and bank_current_a(load_wh_per_day) < BANK_DOUBTFUL_A
    )


def charge_above_floor(battery: Battery, charge_fraction: float) -> float:
    """Share of the usable energy that is there at a state of charge (0 to 1)."""
    depth = 1.0 if battery.is_power_bank else usable_depth(battery)
    if depth <= 0.0:
        return 0.0
    return min(1.0, max(0.0, (charge_fraction - (1.0 - depth)) / depth))


def required_capacity_wh(
    load_wh_per_day: float,
    days: float,
    usable_depth: float,
    *,
    temperature_factor: float = 1.0,
    health_fraction: float = 1.0,
    rate_factor: float = 1.0,
    discharge_efficiency: float = 1.0,
) -> float:
    r"""Label capacity that carries a load for some days without any charge, in Wh.

    .. math:: C_{nom} = E D / (DoD \, k_T \, k_{age} \, k_{rate} \, \eta_{dis})

    References
    ----------
    .. [1] IEEE 1013 (form of the equation).
    """
    return (
        load_wh_per_day
        * days
        / (usable_depth * temperature_factor * health_fraction * rate_factor)
        / discharge_efficiency
    )


def discharge_hours(
    capacity_ah: float, rated_hours: float, current_a: float, peukert_exponent: float
) -> float:
    r"""Time until a battery is empty at a steady current, in h.

    .. math:: t = H \left(\frac{C}{I H}\right)^k

    Parameters
    ----------
    capacity_ah, rated_hours : float
        Capacity and the discharge time it is stated for. [Ah], [h]
    current_a : float
        [A]
    peukert_exponent : float
        1.02 to 1.05 for lithium-ion, 1.05 to 1.15 for AGM.

    Notes
    -----
    Below the rated current the result exceeds the label; do not count on that.
    """
    return float(rated_hours * (capacity_ah / (current_a * rated_hours)) ** peukert_exponent)
