"""The radio path over a terrain profile: loss and clearance."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from guyline.core.earth import earth_bulge_m, effective_radius_m
from guyline.core.network.path_clutter import (
    BARE_END_M,
    clutter_on_path_m,
    counted_clutter_m,
)
from guyline.core.plan import ClutterBand
from guyline.core.radio.diffraction import delta_bullington
from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.fresnel import fresnel_radius_m
from guyline.core.terrain.profile import Profile
from guyline.core.units import Numbers

CLEAR_RATIO = 0.6  # 0.6 F1 at k = 4/3: free-space loss, J(-0.85) = 0 (P.526; P.530 section 2.2.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstPoint:
    """Where the ground comes nearest to the first Fresnel zone, measured in its radius.

    `clearance_m` is from the ground, or the top of the `clutter_m` of trees or houses on it,
    up to the line of sight, negative where it is cut;
    `height_needed_m` is how far the line would have to rise there for 0.6 of the zone.
    """

    distance_m: float
    ground_amsl_m: float
    clearance_m: float
    fresnel_radius_m: float
    clutter_m: float = 0.0

    @property
    def clearance_ratio(self) -> float:
        return self.clearance_m / self.fresnel_radius_m

    @property
    def height_needed_m(self) -> float:
        return max(0.0, CLEAR_RATIO * self.fresnel_radius_m - self.clearance_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathAssessment:
    """Loss and clearance over one profile; None where the profile has voids.

    `loss_db` is free space plus delta-Bullington at the median effective Earth radius.
    `clutter_m` is what stands on the ground and counts, at each sample; `clutter_db` is the part
    of the diffraction that is due to it.
    """

    profile: Profile
    tx_agl_m: float
    rx_agl_m: float
    frequency_hz: float
    earth_k: float
    low_k: float
    free_space_db: float
    diffraction_db: float | None
    clutter_m: Numbers
    clutter_db: float | None
    worst: WorstPoint | None
    worst_low_k: WorstPoint | None
    void_ranges_m: tuple[tuple[float, float], ...]

    @property
    def loss_db(self) -> float | None:
        return None if self.diffraction_db is None else self.free_space_db + self.diffraction_db

    @property
    def has_clutter(self) -> bool:
        return bool(self.clutter_m.any())

    @property
    def tx_amsl_m(self) -> float:
        return float(self.profile.ground_amsl_m[0]) + self.tx_agl_m

    @property
    def rx_amsl_m(self) -> float:
        return float(self.profile.ground_amsl_m[-1]) + self.rx_agl_m

    @property
    def inside_data_error(self) -> bool:
        """Whether a height error of one standard deviation would change clear into not clear."""
        sd = self.profile.height_sd_m
        if sd is None or self.worst is None:
            return False
        needed = CLEAR_RATIO * self.worst.fresnel_radius_m
        return abs(self.worst.clearance_m - needed) < sd


def line_of_sight_m(path: PathAssessment) -> Numbers:
    """Height of the straight line between the antennas at each sample. [m amsl]"""
    x = path.profile.distance_m / path.profile.length_m
    return path.tx_amsl_m + (path.rx_amsl_m - path.tx_amsl_m) * x


def raised_ground_m(path: PathAssessment, k: float) -> Numbers:
    """Ground lifted by the curvature of the effective Earth at each sample. [m amsl]"""
    d = path.profile.distance_m
    bulge = earth_bulge_m(d, path.profile.length_m - d, effective_radius_m(k))
    return path.profile.ground_amsl_m + bulge


def fresnel_radii_m(path: PathAssessment) -> Numbers:
    """Radius of the first Fresnel zone at each sample, 0 at the ends. [m]"""
    d = path.profile.distance_m
    return np.asarray(fresnel_radius_m(d, path.profile.length_m - d, path.frequency_hz))


def worst_point(
    profile: Profile,
    clutter_m: Numbers,
    tx_agl_m: float,
    rx_agl_m: float,
    frequency_hz: float,
    k: float,
) -> WorstPoint | None:
    """Interior sample with the least clearance in Fresnel radii; None if none has data."""
    d = profile.distance_m[1:-1]
    ground = profile.ground_amsl_m[1:-1]
    if d.size == 0 or np.isnan(ground).all():
        return None
    length = profile.length_m
    tx = profile.ground_amsl_m[0] + tx_agl_m
    rx = profile.ground_amsl_m[-1] + rx_agl_m
    if np.isnan(tx) or np.isnan(rx):
        return None
    line = tx + (rx - tx) * d / length
    raised = ground + clutter_m[1:-1] + earth_bulge_m(d, length - d, effective_radius_m(k))
    radius = np.asarray(fresnel_radius_m(d, length - d, frequency_hz))
    clearance = line - raised
    i = int(np.nanargmin(clearance / radius))
    return WorstPoint(
        distance_m=float(d[i]),
        ground_amsl_m=float(ground[i]),
        clearance_m=float(clearance[i]),
        fresnel_radius_m=float(radius[i]),
        clutter_m=float(clutter_m[i + 1]),
    )


def assess_path(
    profile: Profile,
    tx_agl_m: float,
    rx_agl_m: float,
    frequency_hz: float,
    *,
    earth_k: float = 4 / 3,
    low_k: float = 2 / 3,
    polarisation: str = "vertical",
    bands: Iterable[ClutterBand] = (),
    bare_ends_m: tuple[float, float] = (BARE_END_M, BARE_END_M),
) -> PathAssessment:
    """Loss and clearance between two antennas over a terrain profile.

    Parameters
    ----------
    profile : Profile
        At least two samples; voids make loss and clearance unknown.
    tx_agl_m, rx_agl_m : float
        Antenna heights above ground at the first and last sample. [m]
    frequency_hz : float
        Carrier frequency. [Hz]
    earth_k, low_k : float
        Median effective Earth factor, which the loss uses, and a low one shown beside it.
    polarisation : str
        "vertical" or "horizontal".
    bands : iterable of ClutterBand
        What the planner drew along the way.
    bare_ends_m : (float, float)
        How far from either end nothing on the ground counts. [m]

    Notes
    -----
    What stands on the ground diffracts in the Bullington part; the smooth surface under it stays
    that of the bare ground, as in Rec. ITU-R P.1812.
    """
    clutter = counted_clutter_m(
        profile.distance_m, clutter_on_path_m(profile, bands), *bare_ends_m
    )
    voids = profile.void_ranges_m()

    def diffraction_db(on_ground_m: Numbers) -> float | None:
        if voids:
            return None
        return delta_bullington(
            profile.distance_m,
            profile.ground_amsl_m,
            float(profile.ground_amsl_m[0]) + tx_agl_m,
            float(profile.ground_amsl_m[-1]) + rx_agl_m,
            frequency_hz,
            effective_radius_m(earth_k),
            polarisation=polarisation,
            obstacle_amsl_m=profile.ground_amsl_m + on_ground_m,
        ).loss_db

    def worst(k: float) -> WorstPoint | None:
        if voids:
            return None
        return worst_point(profile, clutter, tx_agl_m, rx_agl_m, frequency_hz, k)

    diffraction = diffraction_db(clutter)
    bare = diffraction_db(np.zeros_like(clutter)) if clutter.any() else diffraction
    return PathAssessment(
        profile=profile,
        tx_agl_m=tx_agl_m,
        rx_agl_m=rx_agl_m,
        frequency_hz=frequency_hz,
        earth_k=earth_k,
        low_k=low_k,
        free_space_db=float(free_space_loss_db(profile.length_m, frequency_hz)),
        diffraction_db=diffraction,
        clutter_m=clutter,
        clutter_db=None if diffraction is None or bare is None else diffraction - bare,
        worst=worst(earth_k),
        worst_low_k=worst(low_k),
        void_ranges_m=voids,
    )
