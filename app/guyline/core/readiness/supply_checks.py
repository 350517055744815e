"""Does the battery cut off and come back by itself, and does the panel face the sun?"""

from __future__ import annotations

from guyline.core.plan import Battery, Chemistry, Controller, Gate, PowerSource, Site
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

# Full charge over nominal voltage of a cell: 3.6/3.2, 4.2/3.7 and 2.4/2.0 V, from memory.
FULL_OVER_NOMINAL = {
    Chemistry.LIFEPO4: 3.6 / 3.2,
    Chemistry.NMC: 4.2 / 3.7,
    Chemistry.AGM: 2.4 / 2.0,
}
TROPIC_DEG = 23.44  # obliquity of the ecliptic: within it the sun stands on either side
MOST_TURNED_DEG = 90.0  # our choice: beyond east or west a panel turns its back on the noon sun


def supply_findings(site: Site) -> tuple[Finding, ...]:
    """Findings about low-voltage disconnect and the aim of the panel."""
    return (*_cut_off(site), *_panel_aim(site))


def _cut_off(site: Site) -> tuple[Finding, ...]:
    """() where nothing charges the battery, or where a power bank sees to it inside."""
    battery = site.power.battery
    if battery is None or site.power.source is not PowerSource.SOLAR or battery.is_power_bank:
        return ()
    if site.power.panel is not None and site.power.panel.controller is Controller.DIRECT_USB:
        return ()
    state = _cut_off_state(battery)
    verdict = {"": Verdict.GO, "missing": Verdict.CONDITIONS}.get(state, Verdict.NO_GO)
    off, on = battery.low_voltage_disconnect_v, battery.reconnect_v
    return (
        Finding(
            code=FindingCode.BATTERY_CUT_OFF,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=verdict,
            quantity="low-voltage disconnect that reconnects",
            facts=(
                ("state", state),
                ("off", "" if off is None else f"{off:g}"),
                ("on", "" if on is None else f"{on:g}"),
            ),
            evidence="plan",
            working=Working(
                formula="both entered; disconnects below where it reconnects; reconnects below the"
                " voltage of the full battery, which the panel alone can reach",
                inputs=(
                    Quantity(name="disconnects at", value=off, unit="V", source="plan"),
                    Quantity(name="reconnects at", value=on, unit="V", source="plan"),
                    Quantity(name="full at", value=_full_v(battery), unit="V"),
                ),
                source="check catalogue from published site-visit logs; cell voltages from memory",
            ),
            remedy=None
            if verdict is Verdict.GO
            else Remedy(
                action=RemedyAction.ENTER
                if verdict is Verdict.CONDITIONS
                else RemedyAction.OBTAIN,
                site_id=site.site_id,
                what="the voltages at which the controller disconnects and reconnects"
                if verdict is Verdict.CONDITIONS
                else "a controller set to reconnect above its disconnect and below full charge",
            ),
        ),
    )


def _cut_off_state(battery: Battery) -> str:
    """What is wrong with the two voltages: "", missing, reversed or out of reach."""
    off, on = battery.low_voltage_disconnect_v, battery.reconnect_v
    if off is None or on is None:
        return "missing"
    if on <= off:
        return "reversed"
    full = _full_v(battery)
    return "out of reach" if full is not None and on >= full else ""


def _full_v(battery: Battery) -> float | None:
    ratio = FULL_OVER_NOMINAL.get(battery.chemistry)
    if ratio is None or battery.nominal_v is None:
        return None
    return battery.nominal_v * ratio


def noon_azimuth_deg(lat_deg: float) -> float:
    """True azimuth of the noon sun outside the tropics, in °."""
    return 180.0 if lat_deg > 0.0 else 0.0


def _panel_aim(site: Site) -> tuple[Finding, ...]:
    """() without a panel, while it is unknown or lies flat, and between the tropics."""
    panel, position = site.power.panel, site.position
    if panel is None or position is None or site.power.source is not PowerSource.SOLAR:
        return ()
    if panel.azimuth_deg is None or not panel.tilt_deg or abs(position.lat_deg) <= TROPIC_DEG:
        return ()
    noon_deg = noon_azimuth_deg(position.lat_deg)
    turned = abs((panel.azimuth_deg - noon_deg + 180.0) % 360.0 - 180.0)
    good = turned <= MOST_TURNED_DEG
    side = "south" if noon_deg else "north"
    return (
        Finding(
            code=FindingCode.PANEL_AIM,
            gate=Gate.POWER,
            site_id=site.site_id,
            verdict=Verdict.GO if good else Verdict.CONDITIONS,
            quantity="panel turned away from the noon sun",
            value=turned,
            limit=MOST_TURNED_DEG,
            unit="°",
            comparison=Comparison.AT_MOST,
            facts=(("side", side),),
            evidence="plan",
            working=Working(
                formula="angle between the panel's true azimuth and the noon sun's side",
                inputs=(
                    Quantity(
                        name="true azimuth", value=panel.azimuth_deg, unit="°", source="plan"
                    ),
                    Quantity(name="latitude", value=position.lat_deg, unit="°", source="plan"),
                ),
                source="geometry: outside the tropics the noon sun stands on the equator's side",
            ),
            remedy=None
            if good
            else Remedy(
                action=RemedyAction.MOVE,
                site_id=site.site_id,
                what=f"the panel so that it faces {side}",
            ),
        ),
    )
