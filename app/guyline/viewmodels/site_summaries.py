"""What the site table says of a site in a few words."""

from __future__ import annotations

from guyline.core.plan import Fact, Plan, PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.assessment import SiteAssessment
from guyline.core.readiness.packing import air_class, packing_of
from guyline.services.wording import counted
from guyline.services.wording.numbers import percent

UNKNOWN = "unknown"


def weakest_link_text(assessed: SiteAssessment) -> str:
    """Return the least margin and the site at its other end."""
    weakest = assessed.weakest_link
    if weakest is None:
        return "no link"
    far = weakest.link.other(assessed.site_id)
    if weakest.margin_db is None:
        return f"{UNKNOWN} to {far}"
    return f"{signed(weakest.margin_db)} dB to {far}"


def power_text(power: PowerAssessment, plan: Plan) -> str:
    """Return the one figure that decides the site's power."""
    if power.lacks_power is None and power.missing:
        return f"{UNKNOWN}: {power.missing[0]}"
    if power.lacks_power and power.shortfall_wh_per_day:
        return f"lacks {power.shortfall_wh_per_day:.1f} Wh/day"
    is_backed = power.source is PowerSource.MAINS_WITH_BACKUP and power.backup_hours is not None
    if is_backed and power.survival_probability in (0.0, 1.0):
        return f"{_duration(power.backup_hours or 0.0)} of backup"
    if power.survival_probability is not None and plan.incident.mission_days is not None:
        return f"{percent(power.survival_probability)} to day {plan.incident.mission_days}"
    if power.lacks_power is None:
        return UNKNOWN
    if power.backup_hours is not None:
        return f"{_duration(power.backup_hours)} of backup"
    if power.days_without_sun is not None:
        return f"{power.days_without_sun:.1f} days without sun"
    return "lacks power" if power.lacks_power else f"{power.source.value}"


def _duration(hours: float) -> str:
    return f"{hours:.0f} h" if hours < 72 else f"{hours / 24:.0f} days"


def kit_text(site: Site) -> str:
    """Return how much of the kit is held, and whether critical pieces are missing."""
    if not site.checklist:
        return "no list"
    held = sum(item.state.is_held for item in site.checklist)
    missing = sum(item.is_critical and not item.state.is_held for item in site.checklist)
    text = f"{held} of {len(site.checklist)}"
    return f"{text}, {missing} critical missing" if missing else text


def load_text(plan: Plan, site: Site) -> str:
    """Return what the crew carries, over how many, and how its batteries may travel."""
    if not site.checklist:
        return ""
    packing = packing_of(plan, site)
    parts = [f"To carry: {packing.mass_kg:.1f} kg, {counted(packing.carriers, 'carrier')}"]
    if packing.unweighed:
        parts.append(f"{counted(len(packing.unweighed), 'line')} not weighed")
    lines = (*packing.unweighed, *(line for load in packing.loads for line in load.lines))
    energies = sorted({line.battery_wh for line in lines if line.battery_wh is not None})
    batteries = [f"Battery of {wh:.0f} Wh: {air_class(wh)}." for wh in energies]
    return " ".join([f"{'; '.join(parts)}.", *batteries])


def permission_text(site: Site) -> str:
    """Return whether somebody said yes, how, and until when."""
    permission = site.permission
    if permission.is_granted is Fact.UNKNOWN:
        return UNKNOWN
    if permission.is_granted is Fact.NO:
        return "not granted"
    how = "written" if permission.is_written is Fact.YES else "spoken"
    if permission.expires_on is None:
        return how
    return f"{how}, to {permission.expires_on:%d %b}"


def signed(value: float, decimals: int = 1) -> str:
    """Return a number with its sign and a true minus."""
    text = f"{value:+.{decimals}f}"
    return text.replace("-", "\N{MINUS SIGN}")
