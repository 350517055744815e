"""What to do on site, in the order that damages nobody and nothing."""

from __future__ import annotations

from guyline.core.plan import Plan, PowerSource, Site
from guyline.core.readiness.assessment import SiteAssessment
from guyline.services.declination import Declination
from guyline.services.documents import figures
from guyline.services.documents.power_blocks import ON_MAINS, panel_aim
from guyline.services.documents.radio_blocks import PACKETS, azimuth, is_directional

PHOTOS = (
    "site and mast",
    "antenna aim",
    "feeder and loop",
    "inside the box",
    "panel and view",
    "label",
)
LEFT_BEHIND = (
    "label: who, telephone, do not unplug",
    "gate closed, key returned",
    "rubbish taken",
)


def steps(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> tuple[str, ...]:
    """Numbered steps: the antenna stands and is connected before anything is powered.

    Notes
    -----
    Order as in common practice: hazards, mast, antenna, feeder, arrestor, battery with its fuse
    out, radio, controller, panel, power, verify.
    """
    return (
        "Read the stop box and the cautions. Call net control: crew on site.",
        "Check the place against block 3. Photo of the site before work.",
        _mast(plan, site),
        _aim(plan, site, assessment, declination),
        *_feeder(site),
        "Antenna connected at both ends and checked? Only then go on.",
        *_supply(site, assessment, declination),
        *_power_up(site),
        "Read the identifier from the radio itself. Check block 7, line by line.",
        f"Prove each link of block 9: {PACKETS} packets each way, far end awake.",
        "Fill in block 12, take the photos, fix the label, tell net control.",
    )


def _mast(plan: Plan, site: Site) -> str:
    height = site.antenna_agl_m
    words = (
        "the height in block 8"
        if height is None
        else figures.height(height, plan.incident.units, 1)
    )
    return (
        f"Mast upright and guyed, antenna centre at {words} above ground."
        " Earth it, or mark the sheet: not earthed, disconnect in storms."
    )


def _aim(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> str:
    tilt = figures.tilt(site.antenna.tilt_deg)
    if not is_directional(site.antenna):
        return "Fit the antenna upright, clear of metal, nothing beside it."
    aim = azimuth(plan, site, assessment, declination)
    return f"Fit the antenna: azimuth {aim or 'unknown, ask the planner'}, tilt {tilt}."


def _feeder(site: Site) -> tuple[str, ...]:
    if site.feeder.length_m == 0.0:
        return ()
    words = (
        "Run the feeder: no bend tighter than 10 times its diameter, drip loop 10 cm "
        "below the entry, connectors facing down, joints taped."
    )
    return (words + " Arrestor at the entry, earthed." if site.feeder.has_arrestor else words,)


def _supply(
    site: Site, assessment: SiteAssessment, declination: Declination | None
) -> tuple[str, ...]:
    power = site.power
    aim = panel_aim(site, assessment.power, declination)
    found = []
    if power.battery is not None or power.source in (PowerSource.SOLAR, PowerSource.BATTERY):
        found.append("Battery in place, fuse OUT. Check polarity with the meter.")
    if power.panel is not None or power.source is PowerSource.SOLAR:
        found.append(
            "Panel covered. Controller to the battery first, then the panel"
            f"{': ' + aim if aim else ''}."
        )
    return tuple(found)


def _power_up(site: Site) -> tuple[str, ...]:
    if site.power.source in ON_MAINS:
        last = "Plug in, at a socket with RCD that nobody switches."
    elif site.power.source is PowerSource.GENERATOR:
        last = "Start the generator outdoors, then connect the supply."
    else:
        last = ""
    fuse = "Radio connected, then fuse in." if site.power.battery is not None else ""
    words = " ".join(part for part in (fuse, last) if part) or "Connect the power last of all."
    return (f"{words} Uncover the panel." if site.power.panel is not None else words,)
