"""The ground from elevation files: heights at places, profiles along paths, grids for maps."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import overload

import numpy as np
from numpy.typing import NDArray
from pyproj import Transformer

from guyline.core.plan import TerrainSource
from guyline.core.terrain.grid import Grid, bilinear
from guyline.core.terrain.profile import Profile
from guyline.core.units import Numbers
from guyline.errors import InputError, TerrainError
from guyline.services.geodesy import LocalFrame, inverse, points_along
from guyline.services.job import Job
from guyline.services.raster_file import Cells, RasterFile, open_raster

COARSEST_STEP_M = 90.0  # our choice: a step no coarser than the coarsest data in common use
WHOLE_CELLS = 16 * 2**20  # 64 MB as float32: smaller rasters are read once, as one block
BLOCK_SIDE = 512
BLOCKS_KEPT = 64  # 64 MB of each larger raster
MOST_SAMPLES = 1_000_000
MOST_GRID_CELLS = 64 * 2**20
_LATTICE = 16  # cells between exact coordinate transformations of a grid
_STRIP_ROWS = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """A box of WGS 84 degrees; `east_deg` exceeds 180 where the box crosses that meridian."""

    west_deg: float
    south_deg: float
    east_deg: float
    north_deg: float

    def contains(self, lat_deg: float, lon_deg: float) -> bool:
        across = (lon_deg - self.west_deg) % 360.0
        return (
            self.south_deg <= lat_deg <= self.north_deg and across <= self.east_deg - self.west_deg
        )


class Terrain:
    """Heights from several elevation files; where several have data, the first one wins.

    Opening never fails: what is wrong with a file stands in `problems`, the others serve.
    Safe to use from several threads at once.
    """

    def __init__(self, rasters: Sequence[_Raster], problems: Sequence[str]) -> None:
        self._rasters = tuple(rasters)
        self._problems = list(problems)
        self._lock = Lock()

    @classmethod
    def open(cls, sources: Sequence[TerrainSource], base: Path) -> Terrain:
        """Return the terrain of a plan; relative paths start at `base`, the plan's folder."""
        rasters, problems = [], []
        for source in sources:
            try:
                rasters.append(_Raster(source, open_raster(source.path, base)))
            except TerrainError as error:
                problems.append(_sentence(error))
        return cls(rasters, problems)

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
        """Standard error in metres of the height at a place, None where nobody gave one."""
        source = self.source_at(lat_deg, lon_deg)
        return None if source is None else source.height_sd_m

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
        step = self._pitch_m(lat1_deg, lon1_deg, lat2_deg, lon2_deg) if step_m is None else step_m
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
        strips = range(0, rows, _STRIP_ROWS)
        for top in strips if job is None else job.track(strips, "Reading terrain"):
            self._fill(heights[top : top + _STRIP_ROWS], frame, x, y[top : top + _STRIP_ROWS])
        return Grid(
            ground_amsl_m=heights,
            cell_m=cell_m,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )

    def _fill(self, strip: Cells, frame: LocalFrame, x_m: Numbers, y_m: Numbers) -> None:
        for raster in self._rasters:
            missing = np.isnan(strip)
            if not missing.any():
                return
            row, column = raster.posts_of_frame(frame, x_m, y_m)
            strip[missing] = self._read(raster, row[missing], column[missing])

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

    def _read(self, raster: _Raster, row: Numbers, column: Numbers) -> Numbers:
        try:
            return raster.heights(row, column)
        except TerrainError as error:
            with self._lock:
                if _sentence(error) not in self._problems:
                    self._problems.append(_sentence(error))
            return np.full(row.shape, np.nan)

    def _pitch_m(self, lat1: float, lon1: float, lat2: float, lon2: float) -> float:
        near = [r.pitch_m for r in self._rasters if r.may_touch(lat1, lon1, lat2, lon2)]
        return min([COARSEST_STEP_M, *near])


def source_name(source: TerrainSource) -> str:
    """Name of an elevation file in front of people."""
    return source.description or Path(source.path).name


def _sentence(error: TerrainError) -> str:
    return f"{error} {error.advice}".strip()


