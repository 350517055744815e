"""How counts and chances are written."""

from __future__ import annotations

MOST_NAMED = 3  # our choice: longer lists are not read

SUREST, LEAST = 0.99, 0.01  # our choice: beyond them no model knows the difference


def percent(chance: float) -> str:
    """A chance from 0 to 1 as people read it; a model is never quite sure."""
    if chance > SUREST:
        return "> 99 %"
    if chance < LEAST:
        return "< 1 %"
    return f"{100.0 * chance:.0f} %"


def span(hours: float) -> str:
    """A time as people read it: hours up to three days, then days."""
    return f"{hours:.0f} h" if hours < 72.0 else f"{hours / 24.0:.1f} days"


def counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def shortened(names: str) -> str:
    """The first few of a list of names, and how many more there are."""
    parts = names.split(", ")
    if len(parts) <= MOST_NAMED + 1:
        return names
    return f"{', '.join(parts[:MOST_NAMED])} and {len(parts) - MOST_NAMED} more"
