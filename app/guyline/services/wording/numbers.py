"""How counts and chances are written."""

from __future__ import annotations

SUREST, LEAST = 0.99, 0.01  # our choice: beyond them no model knows the difference


def percent(chance: float) -> str:
    """A chance from 0 to 1 as people read it; a model is never quite sure."""
    if chance > SUREST:
        return "> 99 %"
    if chance < LEAST:
        return "< 1 %"
    return f"{100.0 * chance:.0f} %"


def counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
