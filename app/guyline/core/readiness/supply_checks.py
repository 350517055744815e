"""Does the battery cut off and come back by itself, and does the panel face the sun?"""

from __future__ import annotations

from guyline.core.plan import Battery, Chemistry, Controller, Gate, PowerSource, Site
from guyline.core.power.voltage import REST_SOURCE, rest_range
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
_CUT_OFF_VERDICTS = {
    "": Verdict.GO,
    "missing": Verdict.CONDITIONS,
    "below empty": Verdict.CONDITIONS,
}
TROPIC_DEG = 23.44  # obliquity of the ecliptic: within it the sun stands on either side
MOST_TURNED_DEG = 90.0  # our choice: beyond east or west a panel turns its back on the noon sun


def supply_findings(site: Site) -> tuple[Finding, ...]:
    """Findings about low-voltage disconnect and the aim of the panel."""
    return (*_cut_off(site), *_panel_aim(site))


def _cut_off(site: Site) -> tuple[Finding, ...]:
    """() where a power bank sees to it inside; without a panel only what cannot be right."""
    battery = site.power.battery
    if battery is None or battery.is_power_bank:
        return ()
    panel, is_solar = site.power.panel, site.power.source is PowerSource.SOLAR
    needs_one = is_solar and (panel is None or panel.controller is not Controller.DIRECT_USB)
    state = _cut_off_state(battery)
    if not needs_one and (state in ("", "missing") or site.power.source is PowerSource.MAINS):
        return ()
    verdict = _CUT_OFF_VERDICTS.get(state, Verdict.NO_GO)
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
                formula="both entered; disconnects between the voltages of the empty and the full"
                " battery at rest, and below where it reconnects; reconnects below the voltage of"
                " the full battery under charge, which the panel alone can reach",
                inputs=(
                    Quantity(name="disconnects at", value=off, unit="V", source="plan"),
                    Quantity(name="reconnects at", value=on, unit="V", source="plan"),
                    Quantity(name="full under charge at", value=_full_v(battery), unit="V"),
                    *_rest_quantities(battery),
                ),
                source="check catalogue from published site-visit logs; cell voltages from memory",
            ),
            remedy=None
            if verdict is Verdict.GO
            else Remedy(
                action=RemedyAction.ENTER if state == "missing" else RemedyAction.OBTAIN,
                site_id=site.site_id,
                what="the voltages at which the controller disconnects and reconnects"
                if state == "missing"
                else "a controller set to disconnect above the empty battery, and to reconnect"
                " above that and below full charge",
            ),
        ),
    )


def _rest_quantities(battery: Battery) -> tuple[Quantity, ...]:
    rest = rest_range(battery)
    if rest is None:
        return ()
    return (
        Quantity(name="empty at rest at", value=rest.empty_v, unit="V", source=REST_SOURCE),
        Quantity(name="full at rest at", value=rest.full_v, unit="V", source=REST_SOURCE),
    )


def _cut_off_state(battery: Battery) -> str:
    """What is wrong with the two voltages, "" where nothing is."""
    off, on, rest = battery.low_voltage_disconnect_v, battery.reconnect_v, rest_range(battery)
    if off is not None and rest is not None and off >= rest.full_v:
        return "above full"
    if off is not None and rest is not None and off < rest.empty_v:
        return "below empty"
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
