"""From load, battery and sun to the answers for one site."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import inf

import numpy as np

from guyline.core.plan import Battery, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment, PowerQuantity
from guyline.core.power.battery import (
    CHEMISTRIES,
    bank_may_switch_off,
    capacity_factor,
    charge_above_floor,
    health_fraction,
    usable_battery_wh,
    usable_depth,
)
from guyline.core.power.circumstances import Circumstances
from guyline.core.power.endurance import alive_days, carried_shortfall, lasts
from guyline.core.power.fuel_estimate import assess_generator
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.mains import assess_mains, assess_mains_with_backup, simulated_missions
from guyline.core.power.requirements import requirement_of
from guyline.core.power.simulation import Outcome
from guyline.core.power.voltage import (
    REST_CONFIDENCE,
    REST_SOURCE,
    disconnect_charge,
    reconnect_rise,
)


def assess_power(site: Site, circumstances: Circumstances) -> PowerAssessment:
    """Answers for one site; what cannot be known is None and named in `missing`."""
    known = _basis(site, circumstances)
    return _BY_SOURCE[site.power.source](site, circumstances, known)


def _basis(site: Site, circumstances: Circumstances) -> PowerAssessment:
    """Answer what all sources share: load, usable battery, days the battery carries it."""
    load_wh = circumstances.load.total_wh_per_day
    battery, coldest_c = site.power.battery, circumstances.coldest.value
    missing = list(circumstances.load.missing) + _missing_of_battery(battery)
    if coldest_c is None:
        missing.append("coldest battery temperature")
    if battery is not None and load_wh is not None and bank_may_switch_off(battery, load_wh):
        missing.append("whether the power bank stays on at this small load")
    usable_wh = days = None
    quantities = [circumstances.coldest]
    if battery is not None and coldest_c is not None:
        usable_wh = usable_battery_wh(battery, coldest_c)
        quantities += _battery_quantities(battery, coldest_c)
    if battery is not None and battery.charge_fraction is not None and usable_wh is not None:
        stored_wh = usable_wh * charge_above_floor(battery, battery.charge_fraction)
        quantities.append(
            PowerQuantity(name="usable energy at the start", value=stored_wh, unit="Wh")
        )
        if load_wh is not None:
            days = stored_wh / load_wh if load_wh > 0.0 else inf
    return PowerAssessment(
        site_id=site.site_id,
        source=site.power.source,
        load_wh_per_day=load_wh,
        load_lines=circumstances.load.lines,
        usable_battery_wh=usable_wh,
        days_without_sun=days,
        missing=tuple(missing),
        quantities=tuple(quantities),
    )


def _missing_of_battery(battery: Battery | None) -> list[str]:
    if battery is None:
        return ["battery"]
    needed = {
        "battery capacity": battery.capacity_wh,
        "state of charge at installation": battery.charge_fraction,
    }
    return [name for name, value in needed.items() if value is None]


def _battery_quantities(battery: Battery, coldest_c: float) -> list[PowerQuantity]:
    data = CHEMISTRIES[battery.chemistry]
    measured = battery.health_fraction is not None
    return [
        PowerQuantity(
            name="battery capacity", value=battery.capacity_wh, unit="Wh", source="plan"
        ),
        PowerQuantity(
            name="usable share of the capacity",
            value=usable_depth(battery),
            source="common practice, no source; less where the disconnect is set higher",
        ),
        *_disconnect_quantities(battery),
        PowerQuantity(
            name="capacity when coldest over that at 25 °C",
            value=capacity_factor(battery.chemistry, coldest_c),
            source=data.source,
            confidence=data.confidence,
        ),
        PowerQuantity(
            name="capacity left by age",
            value=health_fraction(battery),
            source="measured" if measured else "assumed, the battery was not measured",
        ),
        PowerQuantity(
            name="state of charge at installation", value=battery.charge_fraction, source="plan"
        ),
    ]


def _disconnect_quantities(battery: Battery) -> list[PowerQuantity]:
    """What the entered voltages come to as state of charge, where that can be told."""
    off, rise = disconnect_charge(battery), reconnect_rise(battery)
    known = {"charge at the disconnect": off}
    if off is not None and rise is not None:
        known["charge at which the load comes back"] = off + rise
    return [
        PowerQuantity(
            name=name, value=round(value, 2), source=REST_SOURCE, confidence=REST_CONFIDENCE
        )
        for name, value in known.items()
        if value is not None
    ]


def _unknown(site: Site, circumstances: Circumstances, known: PowerAssessment) -> PowerAssessment:
    return replace(known, missing=("power source",))


def _battery_only(
    site: Site, circumstances: Circumstances, known: PowerAssessment
) -> PowerAssessment:
    mission = circumstances.mission_days
    missing = known.missing if mission is not None else (*known.missing, "mission length")
    if missing or known.days_without_sun is None or mission is None:
        return replace(known, missing=missing)
    days = known.days_without_sun
    swap = site.power.battery_swap_days
    lasts_mission, lasts_visit = lasts(days, float(mission), site)
    between = float(mission) if swap is None else min(swap, float(mission))
    carries = days >= between
    return replace(
        known,
        hours_to_outage=inf if carries else days * HOURS_PER_DAY,
        shortfall_wh_per_day=carried_shortfall(known, between),
        survival_probability=1.0 if carries else 0.0,
        alive_by_day=alive_days(inf if carries else days * HOURS_PER_DAY, mission),
        lacks_power=not (lasts_mission or lasts_visit),
        missing=missing,
    )


def _solar(site: Site, circumstances: Circumstances, known: PowerAssessment) -> PowerAssessment:
    supply, mission = circumstances.supply, circumstances.mission_days
    missing = [*known.missing, *circumstances.missing_sun]
    if mission is None:
        missing.append("mission length")
    known = replace(known, missing=tuple(dict.fromkeys(missing)))
    if supply is None:
        return known
    worst = min(circumstances.months, key=lambda month: supply.yield_wh_per_day[month - 1])
    brings_wh = supply.yield_wh_per_day[worst - 1]
    known = replace(
        known,
        worst_month=worst,
        yield_wh_per_day=brings_wh,
        panel_tilt_deg=supply.tilt_deg,
        panel_azimuth_deg=supply.azimuth_deg,
        quantities=(*known.quantities, *supply.quantities),
    )
    if known.load_wh_per_day is None:
        return known
    balance = brings_wh - known.load_wh_per_day
    known = replace(known, balance_wh_per_day=balance, shortfall_wh_per_day=max(0.0, -balance))
    if known.missing or known.days_without_sun is None or mission is None:
        return known
    if circumstances.long_run is not None:
        chance = circumstances.long_run.loss_of_load_probability
        known = replace(known, loss_of_load_probability=chance)
    if circumstances.mission is None:
        return known
    return _with_mission(site, known, circumstances.mission, mission)


def _with_mission(
    site: Site, known: PowerAssessment, outcome: Outcome, mission_days: int
) -> PowerAssessment:
    assert known.balance_wh_per_day is not None
    assert known.days_without_sun is not None
    need, chance = requirement_of(site.function), outcome.survival_probability
    lacks = (
        chance < need.survival_with_conditions
        or known.days_without_sun < min(float(mission_days), need.days_with_conditions)
        or (known.balance_wh_per_day < 0.0 and chance < need.survival_for_go)
    )
    unmet = float(outcome.unmet_wh.mean())
    return replace(
        known,
        survival_probability=chance,
        hours_to_outage=outcome.first_outage_chance_h(1.0 - need.survival_with_conditions),
        shortfall_wh_per_day=-known.balance_wh_per_day
        if lacks and known.balance_wh_per_day < 0.0
        else unmet,
        alive_by_day=tuple(float(a) for a in outcome.is_alive.mean(axis=0)),
        alive_runs=np.packbits(outcome.is_alive, axis=None).tobytes(),
        lacks_power=lacks,
        quantities=(*known.quantities, simulated_missions(outcome, chance)),
    )


_BY_SOURCE: dict[
    PowerSource, Callable[[Site, Circumstances, PowerAssessment], PowerAssessment]
] = {
    PowerSource.UNKNOWN: _unknown,
    PowerSource.MAINS: assess_mains,
    PowerSource.MAINS_WITH_BACKUP: assess_mains_with_backup,
    PowerSource.BATTERY: _battery_only,
    PowerSource.SOLAR: _solar,
    PowerSource.GENERATOR: assess_generator,
}
