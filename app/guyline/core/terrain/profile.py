"""The ground along a path, as sampled from elevation data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from guyline.core.units import Numbers


@dataclass(frozen=True, eq=False)
class Profile:
    """Heights along the geodesic from one place to another.

    Attributes
    ----------
    distance_m : array (N,)
        Distance from the first place, ascending from 0. [m]
    ground_amsl_m : array (N,)
        Height of the ground, NaN where no data says. [m above mean sea level]
    lat_deg, lon_deg : array (N,)
        WGS 84 position of each sample. [degrees]
    source : str
        Where the heights are from, in words.
    height_sd_m : float or None
        Standard deviation of the height error where somebody published one. [m]
    clutter_m : array (N,)
        Height of what stands on the ground by the map of land cover, 0 where no map says. [m]
    includes_trees : bool array (N,)
        Whether trees and roofs are in the height of the ground already.
    """

    distance_m: Numbers
    ground_amsl_m: Numbers
    lat_deg: Numbers
    lon_deg: Numbers
    source: str = ""
    height_sd_m: float | None = None
    clutter_m: Numbers = field(default_factory=lambda: np.empty(0))
    includes_trees: NDArray[np.bool_] = field(default_factory=lambda: np.empty(0, dtype=bool))

    def __post_init__(self) -> None:
        for name in ("clutter_m", "includes_trees"):
            if getattr(self, name).size == 0:  # left out: bare ground, as far as anybody knows
                kind = getattr(self, name).dtype
                object.__setattr__(self, name, np.zeros(self.distance_m.shape, dtype=kind))

    @property
    def length_m(self) -> float:
        return float(self.distance_m[-1])

    @property
    def has_voids(self) -> bool:
        return bool(np.isnan(self.ground_amsl_m).any())

    def void_ranges_m(self) -> tuple[tuple[float, float], ...]:
        """Stretches without data, as (from, to) distances of their outermost samples. [m]"""
        void = np.isnan(self.ground_amsl_m)
        edges = np.flatnonzero(np.diff(np.concatenate(([False], void, [False])).astype(np.int8)))
        return tuple(
            (float(self.distance_m[a]), float(self.distance_m[b - 1]))
            for a, b in zip(edges[::2], edges[1::2], strict=True)
        )

    def reversed(self) -> Profile:
        """The same path seen from its other end."""
        return Profile(
            distance_m=self.length_m - self.distance_m[::-1],
            ground_amsl_m=self.ground_amsl_m[::-1],
            lat_deg=self.lat_deg[::-1],
            lon_deg=self.lon_deg[::-1],
            source=self.source,
            height_sd_m=self.height_sd_m,
            clutter_m=self.clutter_m[::-1],
            includes_trees=self.includes_trees[::-1],
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class Profiles:
    """Many profiles, their samples end to end; attributes as those of a Profile.

    Attributes
    ----------
    starts : int array (P + 1,)
        Profile k has the samples `starts[k]` to `starts[k + 1]`.
    """

    starts: NDArray[np.int64]
    distance_m: Numbers
    ground_amsl_m: Numbers
    lat_deg: Numbers
    lon_deg: Numbers
    clutter_m: Numbers
    includes_trees: NDArray[np.bool_]

    @classmethod
    def of(cls, profiles: Sequence[Profile]) -> Profiles:
        """The profiles put end to end."""

        def joined(name: str) -> NDArray[Any]:
            return np.concatenate([getattr(p, name) for p in profiles] or [np.empty(0)])

        lengths = [len(p.distance_m) for p in profiles]
        return cls(
            starts=np.concatenate(([0], np.cumsum(lengths))).astype(np.int64),
            distance_m=joined("distance_m"),
            ground_amsl_m=joined("ground_amsl_m"),
            lat_deg=joined("lat_deg"),
            lon_deg=joined("lon_deg"),
            clutter_m=joined("clutter_m"),
            includes_trees=joined("includes_trees").astype(bool),
        )

    def __len__(self) -> int:
        return len(self.starts) - 1

    def __getitem__(self, k: int) -> Profile:
        part = slice(int(self.starts[k]), int(self.starts[k + 1]))
        return Profile(
            distance_m=self.distance_m[part],
            ground_amsl_m=self.ground_amsl_m[part],
            lat_deg=self.lat_deg[part],
            lon_deg=self.lon_deg[part],
            clutter_m=self.clutter_m[part],
            includes_trees=self.includes_trees[part],
        )
