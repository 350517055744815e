"""What a typed position may mean, told before it is accepted."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Plan, SiteId
from guyline.services.coordinates import Candidate, Doubt, DoubtCode, doubts, read_coordinates
from guyline.services.elevation import Terrain
from guyline.services.geodesy import (
    decimal_degrees,
    degrees_minutes,
    degrees_minutes_seconds,
    mgrs,
    utm,
)

_MOST_MEANINGS = 4
_ENTRY_DECIMALS = 7  # 1 cm


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """One place that a text may mean, with what speaks against it."""

    candidate: Candidate
    doubts: tuple[Doubt, ...] = ()

    @property
    def place(self) -> tuple[float, float]:
        return self.candidate.lat_deg, self.candidate.lon_deg

    @property
    def is_plain(self) -> bool:
        """Whether nothing speaks against it; that a site is moved may well be what is wanted."""
        return all(doubt.code is DoubtCode.MOVED for doubt in self.doubts)

    @property
    def echoes(self) -> tuple[str, ...]:
        """The place in every notation that it has, to be read back."""
        lat, lon = self.place
        written = (
            decimal_degrees(lat, lon),
            degrees_minutes(lat, lon),
            degrees_minutes_seconds(lat, lon),
            f"UTM {utm(lat, lon)}" if utm(lat, lon) else "",
            f"MGRS {mgrs(lat, lon)}",
        )
        return tuple(text for text in written if text)

    @property
    def entry(self) -> str:
        """The place as a text with one meaning only."""
        return decimal_degrees(*self.place, decimals=_ENTRY_DECIMALS)


def meanings(
    text: str, plan: Plan, terrain: Terrain | None, site_id: SiteId | None
) -> tuple[Meaning, ...]:
    """Return what a text may mean as the position of a site, the likeliest first.

    Raises
    ------
    InputError
        It is no position.
    """
    return tuple(
        Meaning(
            candidate=found,
            doubts=doubts(
                found.lat_deg,
                found.lon_deg,
                plan=plan,
                terrain=terrain,
                stated_amsl_m=found.height_m,
                resolution_m=found.resolution_m,
                site_id=site_id,
            ),
        )
        for found in read_coordinates(text)[:_MOST_MEANINGS]
    )
