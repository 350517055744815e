"""A link to prove: both sites, the path between them, the budget in both directions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, degrees

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.earth import effective_radius_m
from guyline.core.network.path import PathAssessment, assess_path
from guyline.core.network.path_clutter import bare_ends_m, clutter_on_path_m
from guyline.core.network.terminal_terms import (
    TerminalTerm,
    clutter_height_m,
    no_terms_because,
    noise_figure_db,
    terminal_terms,
)
from guyline.core.plan import Link, Pattern, Plan, Site, SiteId, Surroundings
from guyline.core.radio import p1812
from guyline.core.radio.antenna import gain_toward_dbi
from guyline.core.radio.feeder import feeder_loss_db, mismatch_loss_db
from guyline.core.radio.link_budget import LinkBudget, Terminal, link_budget
from guyline.core.radio.p1812_path import zones_over
from guyline.core.radio.spread import (
    MarginSpread,
    clutter_spread,
    gain_spread,
    location_spread,
    model_spread,
    sensitivity_spread,
    terrain_spread,
)
from guyline.core.terrain.profile import Profile
from guyline.core.units import Numbers
from guyline.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkAssessment:
    """What is known of a link; None is unknown, and `missing` names what would make it known.

    `azimuth_deg` is the true bearing from `link.from_id`, `back_azimuth_deg` the one back;
    the elevation angles are positive upward, with the curvature of the effective Earth.
    `budget.forward` runs from `link.from_id` to `link.to_id`. `near_terms` and `far_terms` are
    what the surroundings add at either end; `spread` is the weaker direction's margin as a
    distribution; `p1812_loss_db` the basic loss by the complete P.1812 for half of the time,
    without surroundings, to be held against `path.loss_db`.
    """

    link: Link
    distance_m: float | None = None
    azimuth_deg: float | None = None
    back_azimuth_deg: float | None = None
    elevation_deg: float | None = None
    back_elevation_deg: float | None = None
    path: PathAssessment | None = None
    budget: LinkBudget | None = None
    near_terms: tuple[TerminalTerm, ...] = ()
    far_terms: tuple[TerminalTerm, ...] = ()
    spread: MarginSpread | None = None
    p1812_loss_db: float | None = None
    missing: tuple[tuple[SiteId, str], ...] = ()

    @property
    def margin_db(self) -> float | None:
        """Margin of the weaker direction. [dB]"""
        return None if self.budget is None else self.budget.margin_db

    @property
    def probability(self) -> float | None:
        """Probability that the weaker direction works."""
        return None if self.spread is None else self.spread.probability

    @property
    def model_difference_db(self) -> float | None:
        """By how much the complete P.1812 is more lossy than the planner's path loss. [dB]"""
        if self.p1812_loss_db is None or self.path is None or self.path.loss_db is None:
            return None
        return self.p1812_loss_db - self.path.loss_db

    def azimuth_from_deg(self, site_id: SiteId) -> float | None:
        return self.azimuth_deg if site_id == self.link.from_id else self.back_azimuth_deg

    def elevation_from_deg(self, site_id: SiteId) -> float | None:
        return self.elevation_deg if site_id == self.link.from_id else self.back_elevation_deg


def missing_for_budget(plan: Plan, site: Site) -> tuple[str, ...]:
    """Names of the values without which no budget with this site can be made."""
    needed: dict[str, object] = {
        "position": site.position,
        "antenna height": site.antenna_agl_m,
        "transmit power": site.radio.tx_power_dbm,
        "receiver noise figure": site.radio.noise_figure_db,
        "antenna gain": site.antenna.gain_dbi,
        "feeder length": site.feeder.length_m,
    }
    if site.feeder.length_m:
        constants = (site.feeder.k1_db_per_100ft, site.feeder.k2_db_per_100ft)
        needed["feeder type"] = None if None in constants else constants
    directional = site.antenna.pattern in (Pattern.SECTOR, Pattern.YAGI, Pattern.PATCH)
    if directional and len(plan.links_of(site.site_id)) > 1:
        needed["antenna azimuth"] = site.antenna.azimuth_deg
    missing = [name for name, value in needed.items() if value is None]
    if site.antenna_agl_m is not None:
        beyond = no_terms_because(plan, site, plan.radio_profile.frequency_hz)
        missing += [f"loss of the surroundings ({beyond})"] if beyond else []
    return tuple(missing)


