"""Every two sites of a plan over its terrain: hundreds of sites in seconds."""

from __future__ import annotations

import numpy as np

from guyline.core.network.link_matrix import (
    LinkMatrix,
    PairPaths,
    Pairs,
    can_be_judged,
    pair_margins,
    pair_paths,
)
from guyline.core.plan import Plan
from guyline.core.units import Numbers
from guyline.services.elevation import Terrain
from guyline.services.geodesy import inverses
from guyline.services.job import Job

RANGE_M = 100_000.0  # our choice: low-power links over land end well before
COARSEST_STEP_M = 90.0  # delta-Bullington errs by 0.7 dB rms at 90 m and by 3.6 dB at 250 m
PAIRS_AT_ONCE = 256  # some hundred thousand samples, which fit a cache


def link_matrix(
    plan: Plan, terrain: Terrain, *, range_m: float = RANGE_M, job: Job | None = None
) -> LinkMatrix:
    """Margin and probability between every two sites that lie within a range.

    Notes
    -----
    Samples no wider than 90 m, so that the path loss errs by less than a decibel; the links
    to prove are sampled at the pitch of the data.
    """
    job = job or Job()
    pairs = _pairs_within(plan, range_m)
    lat, lon = _positions_deg(plan)
    parts = []
    for begin in job.track(range(0, len(pairs), PAIRS_AT_ONCE), "Trying every pair of sites"):
        some = pairs[begin : begin + PAIRS_AT_ONCE]
        ground = terrain.profiles(
            lat[some.near], lon[some.near], lat[some.far], lon[some.far], COARSEST_STEP_M
        )
        parts.append(pair_paths(plan, some, ground))
    found = pair_margins(plan, pairs, PairPaths.joined(parts))
    count = len(plan.sites)
    margin, sd = np.full((count, count), np.nan), np.full((count, count), np.nan)
    for square, values in zip((margin, sd), found, strict=True):
        square[pairs.near, pairs.far] = square[pairs.far, pairs.near] = values
    return LinkMatrix(
        site_ids=tuple(site.site_id for site in plan.sites),
        margin_db=margin,
        sd_db=sd,
        required_db=plan.radio_profile.required_margin_db,
    )


def _pairs_within(plan: Plan, range_m: float) -> Pairs:
    """Every two sites that can be judged and lie apart, but no farther than the range."""
    able = np.array(
        [n for n, s in enumerate(plan.sites) if can_be_judged(plan, s)], dtype=np.int64
    )
    first, second = np.triu_indices(len(able), 1)
    near, far = able[first], able[second]
    lat, lon = _positions_deg(plan)
    length, azimuth, back = inverses(lat[near], lon[near], lat[far], lon[far])
    every = Pairs(near=near, far=far, length_m=length, azimuth_deg=azimuth, back_azimuth_deg=back)
    return every[(length > 0.0) & (length <= range_m)]


def _positions_deg(plan: Plan) -> tuple[Numbers, Numbers]:
    """Latitude and longitude of every site, NaN where it has no position."""
    places = [
        (s.position.lat_deg, s.position.lon_deg) if s.position else (np.nan, np.nan)
        for s in plan.sites
    ]
    lat, lon = np.array(places, dtype=float).reshape(-1, 2).T
    return lat, lon
