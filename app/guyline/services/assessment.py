"""Puts terrain, sun and plan together into the assessment of a whole plan."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace
from typing import TypeVar

import numpy as np

from guyline.core.network.link import LinkAssessment, assess_link
from guyline.core.network.path import PathAssessment, assess_path
from guyline.core.plan import Antenna, Link, Plan, Position, Site
from guyline.core.power.sizing import SizingChart
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.hazard_checks import AreaLook
from guyline.core.readiness.site_verdict import assess_site, combine
from guyline.core.terrain.profile import Profile
from guyline.errors import InputError
from guyline.services.catalogues import Catalogues, shipped_catalogues
from guyline.services.elevation import Terrain
from guyline.services.geodesy import Geodesic, inverse
from guyline.services.job import Job
from guyline.services.map_layers import MapLayers
from guyline.services.panel_horizon import panel_horizon
from guyline.services.prices import price_list
from guyline.services.site_power import SitePower

T = TypeVar("T")
_MOST_REMEMBERED = 4000


class _Memory:
    """Remembers results by their inputs; forgets all when it has grown too large."""

    def __init__(self) -> None:
        self._known: dict[Hashable, object] = {}

    def recall(self, key: Hashable, make: Callable[[], T]) -> T:
        if key not in self._known:
            if len(self._known) >= _MOST_REMEMBERED:
                self._known.clear()
            self._known[key] = make()
        return self._known[key]  # type: ignore[return-value]  # stored by the same key as T


class Assessor:
    """Assesses plans over one terrain; remembers profiles and sun, so a change costs little."""

    def __init__(
        self,
        terrain: Terrain,
        site_power: SitePower | None = None,
        catalogues: Catalogues | None = None,
        layers: MapLayers | None = None,
    ) -> None:
        self.terrain = self._terrain = terrain
        self.layers = layers or MapLayers()
        self._looks = _Memory()
        self._given_catalogues = catalogues
        self._site_power = site_power or SitePower(lambda: price_list(self._catalogues))
        self._profiles = _Memory()
        self._heights = _Memory()
        self._horizons = _Memory()

    @property
    def _catalogues(self) -> Catalogues:
        return self._given_catalogues or shipped_catalogues()

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        """Assess every link, then every site, then the whole.

        Raises
        ------
        JobCancelled
            Somebody asked `job` to stop.
        """
        job = job or Job()
        links = [self.link(plan, link) for link in job.track(plan.links, "Proving links")]
        sites = [
            self._site(plan, site, links, job) for site in job.track(plan.sites, "Judging sites")
        ]
        return combine(plan, sites, links)

    def link(self, plan: Plan, link: Link) -> LinkAssessment:
        near, far = plan.site(link.from_id).position, plan.site(link.to_id).position
        if near is None or far is None:
            return assess_link(plan, link, None, None, None, None)
        line = self._geodesic(near, far)
        bearings = (line.distance_m, line.azimuth_deg, line.back_azimuth_deg)
        try:
            profile = self.profile(near.lat_deg, near.lon_deg, far.lat_deg, far.lon_deg)
        except InputError as error:  # half round the world, by a sign that is wrong
            known = assess_link(plan, link, None, *bearings)
            reason = f"ground on the way ({str(error).rstrip('.')})"
            return replace(known, missing=(*known.missing, (link.from_id, reason)))
        return assess_link(plan, link, profile, *bearings)

    def path(
        self,
        plan: Plan,
        lat1_deg: float,
        lon1_deg: float,
        antenna1_agl_m: float,
        lat2_deg: float,
        lon2_deg: float,
        antenna2_agl_m: float,
    ) -> PathAssessment:
        """Loss and clearance between any two points, sites or not."""
        return assess_path(
            self.profile(lat1_deg, lon1_deg, lat2_deg, lon2_deg),
            antenna1_agl_m,
            antenna2_agl_m,
            plan.radio_profile.frequency_hz,
            earth_k=plan.earth_k,
            bands=plan.clutter,
        )

    def profile(
        self, lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float
    ) -> Profile:
        """Terrain profile between two points, remembered."""
        ends = (lat1_deg, lon1_deg, lat2_deg, lon2_deg)
        return self._profiles.recall(ends, lambda: self._terrain.profile(*ends))

    def ground_amsl_m(self, position: Position | None) -> float | None:
        """Height of the terrain data at a position, None where it has none. [m amsl]"""
        if position is None:
            return None
        place = (position.lat_deg, position.lon_deg)
        height = self._heights.recall(place, lambda: float(self._terrain.height_amsl_m(*place)))
        return None if np.isnan(height) else height

    def panel_horizon(self, site: Site) -> tuple[float, ...] | None:
        """Horizon round the site's panel at equal steps of azimuth, None without one, in °."""
        position = site.position
        if position is None or site.power.panel is None:
            return None
        place = (position.lat_deg, position.lon_deg)
        return self._horizons.recall(place, lambda: panel_horizon(self._terrain, position))

    def forget_power(self) -> None:
        """Work out the power of every site anew, as after a climate was fetched."""
        self._site_power.forget()

    def sizing_chart(self, plan: Plan, site: Site, job: Job | None = None) -> SizingChart | None:
        """Panel against battery at the reliability the site needs; None without a solar site."""
        ground = self.ground_amsl_m(site.position)
        return self._site_power.sizing_chart(
            plan,
            site,
            site.ground_amsl_m if ground is None else ground,
            self.panel_horizon(site),
            job,
        )

    def _geodesic(self, near: Position, far: Position) -> Geodesic:
        return inverse(near.lat_deg, near.lon_deg, far.lat_deg, far.lon_deg)

    def _site(
        self, plan: Plan, site: Site, links: list[LinkAssessment], job: Job
    ) -> SiteAssessment:
        ground = self.ground_amsl_m(site.position)
        return assess_site(
            plan,
            site,
            [link for link in links if site.site_id in link.link.ends],
            self._site_power.assess(
                plan,
                site,
                site.ground_amsl_m if ground is None else ground,
                self.panel_horizon(site),
                job,
            ),
            ground,
            self._antennas(plan.radio_profile.frequency_hz),
            self._areas(plan, site.position),
        )

    def _areas(self, plan: Plan, position: Position | None) -> tuple[AreaLook, ...]:
        layers = plan.map_layers
        if not layers:
            return ()
        return self._looks.recall((layers, position), lambda: self.layers.looks(layers, position))

    def _antennas(self, frequency_hz: float) -> Mapping[str, Antenna]:
        rows = self._catalogues.antennas_for(frequency_hz).values()
        return {row.name: row.to_antenna() for row in rows}
