"""Numbers as people read them on paper, each with its unit."""

from __future__ import annotations

from guyline.core.plan import Units
from guyline.core.units import FOOT_M
from guyline.services.declination import Declination

STATUTE_MILE_M = 1609.344  # exact, 5280 international feet
_POINTS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def height(value_m: float, units: Units, decimals: int = 0) -> str:
    """A height or length; imperial sheets keep the metres beside the feet."""
    metres = f"{value_m:.{decimals}f} m"
    return metres if units is Units.METRIC else f"{value_m / FOOT_M:.0f} ft ({metres})"


def distance(value_m: float, units: Units) -> str:
    """A distance on the ground."""
    if units is Units.METRIC:
        return f"{value_m / 1000:.2f} km"
    return f"{value_m / STATUTE_MILE_M:.2f} mi ({value_m / 1000:.2f} km)"


def three_digits(azimuth_deg: float) -> str:
    return f"{round(azimuth_deg) % 360:03d}°"


def bearing(true_deg: float, declination: Declination | None) -> str:
    """A bearing from true north and from magnetic north: 051° T / 028° M."""
    if declination is None:
        return f"{three_digits(true_deg)} T / magnetic unknown"
    return f"{three_digits(true_deg)} T / {three_digits(true_deg - declination.deg)} M"


def declination_words(declination: Declination) -> str:
    side = "east" if declination.deg >= 0.0 else "west"
    return f"{abs(declination.deg):.1f}° {side} ({declination.model}, {declination.on:%d %b %Y})"


def compass_point(azimuth_deg: float) -> str:
    """The nearest of the eight winds."""
    return _POINTS[round(azimuth_deg / 45.0) % 8]


def tilt(down_deg: float) -> str:
    """An antenna's tilt; down counts positive in the trade, so the word is printed."""
    if abs(down_deg) < 0.05:
        return "0° (level)"
    return f"{abs(down_deg):.0f}° {'down' if down_deg > 0.0 else 'up'}"


def elevation(up_deg: float) -> str:
    return f"{abs(up_deg):.1f}° {'up' if up_deg >= 0.0 else 'down'}"


def grid_reference(mgrs: str) -> str:
    """An MGRS reference in groups that can be read out: 60G UV 15784 26715."""
    figures = mgrs[-10:]
    return f"{mgrs[:-12]} {mgrs[-12:-10]} {figures[:5]} {figures[5:]}"


def hours(value_h: float) -> str:
    """A duration; beyond two days it is counted in days."""
    return f"{value_h:.0f} h" if value_h < 48.0 else f"{value_h / 24.0:.1f} days"
