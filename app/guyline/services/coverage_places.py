"""Who that needs service has it, by place: the figures that window, paper and commands print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from guyline.core.network.coverage import Coverage
from guyline.core.network.coverage_directions import WayOffsets, way_offsets
from guyline.core.plan import Place, Plan, SiteId
from guyline.services.geodesy import LocalFrame


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceServed:
    """What a place that needs service gets from its best server; None where unknown.

    `is_served` asks for as many servers as the place wants. `out_db` is the margin from the
    site to the handheld, `back_db` the other way, `margin_db` the weaker of the two.
    """

    place: Place
    margin_db: float | None = None
    out_db: float | None = None
    back_db: float | None = None
    received_dbm: float | None = None
    probability: float | None = None
    servers: int = 0
    best: SiteId | None = None
    is_served: bool | None = None

    @property
    def state(self) -> str:
        """How the place stands, in words."""
        wanted = self.place.servers_wanted
        if self.is_served is None:
            return "unknown"
        if self.is_served:
            return "served"
        if 0 < self.servers < wanted:
            return f"served by {self.servers} of {wanted} wanted"
        return "in shadow"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How much of what needs service has it.

    `people` counts only places where somebody counted them; `weight` is a place's weight times
    its people, or its weight alone where nobody counted them.
    """

    needs: int
    needs_served: int
    people: int
    people_served: int
    weight: float
    weight_served: float

    @property
    def share(self) -> float | None:
        """Weight served of all weight, None where nothing needs service."""
        return self.weight_served / self.weight if self.weight else None

    @property
    def _weighs_otherwise(self) -> bool:
        """Whether the weights say something that the people do not."""
        return (self.weight, self.weight_served) != (self.people, self.people_served)

    @property
    def words(self) -> str:
        """The figures in one line, "" where nothing needs service."""
        if not self.needs:
            return ""
        parts = [f"{self.needs_served} of {self.needs} places"]
        if self.people:
            parts.append(f"{self.people_served:,} of {self.people:,} people".replace(",", " "))
        if self.share is not None and self._weighs_otherwise:
            parts.append(f"{self.share:.0%} by weight".replace("%", " %"))
        return ", ".join(parts)


def tally_of(places: Sequence[PlaceServed]) -> Tally:
    served = [known for known in places if known.is_served is True]
    return Tally(
        needs=len(places),
        needs_served=len(served),
        people=_people(places),
        people_served=_people(served),
        weight=sum(map(_weight, places)),
        weight_served=sum(map(_weight, served)),
    )


def uncovered(places: Sequence[PlaceServed]) -> tuple[PlaceServed, ...]:
    """The places without the service they want, those with the most people first."""
    lacking = [known for known in places if known.is_served is not True]
    return tuple(sorted(lacking, key=lambda known: -_weight(known)))


def _people(places: Sequence[PlaceServed]) -> int:
    return sum(known.place.people or 0 for known in places)


def _weight(known: PlaceServed) -> float:
    people = known.place.people
    return known.place.weight * (1 if people is None else people)


def places_served(plan: Plan, coverage: Coverage) -> tuple[PlaceServed, ...]:
    """Every place of the plan with what its cell gets."""
    frame = LocalFrame(coverage.grid.lat0_deg, coverage.grid.lon0_deg)
    ways = way_offsets(plan, coverage)
    return tuple(_served(coverage, ways, frame, place) for place in plan.places)


def _served(coverage: Coverage, ways: WayOffsets, frame: LocalFrame, place: Place) -> PlaceServed:
    x, y = frame.to_xy(place.lat_deg, place.lon_deg)
    return served_at(coverage, ways, float(x), float(y), place)


def served_at(
    coverage: Coverage, ways: WayOffsets, x_m: float, y_m: float, place: Place
) -> PlaceServed:
    """What a place gets that lies at a point of the grid's frame."""
    cell = coverage.cell_of(x_m, y_m)
    if cell is None or np.isnan(coverage.margin_db[cell]):
        return PlaceServed(place=place)
    margin, server = float(coverage.margin_db[cell]), int(coverage.server[cell])
    out = margin + float(ways.out_db[server])
    servers = int(coverage.servers[cell])
    return PlaceServed(
        place=place,
        margin_db=margin,
        out_db=out,
        back_db=margin + float(ways.back_db[server]),
        received_dbm=out + ways.sensitivity_dbm,
        probability=float(coverage.probability[cell]),
        servers=servers,
        best=coverage.site_ids[server],
        is_served=servers >= max(place.servers_wanted, 1),
    )