def feeder_loss_of(site: Site, frequency_hz: float) -> float | None:
    """Loss between radio and antenna; None where it is unknown. [dB]

    Cable, joints, arrestor, and what a mismatch measured on the bench sends back to the radio:
    seen from a radio that is matched itself, that part is lost whole, whatever the cable.
    """
    feeder = site.feeder
    if feeder.length_m is None:
        return None
    k1, k2 = feeder.k1_db_per_100ft, feeder.k2_db_per_100ft
    if feeder.length_m == 0.0:  # an antenna on the radio: no cable whose kind could matter
        k1, k2 = 0.0, 0.0
    if k1 is None or k2 is None:
        return None
    matched = feeder_loss_db(
        feeder.length_m,
        k1,
        k2,
        frequency_hz,
        joints=feeder.joints,
        has_arrestor=feeder.has_arrestor,
    )
    return float(matched + mismatch_loss_db(max(1.0, site.bench.vswr or 1.0)))


def gain_of(site: Site, azimuth_deg: float, elevation_deg: float) -> float | None:
    """Gain of a site's antenna in a direction; an antenna without azimuth is aimed there. [dBi]"""
    if site.antenna.gain_dbi is None:
        return None
    return float(gains_of(site, azimuth_deg, elevation_deg))


def gains_of(site: Site, azimuth_deg: ArrayLike, elevation_deg: ArrayLike) -> Numbers:
    """Gain of a site's antenna of known gain in many directions, as `gain_of` has it. [dBi]"""
    antenna = site.antenna
    assert antenna.gain_dbi is not None
    toward = np.asarray(azimuth_deg, dtype=float)
    off = np.zeros_like(toward) if antenna.azimuth_deg is None else toward - antenna.azimuth_deg
    return gain_toward_dbi(
        antenna.pattern,
        antenna.gain_dbi,
        elevation_deg,
        azimuth_off_deg=(off + 180.0) % 360.0 - 180.0,
        tilt_deg=antenna.tilt_deg,
        beamwidth_azimuth_deg=antenna.beamwidth_azimuth_deg,
    )


def eirp_dbm(site: Site, frequency_hz: float) -> float | None:
    """Radiated power in the antenna's best direction; None where it is unknown. [dBm EIRP]"""
    loss = feeder_loss_of(site, frequency_hz)
    if loss is None or site.radio.tx_power_dbm is None or site.antenna.gain_dbi is None:
        return None
    return site.radio.tx_power_dbm - loss + site.antenna.gain_dbi


def elevation_deg(distance_m: float, near_amsl_m: float, far_amsl_m: float, k: float) -> float:
    """Elevation of the far antenna seen from the near one, positive up. [degrees]

    tan θ = (Δh - d²/(2 k a)) / d, the form of trade practice with the effective Earth.
    """
    drop = distance_m**2 / (2.0 * effective_radius_m(k))
    return degrees(atan2(far_amsl_m - near_amsl_m - drop, distance_m))


def assess_link(
    plan: Plan,
    link: Link,
    profile: Profile | None,
    distance_m: float | None,
    azimuth_deg: float | None,
    back_azimuth_deg: float | None,
) -> LinkAssessment:
    """Prove a link over the profile from `link.from_id` to `link.to_id`.

    Parameters
    ----------
    profile : Profile or None
        None where an end has no position.
    distance_m, azimuth_deg, back_azimuth_deg : float or None
        Geodesic between both positions. [m], [degrees true]
    """
    ends = near, far = plan.site(link.from_id), plan.site(link.to_id)
    missing = tuple(
        (site.site_id, name) for site in (near, far) for name in missing_for_budget(plan, site)
    )
    known = LinkAssessment(
        link=link,
        distance_m=distance_m,
        azimuth_deg=azimuth_deg,
        back_azimuth_deg=back_azimuth_deg,
        missing=missing,
    )
    if profile is None or near.antenna_agl_m is None or far.antenna_agl_m is None:
        return known
    if profile.length_m < NEAREST_M:
        same = [
            (a.site_id, f"position (the same as {b.site_id}'s)") for a, b in (ends, ends[::-1])
        ]
        return replace(known, missing=(*missing, *same))
    path = path_between(plan, near, far, profile)
    known = replace(known, path=path)
    if (
        path.loss_db is None
        or distance_m is None
        or azimuth_deg is None
        or back_azimuth_deg is None
    ):
        return known
    up = elevation_deg(distance_m, path.tx_amsl_m, path.rx_amsl_m, plan.earth_k)
    back_up = elevation_deg(distance_m, path.rx_amsl_m, path.tx_amsl_m, plan.earth_k)
    known = replace(known, elevation_deg=up, back_elevation_deg=back_up)
    near_end = terminal_of(plan, near, azimuth_deg, up)
    far_end = terminal_of(plan, far, back_azimuth_deg, back_up)
    if missing or near_end is None or far_end is None:
        return known
    frequency = plan.radio_profile.frequency_hz
    near_terms = terminal_terms(plan, near, frequency, up)
    far_terms = terminal_terms(plan, far, frequency, back_up)
    budget = link_budget(
        near_end,
        far_end,
        path.loss_db
        + sum(term.loss_db for term in near_terms + far_terms)
        + polarisation_loss_db(near, far),
        plan.radio_profile.bandwidth_hz,
        plan.radio_profile.spreading_factor,
    )
    return replace(
        known,
        budget=budget,
        near_terms=near_terms,
        far_terms=far_terms,
        spread=_spread(plan, near, far, path, budget.margin_db, near_terms + far_terms),
        p1812_loss_db=_p1812_loss_db(path, near.antenna.polarisation),
    )