class _Raster:
    """One elevation file with the blocks of it that were read lately."""

    def __init__(self, source: TerrainSource, file: RasterFile) -> None:
        self.source = source
        self._file = file
        self._inverse = _inverted(file.transform)
        self._to_crs = Transformer.from_crs("EPSG:4326", file.crs, always_xy=True)
        self._to_degrees = Transformer.from_crs(file.crs, "EPSG:4326", always_xy=True)
        is_small = file.width * file.height <= WHOLE_CELLS
        self._side = max(file.width, file.height) if is_small else BLOCK_SIDE
        self._blocks: OrderedDict[tuple[int, int], Cells] = OrderedDict()
        self._failure: TerrainError | None = None
        self._lock = Lock()
        self.bounds = self._outline()
        self.pitch_m = self._finest_pitch_m()

    def may_touch(self, lat1: float, lon1: float, lat2: float, lon2: float) -> bool:
        """Whether the box round a path, grown by its bow, meets the file."""
        box = self.bounds
        bow = 0.1 + abs(lat2 - lat1) * 0.1
        if max(lat1, lat2) + bow < box.south_deg or min(lat1, lat2) - bow > box.north_deg:
            return False
        span = (lon2 - lon1 + 180.0) % 360.0 - 180.0
        west = min(lon1, lon1 + span) - bow
        return (box.west_deg - west) % 360.0 <= abs(span) + 2 * bow or (
            (west - box.west_deg) % 360.0 <= box.east_deg - box.west_deg
        )

    def posts_of(self, lat_deg: Numbers, lon_deg: Numbers) -> tuple[Numbers, Numbers]:
        """Row and column numbers of places, counted from the centre of the first cell."""
        x, y = self._to_crs.transform(lon_deg, lat_deg)
        return self._posts(np.asarray(x), np.asarray(y))

    def posts_of_frame(
        self, frame: LocalFrame, x_m: Numbers, y_m: Numbers
    ) -> tuple[Numbers, Numbers]:
        """Row and column numbers of a grid of places, as two arrays of its shape.

        Every sixteenth place is transformed, those between are interpolated: over 16 cells of
        100 m that is off by less than 0.1 m.
        """
        coarse_x, coarse_y = _lattice(x_m), _lattice(y_m)
        lat, lon = frame.to_lat_lon(*np.meshgrid(coarse_x, coarse_y))
        row, column = self.posts_of(lat, lon)
        shape = (y_m.size, x_m.size)
        return _between(row, shape), _between(column, shape)

    def heights(self, row: Numbers, column: Numbers) -> Numbers:
        if self._failure is not None:
            raise self._failure
        return bilinear(self._posted, (self._file.height, self._file.width), row, column)

    def _posted(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Cells:
        side = self._side
        if max(self._file.height, self._file.width) <= side:
            return self._block(0, 0)[rows, columns]
        found = np.empty(rows.shape, dtype=np.float32)
        across = -(-self._file.width // side)
        key = (rows // side) * across + columns // side
        for k in np.unique(key):
            i, j = divmod(int(k), across)
            here = key == k
            found[here] = self._block(i, j)[rows[here] - i * side, columns[here] - j * side]
        return found

    def _block(self, i: int, j: int) -> Cells:
        with self._lock:
            if (i, j) in self._blocks:
                self._blocks.move_to_end((i, j))
                return self._blocks[i, j]
            top, left = i * self._side, j * self._side
            bottom = min(top + self._side, self._file.height)
            right = min(left + self._side, self._file.width)
            try:
                block = self._file.read(top, bottom, left, right)
            except TerrainError as error:
                self._failure = error
                raise
            self._blocks[i, j] = block
            if len(self._blocks) > BLOCKS_KEPT:
                self._blocks.popitem(last=False)
            return block

    def _posts(self, x: Numbers, y: Numbers) -> tuple[Numbers, Numbers]:
        a, b, c, d, e, f = self._inverse
        if self._file.crs.is_geographic:
            # any turn of the globe that brings the place nearest to the middle of the file
            middle = self._corner(self._file.height / 2, self._file.width / 2)[0]
            x = middle + (x - middle + 180.0) % 360.0 - 180.0
        return d * x + e * y + f - 0.5, a * x + b * y + c - 0.5

    def _corner(self, row: float, column: float) -> tuple[float, float]:
        a, b, c, d, e, f = self._file.transform
        return a * column + b * row + c, d * column + e * row + f

    def _place(self, row: float, column: float) -> tuple[float, float]:
        lon, lat = self._to_degrees.transform(*self._corner(row, column))
        return float(lat), float(lon)

    def _outline(self) -> Bounds:
        rows, columns = self._file.height, self._file.width
        part = np.linspace(0.0, 1.0, 9)
        edge = [(r * rows, c * columns) for r in part for c in part if {r, c} & {0.0, 1.0}]
        places = [self._place(r, c) for r, c in edge]
        middle = self._place(rows / 2, columns / 2)[1]
        lons = [middle + (lon - middle + 180.0) % 360.0 - 180.0 for _, lon in places]
        lats = [lat for lat, _ in places]
        return Bounds(
            west_deg=min(lons), south_deg=min(lats), east_deg=max(lons), north_deg=max(lats)
        )

    def _finest_pitch_m(self) -> float:
        row, column = self._file.height / 2, self._file.width / 2
        here = self._place(row, column)
        right = inverse(*here, *self._place(row, column + 1.0)).distance_m
        down = inverse(*here, *self._place(row + 1.0, column)).distance_m
        return min(right, down)


def _inverted(
    t: tuple[float, float, float, float, float, float],
) -> tuple[float, float, float, float, float, float]:
    a, b, c, d, e, f = t
    whole = a * e - b * d
    if whole == 0.0 or not math.isfinite(whole):
        raise TerrainError(
            "A terrain file has cells without extent.", advice="Take another file for this area."
        )
    ia, ib, id_, ie = e / whole, -b / whole, -d / whole, a / whole
    return ia, ib, -ia * c - ib * f, id_, ie, -id_ * c - ie * f


def _lattice(ascending_or_descending: Numbers) -> Numbers:
    n = ascending_or_descending.size
    step = float(ascending_or_descending[1] - ascending_or_descending[0]) if n > 1 else 1.0
    knots = -(-(n - 1) // _LATTICE) + 1
    return float(ascending_or_descending[0]) + np.arange(max(2, knots), dtype=np.float64) * (
        _LATTICE * step
    )


def _between(knots: Numbers, shape: tuple[int, int]) -> Numbers:
    rows, columns = (np.arange(n) / _LATTICE for n in shape)
    top = np.minimum(rows.astype(np.intp), knots.shape[0] - 2)
    left = np.minimum(columns.astype(np.intp), knots.shape[1] - 2)
    down, across = (rows - top)[:, None], columns - left
    filled = knots[top] * (1.0 - down) + knots[top + 1] * down
    return np.asarray(filled[:, left] * (1.0 - across) + filled[:, left + 1] * across)
