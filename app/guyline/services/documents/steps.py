"""What to do on site, in the order that damages nobody and nothing."""

from __future__ import annotations

from guyline.core.plan import Plan, PowerSource, Site
from guyline.core.readiness.assessment import SiteAssessment
from guyline.services.declination import Declination
from guyline.services.documents import figures
from guyline.services.documents.power_blocks import ON_MAINS
from guyline.services.documents.radio_blocks import PACKETS, azimuth, is_directional

PHOTOS = (
    "site",
    "antenna aim",
    "feeder loop",
    "inside the box",
    "panel view",
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
        "Read out blocks 2 and 5. Tell net control: on site.",
        "Check the place against block 3. Photo before work.",
        _mast(plan, site),
        _aim(plan, site, assessment, declination),
        *_feeder(site),
        "Antenna connected at both ends? Only then go on.",
        *_supply(site),
        *_power_up(site),
        "Read the radio's identifier. Check block 7.",
        f"Prove each link of block 9: {PACKETS} packets each way.",
        "Block 12, photos, label. Tell net control.",
    )


def _mast(plan: Plan, site: Site) -> str:
    height = site.antenna_agl_m
    words = (
        "the height in block 8"
        if height is None
        else figures.height(height, plan.incident.units, 1)
    )
    return (
        f"Mast upright and guyed, antenna centre at {words}. Earth it, or mark here: not earthed."
    )


def _aim(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> str:
    tilt = figures.tilt(site.antenna.tilt_deg)
    if not is_directional(site.antenna):
        return "Fit the antenna upright, clear of metal."
    aim = azimuth(plan, site, assessment, declination)
    return f"Fit the antenna: azimuth {aim or 'unknown, ask the planner'}, tilt {tilt}."


def _feeder(site: Site) -> tuple[str, ...]:
    if site.feeder.length_m == 0.0:
        return ()
    words = "Feeder: no bend under 10 diameters, drip loop, joints taped."
    return (words + " Arrestor earthed." if site.feeder.has_arrestor else words,)


def _supply(site: Site) -> tuple[str, ...]:
    power = site.power
    found = []
    if power.battery is not None or power.source in (PowerSource.SOLAR, PowerSource.BATTERY):
        found.append("Battery in place, fuse OUT. Check polarity.")
    if power.panel is not None or power.source is PowerSource.SOLAR:
        found.append(
            "Panel covered. Controller to the battery first, then the panel, aimed as in block 10."
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
