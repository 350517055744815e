"""What a site draws from its battery in a day, every quiescent current as a line of its own."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Panel, PowerSource, PowerSystem, Radio, Site
from guyline.core.power.assessment import LoadLine

HOURS_PER_DAY = 24.0
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The lines that are known, and the names of what is not."""

    lines: tuple[LoadLine, ...]
    missing: tuple[str, ...]

    @property
    def total_wh_per_day(self) -> float | None:
        """Whole draw at the battery's terminals, None while anything is missing, in Wh/day."""
        return None if self.missing else sum(line.energy_wh_per_day for line in self.lines)


def transmit_share(packets_per_hour: float, time_on_air_s: float) -> float:
    """Share of the time that a radio sends, at most 1."""
    return min(1.0, packets_per_hour * time_on_air_s / SECONDS_PER_HOUR)


def site_load(site: Site, time_on_air_s: float | None) -> Load:
    r"""Daily draw of a site at the terminals of its battery.

    .. math:: E = 24 \sum_i d_i I_i V / \eta + 24 (P_{q,conv} + P_{q,ctrl}) + E_{extra}

    Parameters
    ----------
    time_on_air_s : float or None
        Duration of one packet; None is unknown. [s]

    Notes
    -----
    The radio receives whenever it does not send. Extra loads draw on the battery directly.
    """
    power, radio = site.power, site.radio
    missing = _missing_of_radio(radio, power)
    if site.packets_per_hour is None:
        missing.append("packets per hour")
    if time_on_air_s is None:
        missing.append("time on air")
    lines: list[LoadLine] = []
    if not missing:
        assert site.packets_per_hour is not None
        assert time_on_air_s is not None
        lines += _radio_lines(radio, power, transmit_share(site.packets_per_hour, time_on_air_s))
    for name, quiescent_w in _quiescent(power):
        if quiescent_w is None:
            missing.append(name)
        elif quiescent_w > 0.0:
            lines.append(_line(name, HOURS_PER_DAY * quiescent_w, "plan"))
    for extra in power.extra_loads:
        if extra.power_w is None:
            missing.append(f"power of {extra.name}")
        else:
            energy = extra.power_w * extra.hours_per_day
            lines.append(_line(extra.name, energy, extra.source or "plan"))
    return Load(lines=tuple(lines), missing=tuple(missing))


def _missing_of_radio(radio: Radio, power: PowerSystem) -> list[str]:
    needed: dict[str, float | None] = {
        "supply voltage of the radio": radio.supply_v,
        "receive current": radio.receive_a,
        "transmit current": radio.transmit_a,
        "current of the radio's host": radio.host_a,
        "converter efficiency": power.converter_efficiency,
    }
    return [name for name, value in needed.items() if value is None]


def _radio_lines(radio: Radio, power: PowerSystem, sending: float) -> list[LoadLine]:
    assert radio.supply_v is not None
    assert power.converter_efficiency is not None
    assert radio.receive_a is not None
    assert radio.transmit_a is not None
    assert radio.host_a is not None
    daily_v_h = HOURS_PER_DAY * radio.supply_v
    currents = (
        ("radio receiving", radio.receive_a * (1.0 - sending)),
        ("radio sending", radio.transmit_a * sending),
        ("radio's host", radio.host_a),
    )
    source = radio.source or "plan"
    lines = [_line(name, daily_v_h * current, source) for name, current in currents]
    at_rail = sum(line.energy_wh_per_day for line in lines)
    loss = at_rail * (1.0 / power.converter_efficiency - 1.0)
    if loss > 0.0:
        lines.append(_line("loss in the converter", loss, "converter efficiency of the plan"))
    return lines


def _quiescent(power: PowerSystem) -> list[tuple[str, float | None]]:
    draws = [("quiescent draw of the converter", power.converter_quiescent_w)]
    if power.source is PowerSource.SOLAR or power.panel is not None:
        panel = power.panel or Panel()
        draws.append(("quiescent draw of the controller", panel.controller_quiescent_w))
    return draws


def _line(name: str, energy_wh_per_day: float, source: str) -> LoadLine:
    return LoadLine(name=name, energy_wh_per_day=energy_wh_per_day, source=source)
