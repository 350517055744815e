"""Which sites hear which: the margin between every two sites of a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from guyline.core.earth import effective_radius_m
from guyline.core.network.link import (
    CROSS_POLAR_LOSS_DB,
    feeder_loss_of,
    gains_of,
    missing_for_budget,
)
from guyline.core.network.path_clutter import bare_ends_m, clutter_on_path_m, counted_clutter_m
from guyline.core.network.terminal_terms import (
    clutter_height_m,
    noise_figure_db,
    roof_loss_db,
    terminal_terms,
)
from guyline.core.plan import Plan, Site, SiteId, Surroundings
from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.link_budget import required_snr_db, sensitivity_dbm
from guyline.core.radio.many_paths import diffraction_losses_db
from guyline.core.radio.spread import (
    clutter_spread,
    gain_spread,
    location_spread,
    model_sd_db,
    sensitivity_spread,
)
from guyline.core.terrain.profile import Profiles
from guyline.core.units import Numbers


@dataclass(frozen=True, eq=False, kw_only=True)
class LinkMatrix:
    """Margin and probability between every two sites, both symmetric.

    Attributes
    ----------
    site_ids : tuple of SiteId
        Sites of rows and columns.
    margin_db : array (N, N)
        Margin of the weaker direction, NaN where unknown, beyond the range, and on the
        diagonal. [dB]
    sd_db : array (N, N)
        Standard deviation of the margin, NaN where the margin is. [dB]
    required_db : float
        Margin from which two sites hear each other. [dB]
    """

    site_ids: tuple[SiteId, ...]
    margin_db: Numbers
    sd_db: Numbers
    required_db: float

    @property
    def hears(self) -> NDArray[np.bool_]:
        """Pairs that keep the required margin; unknown is no."""
        return np.asarray(self.margin_db >= self.required_db)

    @property
    def probability(self) -> Numbers:
        """Probability that each pair's link works, NaN where unknown."""
        from scipy.special import ndtr  # here, because a start must not wait for it

        return np.asarray(ndtr(self.margin_db / self.sd_db))

    def pairs(self) -> tuple[tuple[SiteId, SiteId, float], ...]:
        """Pairs that hear each other with their margin, strongest first."""
        rows, cols = np.nonzero(np.triu(self.hears))
        found = [
            (self.site_ids[i], self.site_ids[j], float(self.margin_db[i, j]))
            for i, j in zip(rows, cols, strict=True)
        ]
        return tuple(sorted(found, key=lambda pair: -pair[2]))


def can_be_judged(plan: Plan, site: Site) -> bool:
    """Whether everything is known that a budget with this site needs."""
    return not missing_for_budget(plan, site)


