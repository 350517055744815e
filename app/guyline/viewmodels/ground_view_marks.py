"""Sites, links and places as they are drawn on the map, in metres of the local frame."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Link, Place, Plan, Site, SiteFunction, SiteId
from guyline.core.readiness.finding import Verdict


class LinkState(Enum):
    """How a link stands to the margin the plan asks for."""

    KEPT = "kept"
    BELOW = "below"
    UNKNOWN = "unknown"


DRAWN_LAST = (LinkState.KEPT, LinkState.UNKNOWN, LinkState.BELOW)  # what is wrong lies on top


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteMark:
    """A site as drawn; `verdict` is None until it has been assessed."""

    site_id: SiteId
    name: str
    function: SiteFunction
    x_m: float
    y_m: float
    verdict: Verdict | None

    @property
    def label(self) -> str:
        return self.site_id if self.verdict is None else f"{self.site_id} {self.verdict}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkLine:
    """A link as drawn between its ends. [m]."""

    link: Link
    x1_m: float
    y1_m: float
    x2_m: float
    y2_m: float
    state: LinkState
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceMark:
    """A place that needs service as drawn; `is_served` is None where nobody has looked."""

    name: str
    x_m: float
    y_m: float
    is_served: bool | None = None
    people: int | None = None
    weight: float = 1.0

    @property
    def label(self) -> str:
        """Name with what it counts for."""
        parts = [self.name]
        if self.people is not None:
            parts.append(f"{self.people:,}".replace(",", "\u2009"))
        if self.weight != 1.0:
            parts.append(f"×{self.weight:g}")
        return " · ".join(parts)


def place_mark(place: Place, at: tuple[float, float], *, is_served: bool | None) -> PlaceMark:
    return PlaceMark(
        name=place.name,
        x_m=at[0],
        y_m=at[1],
        is_served=is_served,
        people=place.people,
        weight=place.weight,
    )


def site_mark(site: Site, at: tuple[float, float], verdict: Verdict | None) -> SiteMark:
    return SiteMark(
        site_id=site.site_id,
        name=site.name,
        function=site.function,
        x_m=at[0],
        y_m=at[1],
        verdict=verdict,
    )


def link_line(
    plan: Plan,
    link: Link,
    placed: dict[SiteId, tuple[float, float]],
    known: LinkAssessment | None,
) -> LinkLine:
    margin = None if known is None else known.margin_db
    state = LinkState.UNKNOWN
    if margin is not None:
        kept = margin >= plan.radio_profile.required_margin_db
        state = LinkState.KEPT if kept else LinkState.BELOW
    (x1, y1), (x2, y2) = placed[link.from_id], placed[link.to_id]
    return LinkLine(
        link=link,
        x1_m=x1,
        y1_m=y1,
        x2_m=x2,
        y2_m=y2,
        state=state,
        label="margin unknown" if margin is None else f"{margin:.0f} dB",
    )
