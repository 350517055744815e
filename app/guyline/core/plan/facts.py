"""Choices and three-state facts of a plan; each value is the word that people see."""

from __future__ import annotations

from enum import StrEnum


class Fact(StrEnum):
    """An answer that may not be known yet; unknown never counts as yes."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Hazard(StrEnum):
    """What can hurt the crew at a site; each switches on its line of caution on paper."""

    HEIGHT = "work at height"
    OTHER_MAST = "mast of another owner"
    MAINS = "mains"
    FLOOD_WATER = "flood water"
    FIRE = "fire ground"
    STORM_DEBRIS = "storm debris"
    LIGHTNING = "exposed to lightning"
    POWER_LINES = "overhead power lines"
    LONG_WALK = "long or steep walk"
    LIVESTOCK = "livestock or dogs"
    AIRCRAFT = "low-flying aircraft"


class Units(StrEnum):
    """Units on screen and paper; values inside the program are always SI."""

    METRIC = "metric"
    IMPERIAL = "imperial"
