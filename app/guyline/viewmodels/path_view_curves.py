"""The lines that a profile plot draws, thinned to what the eye can tell apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.earth import earth_bulge_m, effective_radius_m
from guyline.core.network.path import CLEAR_RATIO, PathAssessment
from guyline.core.radio.fresnel import fresnel_radius_m
from guyline.core.terrain.profile import Profile
from guyline.core.units import Numbers
from guyline.viewmodels.path_view import PathView

LOW_K = 2 / 3  # the hard check beside the plan's own k; common practice
LEAST_SPAN_M = 30.0  # our choice: flat ground is drawn flat, not as noise blown up
LENS_POINTS = 181  # our choice: no corner is seen in a lens as wide as a large screen


@dataclass(frozen=True, slots=True, eq=False)
class GroundCurve:
    """Ground lifted by the curvature of the effective Earth, NaN where no data says.

    `top_m` is the top of what stands on it and counts, the ground itself where nothing does.
    """

    distance_m: Numbers
    raised_m: Numbers
    top_m: Numbers


@dataclass(frozen=True, slots=True, eq=False)
class SightCurves:
    """Line of sight, first Fresnel zone and the 0.6 of it that must be free. [m amsl]"""

    distance_m: Numbers
    line_m: Numbers
    zone_top_m: Numbers
    zone_bottom_m: Numbers
    clear_top_m: Numbers
    clear_bottom_m: Numbers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curves:
    """What is drawn of a path at one width; `sight` is None where it cannot be known."""

    ground: GroundCurve
    low_ground: GroundCurve
    sight: SightCurves | None
    worst: WorstMark | None


def curves_of(view: PathView, columns: int, window_m: tuple[float, float]) -> Curves | None:
    """Everything to draw of the stretch that is seen; None without ground."""
    if view.profile is None:
        return None
    path = view.path
    low_k = LOW_K if path is None else path.low_k
    clutter = None if path is None else path.clutter_m
    has_sight = path is not None and not np.isnan(path.tx_amsl_m + path.rx_amsl_m)
    return Curves(
        ground=ground_curve(view.profile, view.plan.earth_k, columns, window_m, clutter),
        low_ground=ground_curve(view.profile, low_k, columns, window_m),
        sight=sight_curves(path) if path is not None and has_sight else None,
        worst=None if path is None else worst_mark(path),
    )


@dataclass(frozen=True, slots=True)
class WorstMark:
    """The worst point as drawn: from the ground, or what stands on it, to 0.6 of the zone."""

    distance_m: float
    ground_m: float
    clear_m: float


@dataclass(frozen=True, slots=True)
class Mast:
    """A mast as drawn; one of unknown height has its top on the ground. [m amsl]."""

    distance_m: float
    foot_m: float
    top_m: float


def raised_by_curvature_m(profile: Profile, k: float) -> Numbers:
    """Ground lifted by the curvature of the effective Earth, at each sample. [m amsl]"""
    d = profile.distance_m
    return profile.ground_amsl_m + earth_bulge_m(d, profile.length_m - d, effective_radius_m(k))


def ground_curve(
    profile: Profile,
    k: float,
    columns: int,
    window_m: tuple[float, float] | None = None,
    clutter_m: Numbers | None = None,
) -> GroundCurve:
    """The highest sample of each of about `columns` equal stretches, and both ends.

    Parameters
    ----------
    k : float
        Effective Earth factor.
    columns : int
        About as many as the plot has pixels: a summit is never thinned away.
    window_m : tuple of float or None
        The stretch that is seen; None for the whole path. [m]
    clutter_m : array (N,), optional
        Height of what stands on the ground. [m]
    """
    raised = raised_by_curvature_m(profile, k)
    low, high = window_m or (0.0, profile.length_m)
    first = max(0, int(np.searchsorted(profile.distance_m, low)) - 1)
    last = min(raised.size, int(np.searchsorted(profile.distance_m, high)) + 2)
    top = raised if clutter_m is None else raised + clutter_m
    keep = _peaks(top[first:last], columns) + first
    return GroundCurve(distance_m=profile.distance_m[keep], raised_m=raised[keep], top_m=top[keep])


def sight_curves(path: PathAssessment) -> SightCurves:
    """Line of sight and zones, closer together near the ends where the zones bend most."""
    length = path.profile.length_m
    d = length * (1.0 - np.cos(np.linspace(0.0, np.pi, LENS_POINTS))) / 2.0
    line = path.tx_amsl_m + (path.rx_amsl_m - path.tx_amsl_m) * d / length
    radius = np.asarray(fresnel_radius_m(d, length - d, path.frequency_hz))
    return SightCurves(
        distance_m=d,
        line_m=line,
        zone_top_m=line + radius,
        zone_bottom_m=line - radius,
        clear_top_m=line + CLEAR_RATIO * radius,
        clear_bottom_m=line - CLEAR_RATIO * radius,
    )


def worst_mark(path: PathAssessment) -> WorstMark | None:
    """Where the worst point is drawn, on the ground raised for the plan's own k."""
    worst = path.worst
    if worst is None:
        return None
    d = worst.distance_m
    bulge = earth_bulge_m(d, path.profile.length_m - d, effective_radius_m(path.earth_k))
    ground = worst.ground_amsl_m + worst.clutter_m + bulge
    return WorstMark(
        distance_m=d,
        ground_m=ground,
        clear_m=ground + worst.clearance_m - CLEAR_RATIO * worst.fresnel_radius_m,
    )


def masts(view: PathView) -> tuple[Mast, ...]:
    """Both masts, this end first; nothing where the ground is not known at all."""
    if view.profile is None:
        return ()
    ground = view.profile.ground_amsl_m
    feet = ((0.0, float(ground[0])), (view.profile.length_m, float(ground[-1])))
    return tuple(
        Mast(distance_m=x, foot_m=foot, top_m=foot + (end.antenna_agl_m or 0.0))
        for (x, foot), end in zip(feet, view.ends, strict=True)
    )


def _peaks(heights: Numbers, columns: int) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Indices of the highest sample of each stretch; of a stretch with a void, its first void."""
    if heights.size <= 2 * columns:
        return np.arange(heights.size)
    edges = np.unique(np.linspace(0, heights.size, columns + 1).astype(np.intp))
    stretch = np.repeat(np.arange(edges.size - 1), np.diff(edges))
    order = np.lexsort((-np.where(np.isnan(heights), np.inf, heights), stretch))
    return np.unique(np.concatenate(([0], order[edges[:-1]], [heights.size - 1])))


def height_range_m(view: PathView, curves: Curves) -> tuple[float, float]:
    """The heights worth seeing: ground, line of sight, masts, with air above and earth below."""
    seen = [curves.ground.raised_m, curves.ground.top_m, curves.low_ground.raised_m]
    seen += [np.array([mast.foot_m, mast.top_m]) for mast in masts(view)]
    if curves.sight is not None:
        seen += [curves.sight.line_m, curves.sight.zone_top_m]
    heights = np.concatenate(seen)
    if np.isnan(heights).all():
        return 0.0, LEAST_SPAN_M
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    span = max(high - low, LEAST_SPAN_M)
    return low - 0.16 * span, low + 1.12 * span


def round_step(span: float, about: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that divides `span` into about that many."""
    raw = span / max(about, 1)
    magnitude = 10.0 ** np.floor(np.log10(raw))
    return float(magnitude * min((1, 2, 5, 10), key=lambda m: abs(np.log(m * magnitude / raw))))
