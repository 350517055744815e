"""Which sites hear which: the margin between every two sites of a plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guyline.core.network.link import (
    elevation_deg,
    missing_for_budget,
    path_between,
    polarisation_loss_db,
    terminal_of,
)
from guyline.core.network.terminal_terms import clutter_height_m, terminal_terms
from guyline.core.plan import Plan, Site, SiteId
from guyline.core.radio.link_budget import link_budget
from guyline.core.radio.spread import (
    MarginSpread,
    gain_spread,
    location_spread,
    model_spread,
    sensitivity_spread,
)
from guyline.core.terrain.profile import Profile
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


def pair_margin(
    plan: Plan,
    near: Site,
    far: Site,
    profile: Profile,
    azimuth_deg: float,
    back_azimuth_deg: float,
) -> tuple[float, float]:
    """Margin of the weaker direction between two sites and its standard deviation.

    Parameters
    ----------
    profile : Profile
        From `near` to `far`; voids make the answer NaN.

    Returns
    -------
    margin_db, sd_db : float
        As the link job has them, less the spread from the terrain data's error, which costs
        more than all the rest.
    """
    unknown = (float("nan"), float("nan"))
    if near.antenna_agl_m is None or far.antenna_agl_m is None:
        return unknown
    frequency = plan.radio_profile.frequency_hz
    path = path_between(plan, near, far, profile)
    if path.loss_db is None or path.diffraction_db is None:
        return unknown
    length = profile.length_m
    up = elevation_deg(length, path.tx_amsl_m, path.rx_amsl_m, plan.earth_k)
    back_up = elevation_deg(length, path.rx_amsl_m, path.tx_amsl_m, plan.earth_k)
    near_end = terminal_of(plan, near, azimuth_deg, up)
    far_end = terminal_of(plan, far, back_azimuth_deg, back_up)
    if near_end is None or far_end is None:
        return unknown
    terms = terminal_terms(plan, near, frequency, up) + terminal_terms(
        plan, far, frequency, back_up
    )
    budget = link_budget(
        near_end,
        far_end,
        path.loss_db + sum(term.loss_db for term in terms) + polarisation_loss_db(near, far),
        plan.radio_profile.bandwidth_hz,
        plan.radio_profile.spreading_factor,
    )
    lower = near if near.antenna_agl_m <= far.antenna_agl_m else far
    spreads = (
        location_spread(
            frequency, min(near.antenna_agl_m, far.antenna_agl_m), clutter_height_m(lower)
        ),
        model_spread(path.diffraction_db),
        gain_spread(),
        sensitivity_spread(),
        *(term.spread for term in terms if term.spread is not None),
    )
    margin = MarginSpread(nominal_db=budget.margin_db, spreads=spreads)
    return margin.mean_db, margin.sd_db
