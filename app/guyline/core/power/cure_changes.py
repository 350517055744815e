"""What a cure changes in a site."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Panel, PowerSystem, Radio, Site
from guyline.core.power.assessment import Cure


def apply_cure(site: Site, cure: Cure) -> Site | None:
    """Return the site with the cure done, None where people must do it and not the plan.

    A smaller load and a place out of the shadow are things to find, not values to enter.
    """
    power = site.power
    if cure.kind == "panel":
        return with_panel_w(site, cure.value)
    if cure.kind == "battery":
        return with_battery_wh(site, cure.value)
    if cure.kind == "panel and battery" and cure.battery_wh is not None:
        return with_battery_wh(with_panel_w(site, cure.value), cure.battery_wh)
    if cure.kind == "tilt" and power.panel is not None:
        panel = replace(power.panel, tilt_deg=cure.value, azimuth_deg=cure.azimuth_deg)
        return replace(site, power=replace(power, panel=panel))
    if cure.kind == "duty":
        return replace(site, packets_per_hour=cure.value)
    if cure.kind == "charger":
        return with_mains_charger_w(site, cure.value)
    if cure.kind == "fuel":
        return with_fuel_l(site, cure.value)
    if cure.kind == "swap":
        return with_swap_days(site, cure.value)
    return None


def with_panel_w(site: Site, stc_w: float) -> Site:
    panel = replace(site.power.panel or Panel(), stc_w=stc_w)
    return replace(site, power=replace(site.power, panel=panel))


def with_battery_wh(site: Site, capacity_wh: float) -> Site:
    assert site.power.battery is not None
    battery = replace(site.power.battery, capacity_wh=capacity_wh)
    return replace(site, power=replace(site.power, battery=battery))


def with_mains_charger_w(site: Site, charger_w: float) -> Site:
    return replace(site, power=replace(site.power, mains_charger_w=charger_w))


def with_fuel_l(site: Site, fuel_l: float) -> Site:
    assert site.power.generator is not None
    generator = replace(site.power.generator, fuel_l=fuel_l)
    return replace(site, power=replace(site.power, generator=generator))


def with_swap_days(site: Site, days: float) -> Site:
    return replace(site, power=replace(site.power, battery_swap_days=days))


def with_smaller_load(site: Site, share: float) -> Site:
    """Return the site with every known draw in proportion."""
    return replace(site, power=_scaled(site.power, share), radio=_dimmed(site.radio, share))


def _scaled(power: PowerSystem, share: float) -> PowerSystem:
    extras = tuple(
        replace(x, power_w=None if x.power_w is None else x.power_w * share)
        for x in power.extra_loads
    )
    quiescent = power.converter_quiescent_w
    panel = power.panel
    if panel is not None and panel.controller_quiescent_w is not None:
        panel = replace(panel, controller_quiescent_w=panel.controller_quiescent_w * share)
    return replace(
        power,
        extra_loads=extras,
        panel=panel,
        converter_quiescent_w=None if quiescent is None else quiescent * share,
    )


def _dimmed(radio: Radio, share: float) -> Radio:
    return replace(
        radio,
        receive_a=None if radio.receive_a is None else radio.receive_a * share,
        transmit_a=None if radio.transmit_a is None else radio.transmit_a * share,
        host_a=None if radio.host_a is None else radio.host_a * share,
    )
