"""What findings on power have in common: remedies, inputs, evidence."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Battery, Site
from guyline.core.power.assessment import PowerAssessment, PowerQuantity
from guyline.core.power.battery import charge_above_floor, usable_battery_wh
from guyline.core.power.sizes import BATTERY_SIZES_WH, PANEL_SIZES_W, next_size
from guyline.core.readiness.finding import Quantity, Remedy, RemedyAction


def larger_panel(site: Site, assessment: PowerAssessment, needed_wh: float) -> Remedy:
    """The next size of panel that brings what is needed: its yield grows with its power.

    Where a larger panel also ends all outages that were simulated, that size is named.
    """
    panel, brings_wh = site.power.panel, assessment.yield_wh_per_day
    simulated = [cure.value for cure in assessment.cures if cure.kind == "panel"]
    size = None
    if panel is not None and panel.stc_w and brings_wh:
        size = next_size(PANEL_SIZES_W, panel.stc_w * needed_wh / brings_wh)
    if size is None:
        return remedy_of(site, RemedyAction.OBTAIN, "another source of power than the sun")
    return Remedy(
        action=RemedyAction.LARGER_PANEL,
        site_id=site.site_id,
        value=max([size, *simulated]),
        unit="W",
    )


def larger_battery(site: Site, assessment: PowerAssessment, needed_days: float) -> Remedy:
    """The first size of battery whose days, computed again, are enough."""
    battery = site.power.battery
    if battery is not None and battery.capacity_wh is not None:
        for size in BATTERY_SIZES_WH:
            if size <= battery.capacity_wh:
                continue
            days = _days_of(replace(battery, capacity_wh=float(size)), assessment)
            if days is not None and days >= needed_days:
                return Remedy(
                    action=RemedyAction.LARGER_BATTERY,
                    site_id=site.site_id,
                    value=float(size),
                    unit="Wh",
                )
    return remedy_of(
        site, RemedyAction.OBTAIN, "a smaller load, more frequent battery swaps or another source"
    )


def _days_of(battery: Battery, assessment: PowerAssessment) -> float | None:
    coldest_c = assessment.quantity("coldest battery temperature").value
    if coldest_c is None or battery.charge_fraction is None or not assessment.load_wh_per_day:
        return None
    usable_wh = usable_battery_wh(battery, coldest_c)
    if usable_wh is None:
        return None
    stored_wh = usable_wh * charge_above_floor(battery, battery.charge_fraction)
    return stored_wh / assessment.load_wh_per_day


def best_cure(site: Site, assessment: PowerAssessment) -> Remedy:
    """The cure of least effort: turning or moving the panel, else what an edit of the plan can do.

    All of them were simulated again.
    """
    actions = {"panel": RemedyAction.LARGER_PANEL, "battery": RemedyAction.LARGER_BATTERY}
    for cure in assessment.cures:
        if cure.kind == "tilt":
            facing = "" if cure.azimuth_deg is None else f", facing {cure.azimuth_deg:.0f}° true"
            what = f"the panel to a tilt of {cure.value:.0f}°{facing}"
            return remedy_of(site, RemedyAction.MOVE, what)
        if cure.kind == "move":
            return remedy_of(site, RemedyAction.MOVE, "the panel out of the shadow")
        if cure.kind == "shelter":
            what = "a box or a place indoors that keeps frost from the battery"
            return remedy_of(site, RemedyAction.OBTAIN, what)
        if cure.kind in actions:
            return Remedy(
                action=actions[cure.kind], site_id=site.site_id, value=cure.value, unit=cure.unit
            )
        if cure.battery_wh is not None:
            what = f"a panel of {cure.value:g} W together with a battery of {cure.battery_wh:g} Wh"
            return remedy_of(site, RemedyAction.OBTAIN, what)
    return remedy_of(site, RemedyAction.OBTAIN, "a smaller load, or another source of power")


def remedy_of(site: Site, action: RemedyAction, what: str) -> Remedy:
    return Remedy(action=action, site_id=site.site_id, what=what)


def load_inputs(assessment: PowerAssessment) -> tuple[Quantity, ...]:
    lines = tuple(
        Quantity(name=line.name, value=line.energy_wh_per_day, unit="Wh/day", source=line.source)
        for line in assessment.load_lines
    )
    total = Quantity(
        name="load", value=assessment.load_wh_per_day, unit="Wh/day", source="sum of its lines"
    )
    return (*lines, total)


def quantities_of(known: tuple[PowerQuantity, ...]) -> tuple[Quantity, ...]:
    return tuple(Quantity(name=q.name, value=q.value, unit=q.unit, source=q.source) for q in known)


def battery_evidence(site: Site) -> str:
    battery = site.power.battery
    if battery is not None and battery.health_fraction is not None:
        return "measured capacity of the battery"
    return "label of the battery, counted at a cautious share"


def coldest_words(assessment: PowerAssessment) -> str:
    return assessment.quantity("capacity when coldest over that at 25 °C").confidence


def figure(value: float | None, scale: float = 1.0) -> str:
    return "" if value is None else f"{value * scale:.{1 if scale == 1.0 else 0}f}"
