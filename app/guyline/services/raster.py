"""One elevation file as ground on the globe: where it lies, and its heights at places."""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from guyline.core.plan import TerrainSource
from guyline.core.terrain.grid import bilinear
from guyline.core.units import Numbers
from guyline.errors import TerrainError
from guyline.services.geodesy import LocalFrame, inverse
from guyline.services.raster_file import Cells, RasterFile

WHOLE_CELLS = 16 * 2**20  # 64 MB as float32: smaller rasters are read once, as one block
BLOCK_SIDE = 512
BLOCKS_KEPT = 64  # 64 MB of each larger raster
_LATTICE = 16  # cells between exact coordinate transformations of a grid


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


class Raster:
    """One elevation file with the blocks of it that were read lately."""

    def __init__(self, source: TerrainSource, file: RasterFile) -> None:
        from pyproj import Transformer  # a start goes without it until terrain is opened

        self.source = source
        self._file = file
        self._inverse = _inverted(file)
        self._to_crs = Transformer.from_crs("EPSG:4326", file.crs, always_xy=True)
        self._to_degrees = Transformer.from_crs(file.crs, "EPSG:4326", always_xy=True)
        is_small = file.width * file.height <= WHOLE_CELLS
        self._side = max(file.width, file.height) if is_small else BLOCK_SIDE
        self._blocks: OrderedDict[tuple[int, int], Cells] = OrderedDict()
        self._failure: TerrainError | None = None
        self._lock = Lock()
        self.bounds = self._outline()
        if not all(map(math.isfinite, (self.bounds.west_deg, self.bounds.south_deg))):
            raise TerrainError(
                f"{file.path.name} does not lie on the Earth where it says it lies.",
                advice="Check its coordinate system, or take it out of the plan's terrain.",
            )
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

    def posts_between(
        self, lat_deg: Numbers, lon_deg: Numbers, left: NDArray[np.intp], share: Numbers
    ) -> tuple[Numbers, Numbers]:
        """Row and column numbers between knots: `share` of the way from `left` to the next one."""
        row, column = self.posts_of(lat_deg, lon_deg)
        across = np.diff(column)
        if self._file.crs.is_geographic:  # the turn of the globe may change between two knots
            turn = 360.0 * abs(self._inverse[0])
            across -= turn * np.rint(across / turn)
        return row[left] + np.diff(row)[left] * share, column[left] + across[left] * share

    def heights(self, row: Numbers, column: Numbers) -> Numbers:
        if self._failure is not None:
            raise self._failure
        return bilinear(self._posted, (self._file.height, self._file.width), row, column)

    def _posted(self, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Cells:
        side = self._side
        if max(self._file.height, self._file.width) <= side:
            return self._block(0, 0)[rows, columns]
        if not rows.size:
            return np.empty(rows.shape, dtype=np.float32)
        top, left = int(rows.min()), int(columns.min())
        height, width = int(rows.max()) + 1 - top, int(columns.max()) + 1 - left
        if height * width <= rows.size:  # an area, and not a line across the file
            return self._area(top, left, height, width)[rows - top, columns - left]
        found = np.empty(rows.shape, dtype=np.float32)
        across = -(-self._file.width // side)
        key = (rows // side) * across + columns // side
        for k in np.unique(key):
            i, j = divmod(int(k), across)
            here = key == k
            found[here] = self._block(i, j)[rows[here] - i * side, columns[here] - j * side]
        return found

    def _area(self, top: int, left: int, height: int, width: int) -> Cells:
        """All posts of a box of the file, put together from its blocks."""
        side, area = self._side, np.empty((height, width), dtype=np.float32)
        for i in range(top // side, (top + height - 1) // side + 1):
            for j in range(left // side, (left + width - 1) // side + 1):
                block = self._block(i, j)
                row, column = max(i * side, top), max(j * side, left)
                part = block[
                    row - i * side : top + height - i * side,
                    column - j * side : left + width - j * side,
                ]
                area[
                    row - top : row - top + part.shape[0],
                    column - left : column - left + part.shape[1],
                ] = part
        return area

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


def _inverted(file: RasterFile) -> tuple[float, float, float, float, float, float]:
    a, b, c, d, e, f = file.transform
    whole = a * e - b * d
    if whole == 0.0 or not all(map(math.isfinite, file.transform)):
        raise TerrainError(
            f"{file.path.name} has cells without extent.",
            advice="Check its coordinate system, or take it out of the plan's terrain.",
        )
    ia, ib, id_, ie = e / whole, -b / whole, -d / whole, a / whole
    return ia, ib, -ia * c - ib * f, id_, ie, -id_ * c - ie * f


def _lattice(centres: Numbers) -> Numbers:
    """Every sixteenth of evenly spaced numbers, going on past the last one."""
    step = float(centres[1] - centres[0]) if centres.size > 1 else 1.0
    knots = max(2, -(-(centres.size - 1) // _LATTICE) + 1)
    return float(centres[0]) + np.arange(knots, dtype=np.float64) * (_LATTICE * step)


def _between(knots: Numbers, shape: tuple[int, int]) -> Numbers:
    rows, columns = (np.arange(n) / _LATTICE for n in shape)
    top = np.minimum(rows.astype(np.intp), knots.shape[0] - 2)
    left = np.minimum(columns.astype(np.intp), knots.shape[1] - 2)
    down, across = (rows - top)[:, None], columns - left
    filled = knots[top] * (1.0 - down) + knots[top + 1] * down
    return np.asarray(filled[:, left] * (1.0 - across) + filled[:, left + 1] * across)
