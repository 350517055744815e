"""The ground from elevation files: heights at places, profiles along paths, grids for maps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import overload

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import Fact, Plan, TerrainSource
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile, Profiles
from guyline.core.units import Numbers
from guyline.errors import InputError, TerrainError
from guyline.services.geodesy import LocalFrame, inverse, inverses, knots_along, points_along
from guyline.services.job import Job
from guyline.services.land_cover import LandCover
from guyline.services.raster import Bounds, Raster
from guyline.services.raster_file import Cells, open_raster

__all__ = ["Bounds", "Terrain", "source_name"]

COARSEST_STEP_M = 90.0  # our choice: a step no coarser than the coarsest data in common use
MOST_SAMPLES = 1_000_000
MOST_GRID_CELLS = 64 * 2**20
_STRIP_ROWS = 256
_KNOT_STEPS = 16  # between exactly placed samples of many paths


class Terrain:
    """Heights from several elevation files; where several have data, the first one wins.

    Opening never fails: what is wrong with a file stands in `problems`, the others serve.
    Safe to use from several threads at once.
    """

    def __init__(
        self,
        rasters: Sequence[Raster],
        problems: Sequence[str],
        land_cover: LandCover | None = None,
    ) -> None:
        self._rasters = tuple(rasters)
        self._land_cover = land_cover
        self._problems = list(problems)
        self._lock = Lock()

    @classmethod
    def open(cls, sources: Sequence[TerrainSource], base: Path) -> Terrain:
        """Return the ground of elevation files; relative paths start at `base`."""
        rasters, problems = [], []
        for source in sources:
            try:
                rasters.append(Raster(source, open_raster(source.path, base)))
            except TerrainError as error:
                problems.append(_sentence(error))
        return cls(rasters, problems)

    @classmethod
    def of_plan(cls, plan: Plan, base: Path) -> Terrain:
        """Return a plan's terrain with its land cover; `base` is the plan's folder."""
        bare = cls.open(plan.terrain_sources, base)
        if not plan.land_cover_path:
            return bare
        cover = LandCover.open([TerrainSource(path=plan.land_cover_path)], base)
        return cls(bare._rasters, (*bare.problems, *cover.problems), cover)

    @property
    def problems(self) -> tuple[str, ...]:
        """What is wrong with the files, and what to do about it, as known so far."""
        with self._lock:
            return tuple(self._problems)

    @property
    def sources(self) -> tuple[TerrainSource, ...]:
        """The files that could be opened, in their order of precedence."""
        return tuple(raster.source for raster in self._rasters)

    @property
    def bounds(self) -> Bounds | None:
        """Box round all files, None where there is none."""
        boxes = [raster.bounds for raster in self._rasters]
        if not boxes:
            return None
        west = boxes[0].west_deg
        shifts = [360.0 * round((west - box.west_deg) / 360.0) for box in boxes]
        return Bounds(
            west_deg=min(box.west_deg + s for box, s in zip(boxes, shifts, strict=True)),
            south_deg=min(box.south_deg for box in boxes),
            east_deg=max(box.east_deg + s for box, s in zip(boxes, shifts, strict=True)),
            north_deg=max(box.north_deg for box in boxes),
        )

    @overload
    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> float: ...
    @overload
    def height_amsl_m(self, lat_deg: Numbers, lon_deg: Numbers) -> Numbers: ...
    def height_amsl_m(self, lat_deg: float | Numbers, lon_deg: float | Numbers) -> float | Numbers:
        """Height of the ground by bilinear interpolation; NaN on a void and outside the data."""
        lat, lon = np.broadcast_arrays(np.asarray(lat_deg, float), np.asarray(lon_deg, float))
        heights, _ = self._sampled(lat.ravel(), lon.ravel())
        shaped = heights.reshape(lat.shape)
        return float(shaped) if shaped.ndim == 0 else shaped

    def source_at(self, lat_deg: float, lon_deg: float) -> TerrainSource | None:
        """File that the height at a place comes from, None where none has one."""
        _, which = self._sampled(np.array([lat_deg]), np.array([lon_deg]))
        return None if which[0] < 0 else self._rasters[which[0]].source

    def height_sd_m(self, lat_deg: float, lon_deg: float) -> float | None:
        """Height error of one standard deviation in metres, None where nobody gave one."""
        source = self.source_at(lat_deg, lon_deg)
        return None if source is None else source.height_sd_m

    def pitch_m(self, *places_deg: float) -> float:
        """Spacing of the finest data near a place or a path, at most 90 m.

        Parameters
        ----------
        *places_deg : float
            Latitude and longitude of the place, or of both ends of the path.
        """
        lat1, lon1, lat2, lon2 = places_deg if len(places_deg) == 4 else 2 * places_deg
        near = [r.pitch_m for r in self._rasters if r.may_touch(lat1, lon1, lat2, lon2)]
        return min([COARSEST_STEP_M, *near])

    def profile(
        self,
        lat1_deg: float,
        lon1_deg: float,
        lat2_deg: float,
        lon2_deg: float,
        step_m: float | None = None,
    ) -> Profile:
        """Heights along the geodesic between two places.

        Parameters
        ----------
        step_m : float or None
            Greatest distance between samples; None takes the pitch of the finest data near the
            path, at most 90 m.

        Raises
        ------
        InputError
            The path would need more than a million samples.
        """
        length = inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg).distance_m
        step = self.pitch_m(lat1_deg, lon1_deg, lat2_deg, lon2_deg) if step_m is None else step_m
        if length / step > MOST_SAMPLES:
            raise InputError(
                f"A path of {length / 1000:.0f} km in steps of {step:g} m has too many samples.",
                advice="Check both positions, or take a longer step.",
            )
        distance, lat, lon = points_along(lat1_deg, lon1_deg, lat2_deg, lon2_deg, step)
        heights, which = self._sampled(lat, lon)
        used = [self._rasters[i].source for i in np.unique(which[which >= 0])]
        known_sd = [source.height_sd_m for source in used if source.height_sd_m is not None]
        return Profile(
            distance_m=distance,
            ground_amsl_m=heights,
            lat_deg=lat,
            lon_deg=lon,
            source="; ".join(dict.fromkeys(source_name(source) for source in used)),
            height_sd_m=max(known_sd) if used and len(known_sd) == len(used) else None,
            clutter_m=self._clutter_m(lat, lon),
            includes_trees=np.isin(which, self._surface_models()),
        )

    def profiles(
        self,
        lat1_deg: Numbers,
        lon1_deg: Numbers,
        lat2_deg: Numbers,
        lon2_deg: Numbers,
        step_m: float,
    ) -> Profiles:
        """Heights along the geodesics between many pairs of different places.

        Parameters
        ----------
        step_m : float
            Greatest distance between samples.

        Notes
        -----
        As `profile`, but every sixteenth sample is placed exactly and those between along
        straight lines of the map: with steps of 90 m less than 0.1 m beside the geodesic up to
        65 degrees of latitude.
        """
        lay = _Lay.of(lat1_deg, lon1_deg, lat2_deg, lon2_deg, step_m)
        lat, lon = lay.lat_deg, lay.lon_deg
        heights = np.full(lay.left.shape, np.nan)
        trees = np.zeros(lay.left.shape, dtype=bool)
        for raster in self._rasters:
            missing = np.flatnonzero(np.isnan(heights))
            if not missing.size:
                break
            row, column = raster.posts_between(
                lay.knot_lat_deg, lay.knot_lon_deg, lay.left[missing], lay.share[missing]
            )
            heights[missing] = found = self._read(raster, row, column)
            if raster.source.includes_trees is Fact.YES:
                trees[missing] = ~np.isnan(found)
        return Profiles(
            starts=lay.starts,
            distance_m=lay.distance_m,
            ground_amsl_m=heights,
            lat_deg=lat,
            lon_deg=lon,
            clutter_m=self._clutter_m(lat, lon),
            includes_trees=trees,
        )

    def grid(
        self,
        frame: LocalFrame,
        west_m: float,
        south_m: float,
        east_m: float,
        north_m: float,
        cell_m: float,
        job: Job | None = None,
    ) -> Grid:
        """Heights of square cells in a local frame, sampled at their centres.

        The box grows eastward and southward to whole cells.

        Raises
        ------
        InputError
            The box is empty or has more than 64 million cells.
        """
        columns = math.ceil((east_m - west_m) / cell_m - 1e-9)
        rows = math.ceil((north_m - south_m) / cell_m - 1e-9)
        if columns < 1 or rows < 1 or columns * rows > MOST_GRID_CELLS:
            raise InputError(
                f"A grid of {columns} x {rows} cells cannot be made.",
                advice="Choose a smaller area or larger cells.",
            )
        x = west_m + (np.arange(columns, dtype=np.float64) + 0.5) * cell_m
        y = north_m - (np.arange(rows, dtype=np.float64) + 0.5) * cell_m
        heights = np.full((rows, columns), np.nan, dtype=np.float32)
        trees = np.zeros(heights.shape, dtype=bool) if self._surface_models() else None
        clutter = None if self._land_cover is None else np.zeros_like(heights)
        strips = range(0, rows, _STRIP_ROWS)
        for top in strips if job is None else job.track(strips, "Reading terrain"):
            here = slice(top, top + _STRIP_ROWS)
            self._fill(heights[here], None if trees is None else trees[here], frame, x, y[here])
            if clutter is not None:
                clutter[here] = self._cell_clutter_m(frame, x, y[here])
        if clutter is not None and trees is not None:
            clutter[trees] = 0.0
        return Grid(
            clutter_m=clutter,
            includes_trees=trees,
            ground_amsl_m=heights,
            cell_m=cell_m,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )

    def _fill(
        self,
        strip: Cells,
        trees: NDArray[np.bool_] | None,
        frame: LocalFrame,
        x_m: Numbers,
        y_m: Numbers,
    ) -> None:
        """Heights of a strip, and in `trees` whether what stands there is in them already."""
        for raster in self._rasters:
            missing = np.isnan(strip)
            if not missing.any():
                return
            row, column = raster.posts_of_frame(frame, x_m, y_m)
            strip[missing] = self._read(raster, row[missing], column[missing])
            if trees is not None and raster.source.includes_trees is Fact.YES:
                trees[missing & ~np.isnan(strip)] = True

    def _cell_clutter_m(self, frame: LocalFrame, x_m: Numbers, y_m: Numbers) -> Numbers:
        assert self._land_cover is not None
        try:
            return self._land_cover.cell_clutter_m(frame, x_m, y_m)
        except TerrainError as error:
            self._note(error)
            return np.zeros((y_m.size, x_m.size))

    def _sampled(self, lat_deg: Numbers, lon_deg: Numbers) -> tuple[Numbers, NDArray[np.intp]]:
        """Heights, and the number of the raster each one came from (-1 for none)."""
        heights = np.full(lat_deg.shape, np.nan)
        which = np.full(lat_deg.shape, -1, dtype=np.intp)
        for i, raster in enumerate(self._rasters):
            missing = np.isnan(heights)
            if not missing.any():
                break
            row, column = raster.posts_of(lat_deg[missing], lon_deg[missing])
            found = self._read(raster, row, column)
            heights[missing] = found
            which[missing] = np.where(np.isnan(found), -1, i)
        return heights, which

    def _surface_models(self) -> list[int]:
        """Numbers of the rasters whose heights are of tree tops and roofs."""
        return [i for i, r in enumerate(self._rasters) if r.source.includes_trees is Fact.YES]

    def _clutter_m(self, lat_deg: Numbers, lon_deg: Numbers) -> Numbers:
        """What stands on the ground by the map of land cover, 0 where none says. [m]"""
        if self._land_cover is None:
            return np.zeros(lat_deg.shape)
        try:
            return self._land_cover.clutter_m(lat_deg, lon_deg)
        except TerrainError as error:
            self._note(error)
            return np.zeros(lat_deg.shape)

    def _read(self, raster: Raster, row: Numbers, column: Numbers) -> Numbers:
        try:
            return raster.heights(row, column)
        except TerrainError as error:
            self._note(error)
            return np.full(row.shape, np.nan)

    def _note(self, error: TerrainError) -> None:
        with self._lock:
            if _sentence(error) not in self._problems:
                self._problems.append(_sentence(error))


@dataclass(frozen=True, eq=False, kw_only=True)
class _Lay:
    """Where the samples of many geodesics lie: between knots, the places of which are exact."""

    starts: NDArray[np.int64]
    distance_m: Numbers
    knot_lat_deg: Numbers
    knot_lon_deg: Numbers
    left: NDArray[np.intp]
    """The knot before each sample."""
    share: Numbers
    """How far each sample is on the way to the next knot, 0 to 1."""

    @classmethod
    def of(
        cls,
        lat1_deg: Numbers,
        lon1_deg: Numbers,
        lat2_deg: Numbers,
        lon2_deg: Numbers,
        step_m: float,
    ) -> _Lay:
        length, _, _ = inverses(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
        steps = np.maximum(np.ceil(length / step_m), 1.0)
        way, number, starts = _counted(steps.astype(np.intp) + 1)
        spans = np.ceil(steps / _KNOT_STEPS)
        knot_way, knot_number, knots = _counted(spans.astype(np.intp) + 1)
        lat, lon = knots_along(
            lat1_deg, lon1_deg, lat2_deg, lon2_deg, knot_number / spans[knot_way], knot_way
        )
        part = number / steps[way]
        place = part * spans[way]
        before = np.minimum(place.astype(np.intp), spans[way].astype(np.intp) - 1)
        return cls(
            starts=starts,
            distance_m=part * length[way],
            knot_lat_deg=lat,
            knot_lon_deg=lon,
            left=knots[way] + before,
            share=place - before,
        )

    @property
    def lat_deg(self) -> Numbers:
        return self.knot_lat_deg[self.left] + np.diff(self.knot_lat_deg)[self.left] * self.share

    @property
    def lon_deg(self) -> Numbers:
        across = (np.diff(self.knot_lon_deg) + 180.0) % 360.0 - 180.0
        lon = self.knot_lon_deg[self.left] + across[self.left] * self.share
        return np.asarray((lon + 180.0) % 360.0 - 180.0)


def _counted(
    counts: NDArray[np.intp],
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.int64]]:
    """For so many elements a row: row of each element, its number there, and where rows begin."""
    starts = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    row = np.repeat(np.arange(len(counts)), counts)
    return row, np.arange(len(row)) - starts[row], starts


def source_name(source: TerrainSource) -> str:
    """Name of an elevation file in front of people."""
    return source.description or Path(source.path).name


def _sentence(error: TerrainError) -> str:
    return f"{error} {error.advice}".strip()