def path_between(plan: Plan, near: Site, far: Site, profile: Profile) -> PathAssessment:
    """Loss and clearance between two sites of known antenna height, with what stands on the way.

    Parameters
    ----------
    profile : Profile
        From `near` to `far`.
    """
    assert near.antenna_agl_m is not None
    assert far.antenna_agl_m is not None
    clutter = clutter_on_path_m(profile, plan.clutter)
    return assess_path(
        profile,
        near.antenna_agl_m,
        far.antenna_agl_m,
        plan.radio_profile.frequency_hz,
        earth_k=plan.earth_k,
        polarisation=near.antenna.polarisation,
        bands=plan.clutter,
        bare_ends_m=bare_ends_m(plan, near, far, profile, clutter),
    )


def _spread(
    plan: Plan,
    near: Site,
    far: Site,
    path: PathAssessment,
    margin_db: float,
    terms: tuple[TerminalTerm, ...],
) -> MarginSpread:
    """The margin with everything that makes it unsure."""
    assert path.diffraction_db is not None
    lower = near if path.tx_agl_m <= path.rx_agl_m else far
    spreads = [
        location_spread(
            path.frequency_hz, min(path.tx_agl_m, path.rx_agl_m), clutter_height_m(lower)
        ),
        model_spread(path.diffraction_db),
        gain_spread(),
        sensitivity_spread(),
        *(term.spread for term in terms if term.spread is not None),
    ]
    if path.profile.height_sd_m is not None:
        spreads.append(
            terrain_spread(
                path.profile.distance_m,
                path.profile.ground_amsl_m,
                path.tx_amsl_m,
                path.rx_amsl_m,
                path.frequency_hz,
                path.profile.height_sd_m,
                effective_radius_m(path.earth_k),
                clutter_m=path.clutter_m,
            )
        )
    if Surroundings.UNKNOWN in (near.surroundings, far.surroundings):
        spreads.append(clutter_spread())
    return MarginSpread(nominal_db=margin_db, spreads=tuple(spreads))


NEAREST_M = 1.0  # our choice: nearer, two antennas stand in one place and in their near fields
SHORTEST_P1812_M = 250.0  # Rec. ITU-R P.1812: a path is a quarter of a kilometre or longer


def _p1812_loss_db(path: PathAssessment, polarisation: str) -> float | None:
    """Loss by the complete P.1812; None where the path is outside of what it holds for. [dB]"""
    profile = path.profile
    if profile.length_m < SHORTEST_P1812_M:
        return None
    try:
        return p1812.basic_loss_db(
            profile.distance_m,
            profile.ground_amsl_m,
            path.clutter_m,
            zones_over(profile.distance_m / 1e3, profile.ground_amsl_m),
            path.tx_agl_m,
            path.rx_agl_m,
            path.frequency_hz,
            50.0,
            polarisation=polarisation,
            delta_n=157.0 * (1.0 - 1.0 / path.earth_k),  # k = 157 / (157 - delta N)
            latitude_deg=float(profile.lat_deg[len(profile.lat_deg) // 2]),
        )
    except InputError:  # four samples, an antenna on the ground, an Earth of k below 1
        return None


CROSS_POLAR_LOSS_DB = 15.0  # 10 to 15 dB in practice, 20 in theory; common practice, no source


def polarisation_loss_db(near: Site, far: Site) -> float:
    """Loss between antennas of different polarisation, 0 where they agree. [dB]"""
    same = near.antenna.polarisation is far.antenna.polarisation
    return 0.0 if same else CROSS_POLAR_LOSS_DB


def terminal_of(plan: Plan, site: Site, azimuth_deg: float, up_deg: float) -> Terminal | None:
    """A site as one end of a budget, its antenna's gain in a direction; None if unknown."""
    loss = feeder_loss_of(site, plan.radio_profile.frequency_hz)
    gain = gain_of(site, azimuth_deg, up_deg)
    if loss is None or gain is None:
        return None
    power = site.radio.tx_power_dbm
    noise = noise_figure_db(site, plan.radio_profile.frequency_hz, loss)
    if power is None or noise is None:
        return None
    return Terminal(
        tx_power_dbm=power, feeder_loss_db=loss, antenna_gain_dbi=gain, noise_figure_db=noise
    )
