"""Does to the plan what a remedy says."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Battery, Chemistry, Panel, Plan, PowerSource, Site
from guyline.core.readiness.finding import Remedy, RemedyAction


def apply_remedy(plan: Plan, remedy: Remedy) -> Plan:
    """Return the plan with the remedy done.

    Raises
    ------
    ValueError
        The remedy is something for people to do, not an edit.
    """
    if not remedy.is_edit or remedy.value is None:
        raise ValueError(f"{remedy.action} is no edit")
    return plan.with_site(_changed(plan.site(remedy.site_id), remedy.action, remedy.value))


def _changed(site: Site, action: RemedyAction, value: float) -> Site:
    if action is RemedyAction.RAISE_ANTENNA:
        return replace(site, antenna_agl_m=value)
    if action is RemedyAction.LOWER_TX_POWER:
        return replace(site, radio=replace(site.radio, tx_power_dbm=value))
    power = site.power
    if action is RemedyAction.LARGER_PANEL:
        panel = replace(power.panel or Panel(), stc_w=value)
        source = PowerSource.SOLAR if power.source is PowerSource.UNKNOWN else power.source
        return replace(site, power=replace(power, panel=panel, source=source))
    battery = power.battery or Battery(chemistry=Chemistry.LIFEPO4)
    return replace(site, power=replace(power, battery=replace(battery, capacity_wh=value)))
