"""How a site is fed, as the crew builds it, and what must be measured."""

from __future__ import annotations

import math

from guyline.core.plan import Battery, Fact, Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.services.declination import Declination
from guyline.services.documents import figures
from guyline.services.documents.content import Blank, Field
from guyline.services.documents.meter_blocks import (
    CHARGE,
    LOAD,
    cable_fields,
    fuses_a,
    reading_fields,
)
from guyline.services.wording.numbers import percent
from guyline.services.wording.power_facts import attendance_facts

_SAID_ELSEWHERE = ("Stands in for mains",)
ON_MAINS = (PowerSource.MAINS, PowerSource.MAINS_WITH_BACKUP)


def power_fields(
    plan: Plan,
    site: Site,
    power: PowerAssessment,
    declination: Declination | None,
    ground_amsl_m: float | None,
) -> tuple[Field, ...]:
    """Source, battery, panel, and what is expected of them."""
    unknown = site.power.source is PowerSource.UNKNOWN
    return (
        Field(label="Source", value=None if unknown else str(site.power.source)),
        Field(label="Load", value=_per_day(power.load_wh_per_day)),
        *_mains(site),
        *_battery(site),
        *_panel(site, power, declination),
        *cable_fields(site, power),
        *reading_fields(plan, site, ground_amsl_m),
        *_expected(plan, site, power),
    )


def _per_day(energy_wh: float | None) -> str | None:
    return None if energy_wh is None else f"{energy_wh:.1f} Wh/day"


def _mains(site: Site) -> tuple[Field, ...]:
    if site.power.source not in ON_MAINS:
        return ()
    switched = {
        Fact.YES: "cannot be switched off",
        Fact.NO: "CAN BE SWITCHED OFF: label it",
        Fact.UNKNOWN: "switched or not: unknown",
    }[site.power.mains_is_unswitched]
    protected = {
        Fact.YES: "RCD present",
        Fact.NO: "NO RCD: do not use",
        Fact.UNKNOWN: "RCD: unknown",
    }[site.power.mains_has_rcd]
    return (Field(label="Socket", value=f"{switched}; {protected}"),)


def _battery(site: Site) -> tuple[Field, ...]:
    battery = site.power.battery
    if battery is None:
        if site.power.source is PowerSource.MAINS:
            return ()
        return (Field(label="Battery", value=None),)
    fields = [Field(label="Battery", value=_battery_words(battery))]
    if not battery.is_power_bank and battery.chemistry.is_rechargeable:
        fields.append(Field(label="Disconnect", value=_disconnect(battery)))
    return tuple(fields)


def _battery_words(battery: Battery) -> str:
    capacity = "capacity unknown" if battery.capacity_wh is None else f"{battery.capacity_wh:g} Wh"
    voltage = "" if battery.nominal_v is None else f", {battery.nominal_v:g} V"
    charge = (
        ", charge unknown"
        if battery.charge_fraction is None
        else f", charged to {100 * battery.charge_fraction:.0f} %"
    )
    tested = {Fact.YES: "", Fact.NO: ", NOT TESTED", Fact.UNKNOWN: ", tested: unknown"}
    return f"{battery.chemistry}, {capacity}{voltage}{charge}{tested[battery.is_tested]}"


def _disconnect(battery: Battery) -> str | None:
    off, on = battery.low_voltage_disconnect_v, battery.reconnect_v
    if off is None:
        return None
    return f"at {off:g} V, back at " + ("unknown" if on is None else f"{on:g} V")


def _panel(
    site: Site, power: PowerAssessment, declination: Declination | None
) -> tuple[Field, ...]:
    panel = site.power.panel
    if panel is None:
        solar = site.power.source is PowerSource.SOLAR
        return (Field(label="Panel", value=None),) if solar else ()
    rating = "rating unknown" if panel.stc_w is None else f"{panel.stc_w:g} W"
    return (
        Field(label="Panel", value=f"{rating}, controller {panel.controller}"),
        Field(label="Panel faces", value=_faces(site, power, declination), built="° M"),
        Field(label="Panel tilt", value=_panel_tilt(site, power), built="°"),
    )


