"""A link to prove: both sites, the path between them, the budget in both directions."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.network.path import PathAssessment
from guyline.core.plan import Link, SiteId
from guyline.core.radio.link_budget import LinkBudget


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinkAssessment:
    """What is known of a link; None is unknown, and `missing` names what would make it known.

    `azimuth_deg` is the true bearing from `link.from_id`, `back_azimuth_deg` the one back;
    the elevation angles are positive upward, with the curvature of the effective Earth.
    `budget.forward` runs from `link.from_id` to `link.to_id`.
    """

    link: Link
    distance_m: float | None = None
    azimuth_deg: float | None = None
    back_azimuth_deg: float | None = None
    elevation_deg: float | None = None
    back_elevation_deg: float | None = None
    path: PathAssessment | None = None
    budget: LinkBudget | None = None
    missing: tuple[tuple[SiteId, str], ...] = ()

    @property
    def margin_db(self) -> float | None:
        """Margin of the weaker direction. [dB]"""
        return None if self.budget is None else self.budget.margin_db

    def azimuth_from_deg(self, site_id: SiteId) -> float | None:
        return self.azimuth_deg if site_id == self.link.from_id else self.back_azimuth_deg

    def elevation_from_deg(self, site_id: SiteId) -> float | None:
        return self.elevation_deg if site_id == self.link.from_id else self.back_elevation_deg
