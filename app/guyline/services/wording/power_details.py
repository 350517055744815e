"""Lines about cables, batteries and readings, for sheet and panel."""

from __future__ import annotations

from datetime import date, timedelta

from guyline.core.plan import SiteId
from guyline.core.power.handling import Handling
from guyline.core.power.rounds import Round
from guyline.core.power.timeline import Timeline
from guyline.core.power.wiring import CableRun, Wiring
from guyline.services.commissioning import Expectation

LONGEST_NAMED_M = 15.0  # longer runs are another kind of job: our choice
FUSE_CAUTION = "Fuse at the battery's plus pole, within a hand's breadth of it; DC-rated."


def wiring_lines(wiring: Wiring) -> tuple[str, ...]:
    """One line a cable, and what the controller must stand."""
    lines = [_cable(run) for run in wiring.runs]
    if any(run.fuse_a is not None for run in wiring.runs):
        lines.append(FUSE_CAUTION)
    if wiring.panel_open_v is not None:
        volts = f"{wiring.panel_open_v:.0f} V"
        lines.append(f"The controller must stand {volts} from a cold panel without load.")
    return tuple(lines)


def _cable(run: CableRun) -> str:
    name = run.name[:1].upper() + run.name[1:]
    fuse = "" if run.fuse_a is None else f", fuse {run.fuse_a:g} A"
    reaches = []
    for section, longest in run.reach_m:
        reaches.append(f"{section:g} mm² to {min(longest, LONGEST_NAMED_M):.0f} m")
        if longest >= LONGEST_NAMED_M:
            break
    cable = ", ".join(reaches) or "thicker than 10 mm²: ask an electrician"
    current = f"{run.current_a:.1f}" if run.current_a >= 0.1 else f"{run.current_a:.2f}"
    return f"{name} ({current} A{fuse}): {cable}."


def handling_lines(handling: Handling) -> tuple[str, ...]:
    """Transport, air and cautions of a battery, one line each."""
    lines = [handling.road, handling.air, handling.ventilation]
    if handling.opening_cm2 is not None:
        lines.append(f"Each opening at least {max(1.0, handling.opening_cm2):.0f} cm².")
    return (*lines, *handling.cautions)


def reading_rows(expectation: Expectation) -> tuple[tuple[str, str, str, str], ...]:
    """Clock, open voltage, short-circuit and charging current, each from dull to clear sky."""
    return tuple(
        (
            f"{row.clock:%H:%M}",
            "{:.0f} to {:.0f} V".format(*sorted(row.open_v)),
            _range(row.short_circuit_a),
            _range(row.charging_a),
        )
        for row in expectation.hours
    )


def charging_line(expectation: Expectation) -> str:
    """What the battery itself shows while the panel charges it."""
    return f"While it is being charged the battery shows {expectation.charging_v:.1f} V or more."


def _range(amps: tuple[float, float]) -> str:
    low, high = amps
    return f"{low:.2f} to {high:.2f} A" if high < 1.0 else f"{low:.1f} to {high:.1f} A"


def round_lines(rounds: tuple[Round, ...], start_on: date | None = None) -> tuple[str, ...]:
    """One line a trip, with its date where the start of the mission is known."""
    return tuple(f"{_day(trip.day, start_on)}: {_names(trip.site_ids)}" for trip in rounds)


def _day(day: int, start_on: date | None) -> str:
    if start_on is None:
        return f"Day {day}"
    on = start_on + timedelta(days=day)
    return f"Day {day}, {on.day} {on:%b}"


def timeline_line(timeline: Timeline) -> str:
    """How many sites are up on the last day and on the worst, with the doubt of the weather."""
    if not timeline.low:
        return ""
    last = len(timeline.low) - 1
    worst = min(range(last + 1), key=lambda day: (timeline.low[day], day))
    parts = [f"On the last day {_between(timeline, last)} sites are on the air"]
    if timeline.low[worst] < timeline.low[last]:
        parts.append(f"on day {worst}, the worst, {_between(timeline, worst)}")
    if timeline.unknown:
        parts.append(f"of {timeline.unknown} more nobody knows")
    return "; ".join(parts) + " (eight of ten missions lie between)."


def _between(timeline: Timeline, day: int) -> str:
    low, high = timeline.low[day], timeline.high[day]
    return f"{low:.0f}" if low == high else f"{low:.0f} to {high:.0f}"


def _names(site_ids: tuple[SiteId, ...]) -> str:
    return ", ".join(site_ids)