def _faces(site: Site, power: PowerAssessment, declination: Declination | None) -> str | None:
    panel = site.power.panel
    assert panel is not None
    chosen = panel.azimuth_deg
    azimuth_deg = power.panel_azimuth_deg if chosen is None else chosen
    if azimuth_deg is None and site.position is not None and site.position.lat_deg:
        azimuth_deg = 180.0 if site.position.lat_deg > 0.0 else 0.0  # towards the equator
    if azimuth_deg is None:
        return None
    words = f"{figures.compass_point(azimuth_deg)}, {figures.bearing(azimuth_deg, declination)}"
    return words if chosen is not None else words + " (advised)"


def _panel_tilt(site: Site, power: PowerAssessment) -> str | None:
    panel = site.power.panel
    assert panel is not None
    if panel.tilt_deg is not None:
        return f"{panel.tilt_deg:.0f}° up from level"
    if power.panel_tilt_deg is not None:
        return f"{power.panel_tilt_deg:.0f}° up from level (advised)"
    return None


def _expected(plan: Plan, site: Site, power: PowerAssessment) -> tuple[Field, ...]:
    fields = []
    if site.power.panel is not None:
        fields.append(Field(label="Panel brings", value=_yield(power)))
    if site.power.source in ON_MAINS and power.backup_hours is not None:
        fields.append(Field(label="Backup lasts", value=figures.hours(power.backup_hours)))
    elif site.power.source is not PowerSource.MAINS:
        fields.append(Field(label="Battery alone", value=_alone(power)))
    for label, words in attendance_facts(plan, site, power):
        if label not in _SAID_ELSEWHERE:
            fields.append(Field(label=label, value=words))
    fields.append(Field(label="Outlook", value=power_verdict(plan, power)))
    return tuple(fields)


def _yield(power: PowerAssessment) -> str | None:
    if power.yield_wh_per_day is None:
        return None
    month = "" if power.worst_month is None else f" in {figures.MONTHS[power.worst_month - 1]}"
    return f"{power.yield_wh_per_day:.0f} Wh/day{month}, the worst month"


def _alone(power: PowerAssessment) -> str | None:
    days = power.days_without_sun
    return None if days is None else f"lasts {days:.1f} days"


def power_verdict(plan: Plan, power: PowerAssessment) -> str | None:
    """Whether the site stays on the air, in a few words; None where nobody knows."""
    if power.lacks_power is None:
        return None
    if power.lacks_power:
        shortfall = power.shortfall_wh_per_day
        lack = "" if shortfall is None else f" {shortfall:.1f} Wh/day"
        return f"LACKS POWER{lack}"
    if power.survival_probability is None:
        return "enough"
    days = plan.incident.mission_days
    whole = "the mission" if days is None else f"all {days} days"
    return f"{percent(power.survival_probability)} sure for {whole}"


def power_chain(site: Site, assessed: PowerAssessment) -> tuple[str, ...]:
    """What feeds what, from the source to the radio; fuses sit at the battery's plus pole."""
    power, fuses = site.power, fuses_a(site, assessed)
    parts: list[str] = []
    if power.source in ON_MAINS:
        parts.append("socket")
        parts.append("supply")
    elif power.source is PowerSource.GENERATOR:
        parts += ["generator", "supply"]
    if power.panel is not None:
        parts += ["panel", "controller"]
        if power.battery is not None:
            parts.append(_fuse(fuses.get(CHARGE)))
    if power.battery is not None:
        parts += ["battery", _fuse(fuses.get(LOAD))]
    return (*parts, "radio") if parts else ()


def _fuse(rating_a: float | None) -> str:
    return "fuse" if rating_a is None else f"fuse {rating_a:g} A"


def measured_blanks(site: Site) -> tuple[Blank, ...]:
    """What the crew writes down before it leaves."""
    blanks = []
    if site.power.source in ON_MAINS:
        blanks.append(Blank(label="Supply", unit="V"))
    if site.power.battery is not None or site.power.source is not PowerSource.MAINS:
        blanks += [
            Blank(label="Battery idle", unit="V"),
            Blank(label="on transmit", unit="V"),
        ]
    if site.power.panel is not None or site.power.source is PowerSource.SOLAR:
        blanks += [
            Blank(label="Panel", unit="V"),
            Blank(label="Panel", unit="A"),
            Blank(label="Sun, time"),
        ]
    return tuple(blanks)


def outage(power: PowerAssessment) -> str | None:
    """When the first outage must be expected."""
    value = power.hours_to_outage
    if value is None:
        return None
    return "none expected" if math.isinf(value) else figures.hours(value)
