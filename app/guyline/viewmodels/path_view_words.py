"""Distances, heights and clearances of a path as people read them."""

from __future__ import annotations

from guyline.core.network.path import (
    CLEAR_RATIO,
    PathAssessment,
    WorstPoint,
    line_of_sight_m,
    raised_ground_m,
)
from guyline.core.plan import Units
from guyline.core.units import FOOT_M
from guyline.viewmodels.path_view import PathView

MILE_M = 1609.344  # exact, international mile
UNKNOWN = "unknown"


def length_text(length_m: float, units: Units) -> str:
    """A distance along the ground."""
    if units is Units.IMPERIAL:
        return f"{length_m / MILE_M:.2f} mi"
    return f"{length_m / 1000.0:.2f} km" if length_m < 100_000.0 else f"{length_m / 1000.0:.0f} km"


def height_text(height_m: float, units: Units) -> str:
    """A height or clearance; below 10 m a tenth counts."""
    value, unit = (height_m / FOOT_M, "ft") if units is Units.IMPERIAL else (height_m, "m")
    return f"{value:.1f} {unit}" if abs(value) < 9.95 else f"{value:.0f} {unit}"


def place_text(distance_m: float, units: Units) -> str:
    """A place on the path, as crews say it: km 3.12."""
    if units is Units.IMPERIAL:
        return f"mile {distance_m / MILE_M:.2f}"
    return f"km {distance_m / 1000.0:.2f}"


def clearance_words(worst: WorstPoint | None, units: Units) -> str:
    """Clearance of the worst point in words; the line is cut, too near, or free."""
    if worst is None:
        return UNKNOWN
    if worst.clearance_m < 0.0:
        return f"cut by {height_text(-worst.clearance_m, units)}"
    spare = worst.clearance_m - CLEAR_RATIO * worst.fresnel_radius_m
    if spare >= 0.0:
        return f"{height_text(spare, units)} above {CLEAR_RATIO} of the first zone"
    return f"{height_text(-spare, units)} short of {CLEAR_RATIO} of the first zone"


def is_clear(worst: WorstPoint | None) -> bool | None:
    return None if worst is None else worst.clearance_ratio >= CLEAR_RATIO


def void_sentences(view: PathView) -> tuple[str, ...]:
    """Where the data has holes, one sentence each."""
    if view.profile is None:
        return ()
    if view.plan.incident.units is Units.IMPERIAL:
        name, unit = "mile", MILE_M
    else:
        name, unit = "km", 1000.0
    return tuple(
        f"no terrain data between {name} {low / unit:.1f} and {high / unit:.1f}"
        for low, high in view.profile.void_ranges_m()
    )


def worst_label(worst: WorstPoint, units: Units) -> str:
    """What stands at the worst point of the drawing."""
    where = place_text(worst.distance_m, units)
    if worst.height_needed_m > 0.0:
        return f"{where}: {height_text(worst.height_needed_m, units)} missing for {CLEAR_RATIO}"
    spare = worst.clearance_m - CLEAR_RATIO * worst.fresnel_radius_m
    return f"{where}: {height_text(spare, units)} to spare"


def k_text(k: float) -> str:
    """Effective Earth factor, as the trade writes the two common ones."""
    for words, value in (("4/3", 4 / 3), ("2/3", 2 / 3)):
        if abs(k - value) < 5e-4:
            return words
    return f"{k:.2f}"


def pointer_text(view: PathView, distance_m: float) -> str:
    """What is under the pointer: distance, ground, clearance of the line of sight."""
    units = view.plan.incident.units
    if view.profile is None:
        return place_text(distance_m, units)
    i = int(abs(view.profile.distance_m - distance_m).argmin())
    at, ground = float(view.profile.distance_m[i]), float(view.profile.ground_amsl_m[i])
    if ground != ground:
        return f"{place_text(at, units)} · no terrain data"
    words = f"{place_text(at, units)} · ground {height_text(ground, units)}"
    if view.path is None:
        return words
    if view.path.clutter_m[i] > 0.0:
        words += f", {height_text(float(view.path.clutter_m[i]), units)} of trees or houses"
    clearance = clearance_at_m(view.path, i)
    if clearance != clearance:
        return words
    side = "above" if clearance >= 0.0 else "below"
    return f"{words} · line {height_text(abs(clearance), units)} {side} it"


def clearance_at_m(path: PathAssessment, i: int) -> float:
    """Line of sight above the ground and what stands on it at sample `i`, NaN without data. [m]"""
    top = raised_ground_m(path, path.earth_k)[i] + path.clutter_m[i]
    return float(line_of_sight_m(path)[i] - top)


def legend_text(view: PathView) -> str:
    """What the lines of the drawing are."""
    low_k = "2/3" if view.path is None else k_text(view.path.low_k)
    ground = f"Ground at k = {k_text(view.plan.earth_k)}, dotted at k = {low_k}"
    if view.path is None:
        return ground
    clutter = ", hatched: trees and houses" if view.path.has_clutter else ""
    return f"{ground}{clutter} · shaded: first Fresnel zone, dashed: {CLEAR_RATIO} of it"


def short_legend_text(view: PathView) -> str:
    """The same for a narrow plot."""
    low_k = "2/3" if view.path is None else k_text(view.path.low_k)
    ground = f"k = {k_text(view.plan.earth_k)}, dotted {low_k}"
    return ground if view.path is None else f"{ground} · shaded: first zone, dashed {CLEAR_RATIO}"