@dataclass(frozen=True, eq=False, kw_only=True)
class Pairs:
    """Pairs of a plan's sites, each of which can be judged.

    Attributes
    ----------
    near, far : int array (P,)
        Places of both sites in `plan.sites`.
    length_m : array (P,)
        Geodesic distance. [m]
    azimuth_deg, back_azimuth_deg : array (P,)
        True bearing from near to far and back. [degrees]
    """

    near: NDArray[np.int64]
    far: NDArray[np.int64]
    length_m: Numbers
    azimuth_deg: Numbers
    back_azimuth_deg: Numbers

    def __len__(self) -> int:
        return len(self.near)

    def __getitem__(self, part: slice | NDArray[np.bool_]) -> Pairs:
        return Pairs(
            near=self.near[part],
            far=self.far[part],
            length_m=self.length_m[part],
            azimuth_deg=self.azimuth_deg[part],
            back_azimuth_deg=self.back_azimuth_deg[part],
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class PairPaths:
    """What the ground between does to each of P pairs: ground at both ends, and diffraction."""

    near_amsl_m: Numbers
    far_amsl_m: Numbers
    diffraction_db: Numbers

    @classmethod
    def joined(cls, parts: Sequence[PairPaths]) -> PairPaths:
        def column(name: str) -> Numbers:
            return np.concatenate([getattr(part, name) for part in parts] or [np.empty(0)])

        return cls(**{field.name: column(field.name) for field in fields(cls)})


def pair_paths(plan: Plan, pairs: Pairs, ground: Profiles) -> PairPaths:
    """Diffraction of each pair over its profile, which runs from near to far; NaN over voids."""
    agl_m = np.array([s.antenna_agl_m for s in plan.sites], dtype=float)
    polarisation = [str(s.antenna.polarisation) for s in plan.sites]
    return PairPaths(
        near_amsl_m=ground.ground_amsl_m[ground.starts[:-1]],
        far_amsl_m=ground.ground_amsl_m[ground.starts[1:] - 1],
        diffraction_db=diffraction_losses_db(
            ground.starts,
            ground.distance_m,
            ground.ground_amsl_m,
            agl_m[pairs.near],
            agl_m[pairs.far],
            plan.radio_profile.frequency_hz,
            effective_radius_m(plan.earth_k),
            polarisations=[polarisation[n] for n in pairs.near],
            obstacle_amsl_m=_obstacles_amsl_m(plan, pairs, ground),
        ),
    )


def _obstacles_amsl_m(plan: Plan, pairs: Pairs, ground: Profiles) -> Numbers | None:
    """Ground with what stands on it and counts, None where nothing does."""
    if not plan.clutter and not ground.clutter_m.any():
        return None
    tops = ground.ground_amsl_m.copy()
    for k, (near, far) in enumerate(zip(pairs.near, pairs.far, strict=True)):
        profile = ground[k]
        clutter = clutter_on_path_m(profile, plan.clutter)
        if clutter.any():
            bare = bare_ends_m(plan, plan.sites[near], plan.sites[far], profile, clutter)
            tops[ground.starts[k] : ground.starts[k + 1]] += counted_clutter_m(
                profile.distance_m, clutter, *bare
            )
    return tops


def pair_margins(plan: Plan, pairs: Pairs, paths: PairPaths) -> tuple[Numbers, Numbers]:
    """Margin of the weaker direction of each pair and its standard deviation.

    Returns
    -------
    margin_db, sd_db : array (P,)
        As the link job has them, less the spread from the terrain data's error, which costs
        more than all the rest; NaN over voids.
    """
    near, far, length = pairs.near, pairs.far, pairs.length_m
    ends = _Ends.of(plan)
    rise = paths.far_amsl_m + ends.agl_m[far] - paths.near_amsl_m - ends.agl_m[near]
    drop = length**2 / (2.0 * effective_radius_m(plan.earth_k))
    up = np.degrees(np.arctan2(rise - drop, length))
    back_up = np.degrees(np.arctan2(-rise - drop, length))
    crossed = ends.polarisation[near] != ends.polarisation[far]
    shared = (
        _gain_less_roof_db(plan, near, pairs.azimuth_deg, up)
        + _gain_less_roof_db(plan, far, pairs.back_azimuth_deg, back_up)
        - (ends.loss_db[near] + ends.loss_db[far])
        - free_space_loss_db(length, plan.radio_profile.frequency_hz)
        - paths.diffraction_db
        - CROSS_POLAR_LOSS_DB * crossed
    )
    weaker = np.minimum(
        ends.power_dbm[near] - ends.sensitivity_dbm[far],
        ends.power_dbm[far] - ends.sensitivity_dbm[near],
    )
    lower = np.where(ends.agl_m[near] <= ends.agl_m[far], near, far)
    variance = (
        ends.location_sd_db[lower] ** 2
        + model_sd_db(paths.diffraction_db) ** 2
        + gain_spread().sd_db ** 2
        + sensitivity_spread().sd_db ** 2
        + ends.variance_db2[near]
        + ends.variance_db2[far]
        + clutter_spread().sd_db ** 2 * (ends.is_unknown[near] | ends.is_unknown[far])
    )
    margin = weaker + shared - ends.shift_db[near] - ends.shift_db[far]
    return margin, np.sqrt(variance)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Ends:
    """What a budget takes from each site of a plan wherever the other end is; NaN if unknown."""

    agl_m: Numbers
    power_dbm: Numbers
    sensitivity_dbm: Numbers
    loss_db: Numbers
    """Feeder and what stands around the antenna, without a roof."""
    shift_db: Numbers
    variance_db2: Numbers
    location_sd_db: Numbers
    is_unknown: NDArray[np.bool_]
    polarisation: NDArray[np.str_]

    @classmethod
    def of(cls, plan: Plan) -> _Ends:
        columns = [_end_values(plan, site) for site in plan.sites]
        values = np.array(columns, dtype=float).reshape(-1, 7).T
        return cls(
            agl_m=values[0],
            power_dbm=values[1],
            sensitivity_dbm=values[2],
            loss_db=values[3],
            shift_db=values[4],
            variance_db2=values[5],
            location_sd_db=values[6],
            is_unknown=np.array([s.surroundings is Surroundings.UNKNOWN for s in plan.sites]),
            polarisation=np.array([str(s.antenna.polarisation) for s in plan.sites]),
        )


def _end_values(plan: Plan, site: Site) -> tuple[float, ...]:
    """Values of one site, in the order of the fields of `_Ends`."""
    if not can_be_judged(plan, site):
        return (float("nan"),) * 7
    radio, frequency = plan.radio_profile, plan.radio_profile.frequency_hz
    feeder, agl, power = (
        feeder_loss_of(site, frequency),
        site.antenna_agl_m,
        site.radio.tx_power_dbm,
    )
    assert feeder is not None
    assert agl is not None
    assert power is not None
    noise = noise_figure_db(site, frequency, feeder)
    assert noise is not None
    terms = terminal_terms(plan, site, frequency, 0.0)
    spreads = [term.spread for term in terms if term.spread is not None]
    roof = float(roof_loss_db(site.roof, frequency, 0.0))
    snr = required_snr_db(radio.spreading_factor)
    return (
        agl,
        power,
        sensitivity_dbm(radio.bandwidth_hz, noise, snr),
        feeder + sum(term.loss_db for term in terms) - roof,
        sum(spread.shift_db for spread in spreads),
        sum(spread.sd_db**2 for spread in spreads),
        location_spread(frequency, agl, clutter_height_m(site)).sd_db,
    )


def _gain_less_roof_db(
    plan: Plan, places: NDArray[np.int64], azimuth_deg: Numbers, up_deg: Numbers
) -> Numbers:
    """Gain of each pair's site toward the other, less what its roof takes at that elevation."""
    found = np.full(len(places), np.nan)
    for place in np.unique(places):
        here = np.flatnonzero(places == place)
        site = plan.sites[place]
        roof = roof_loss_db(site.roof, plan.radio_profile.frequency_hz, up_deg[here])
        found[here] = gains_of(site, azimuth_deg[here], up_deg[here]) - roof
    return found
