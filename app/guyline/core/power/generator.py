"""How long the fuel of a generator lasts."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from guyline.core.plan import Battery, Generator, Site
from guyline.core.power.battery import CHEMISTRIES
from guyline.core.power.load import HOURS_PER_DAY

# F = f0 P_rated + f1 P_out. Small petrol inverter sets, from memory: 2.1 L last 8 h at a
# quarter of 900 W and 3.2 h at full load. Diesel: fit to a published chart of a 20 kW set.
PETROL_IDLE_L_PER_H_PER_W = 0.14e-3
PETROL_L_PER_WH = 0.59e-3
DIESEL_IDLE_L_PER_H_PER_W = 0.047e-3
DIESEL_L_PER_WH = 0.257e-3
CHARGER_EFFICIENCY = 0.85  # mains charger or supply: from memory
FUEL_RESERVE = 0.20  # stays in the can: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelUse:
    """What a generator burns in a day, and how many days the fuel lasts with a reserve."""

    hours_per_day: float
    l_per_day: float
    days: float


def consumption_l_per_h(
    rated_w: float,
    output_w: float,
    *,
    idle_l_per_h_per_w: float = PETROL_IDLE_L_PER_H_PER_W,
    l_per_wh: float = PETROL_L_PER_WH,
) -> float:
    r"""Fuel burnt in an hour at a steady output, in L.

    .. math:: F = f_0 P_{rated} + f_1 P_{out}

    References
    ----------
    .. [1] Skarstein & Uhlen 1989, Wind Engineering 13:72-87 (form of the equation).
    """
    return idle_l_per_h_per_w * rated_w + l_per_wh * output_w


def missing_of_generator(site: Site) -> list[str]:
    """Names of the values without which nothing can be said of the site's generator."""
    generator = site.power.generator
    if generator is None:
        return ["generator"]
    needed = {
        "rated power of the generator": generator.rated_w,
        "fuel at the site": generator.fuel_l,
    }
    if site.power.battery is not None:
        needed["power of the generator's charger"] = generator.charger_w
    return [name for name, value in needed.items() if value is None]


def fuel_use(generator: Generator, battery: Battery | None, need_wh_per_day: float) -> FuelUse:
    """Return hours of running and fuel that a daily need takes.

    With a battery the set runs at the charger's power until the day's energy is stored;
    without one it runs all day at the load. More than 24 hours a day means that the charger is
    too weak.
    """
    assert generator.rated_w is not None
    assert generator.fuel_l is not None
    if battery is None:
        hours, output_w = HOURS_PER_DAY, need_wh_per_day / HOURS_PER_DAY
    else:
        assert generator.charger_w is not None
        stored_w = generator.charger_w * CHEMISTRIES[battery.chemistry].charge_efficiency
        hours = need_wh_per_day / stored_w if stored_w > 0.0 else inf
        output_w = generator.charger_w
    per_h = generator.fuel_l_per_h
    if per_h is None:
        per_h = consumption_l_per_h(generator.rated_w, output_w / CHARGER_EFFICIENCY)
    l_per_day = min(hours, HOURS_PER_DAY) * per_h
    usable_l = generator.fuel_l * (1.0 - FUEL_RESERVE)
    return FuelUse(
        hours_per_day=hours,
        l_per_day=l_per_day,
        days=usable_l / l_per_day if l_per_day > 0.0 else inf,
    )
