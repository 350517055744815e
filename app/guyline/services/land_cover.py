"""What grows or stands at a place, from maps of land cover: a proposal, never a fact."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from guyline.core.network.path_clutter import HEIGHT_ON_PATH_M
from guyline.core.plan import Surroundings, TerrainSource
from guyline.core.units import Numbers
from guyline.errors import TerrainError
from guyline.services.geodesy import LocalFrame
from guyline.services.raster import Raster
from guyline.services.raster_file import open_raster

# Classes of the ESA WorldCover product, v200 (2021). Built-up ground is taken as a suburb: the
# map does not tell how dense it is, and the lower roofs claim less loss.
_SURROUNDINGS = {
    10: Surroundings.WOODLAND,  # trees
    20: Surroundings.OPEN,  # shrubs
    30: Surroundings.OPEN,  # grass
    40: Surroundings.OPEN,  # crops
    50: Surroundings.SUBURB,  # built-up
    60: Surroundings.BARE,  # bare or sparse
    70: Surroundings.BARE,  # snow and ice
    80: Surroundings.WATER,  # open water
    90: Surroundings.OPEN,  # herbaceous wetland
    95: Surroundings.WOODLAND,  # mangroves
    100: Surroundings.BARE,  # moss and lichen
}
_HEIGHT_M = {code: HEIGHT_ON_PATH_M[kind] for code, kind in _SURROUNDINGS.items()}
RADIUS_M = 30.0  # our choice: what stands farther off rarely shades a terminal
_SAMPLES = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverAround:
    """The commonest surroundings near a place, and which part of the map round it says so."""

    surroundings: Surroundings
    share: float
    source: str


class LandCover:
    """Maps of land cover; where several know a place, the first one wins."""

    def __init__(self, rasters: Sequence[Raster], problems: Sequence[str]) -> None:
        self._rasters = tuple(rasters)
        self.problems = tuple(problems)

    @classmethod
    def open(cls, sources: Sequence[TerrainSource], base: Path) -> LandCover:
        """Return the maps that can be read; what is wrong with others stands in `problems`."""
        rasters, problems = [], []
        for source in sources:
            try:
                rasters.append(Raster(source, open_raster(source.path, base)))
            except TerrainError as error:
                problems.append(f"{error} {error.advice}".strip())
        return cls(rasters, problems)

    def clutter_m(self, lat_deg: Numbers, lon_deg: Numbers) -> Numbers:
        """Height of what stands at each place, by its class; 0 where no map knows. [m]

        Raises
        ------
        TerrainError
            A map is damaged.
        """
        clutter = np.full(lat_deg.shape, np.nan)
        for raster in self._rasters:
            missing = np.isnan(clutter)
            classes = _classes(raster, lat_deg[missing], lon_deg[missing])
            clutter[missing] = _height_m(classes)
        return np.asarray(np.nan_to_num(clutter))

    def cell_clutter_m(self, frame: LocalFrame, x_m: Numbers, y_m: Numbers) -> Numbers:
        """Height of what stands in the cells of these columns and rows, as `clutter_m` has it. [m]

        Raises
        ------
        TerrainError
            A map is damaged.
        """
        clutter = np.full((y_m.size, x_m.size), np.nan)
        for raster in self._rasters:
            missing = np.isnan(clutter)
            row, column = (np.rint(post) for post in raster.posts_of_frame(frame, x_m, y_m))
            clutter[missing] = _height_m(raster.heights(row[missing], column[missing]))
        return np.asarray(np.nan_to_num(clutter))

    def around(self, lat_deg: float, lon_deg: float) -> CoverAround | None:
        """Return what stands within 30 m of a place, None where no map knows.

        Raises
        ------
        TerrainError
            A map is damaged.
        """
        side = np.linspace(-RADIUS_M, RADIUS_M, _SAMPLES)
        x, y = (axis.ravel() for axis in np.meshgrid(side, side))
        near = np.hypot(x, y) <= RADIUS_M
        lat, lon = LocalFrame(lat_deg, lon_deg).to_lat_lon(x[near], y[near])
        for raster in self._rasters:
            classes = _classes(raster, lat, lon)
            kinds = Counter(_SURROUNDINGS.get(int(c)) for c in classes[~np.isnan(classes)])
            kinds.pop(None, None)
            if kinds:
                kind, count = kinds.most_common(1)[0]
                assert kind is not None
                return CoverAround(
                    surroundings=kind,
                    share=count / len(classes),
                    source=raster.source.description or Path(raster.source.path).name,
                )
        return None


def _height_m(classes: Numbers) -> Numbers:
    """Height of what each class stands for, NaN where it stands for nothing known. [m]"""
    known = np.array(sorted(_HEIGHT_M), dtype=float)
    place = np.minimum(np.searchsorted(known, classes), len(known) - 1)
    heights = np.array([_HEIGHT_M[int(code)] for code in known])
    return np.where(known[place] == classes, heights[place], np.nan)


def _classes(raster: Raster, lat_deg: Numbers, lon_deg: Numbers) -> Numbers:
    """Class at each place: cells are kinds, not heights, so the nearest one, nothing between."""
    row, column = (np.rint(post) for post in raster.posts_of(lat_deg, lon_deg))
    return np.asarray(raster.heights(row, column))
