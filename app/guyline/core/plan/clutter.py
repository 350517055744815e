"""What the planner knows to stand on the ground along a path."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan.surroundings import Surroundings


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutterBand:
    """A wood or a row of houses: a strip of ground about the line between two places.

    It reaches `half_width_m` to either side of the line and beyond its ends. Without a
    `height_m` what stands there has the usual height of its kind. Where it lies over the
    land-cover map, the band counts and not the map.
    """

    from_lat_deg: float
    from_lon_deg: float
    to_lat_deg: float
    to_lon_deg: float
    half_width_m: float = 50.0
    kind: Surroundings = Surroundings.WOODLAND
    height_m: float | None = None
    note: str = ""
