"""Elevation files, opened so that no file can name others, reach the network or fill the memory.

GeoTIFF, ASCII grid, DTED and USGS DEM come through GDAL; SRTM tiles, plain or gzipped, are read
here, because GDAL does not take them gzipped and they are nothing but square arrays.
"""

from __future__ import annotations

import gzip
import math
import re
import warnings
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from guyline.errors import TerrainError

if TYPE_CHECKING:
    from affine import Affine
    from pyproj import CRS
    from rasterio import DatasetReader

# Our choices; each bounds what a hostile or mistaken file can make the program do.
MAX_CELLS = 40_000_000_000
MAX_STORED_BLOCK_BYTES = 256 * 2**20
MAX_PRJ_BYTES = 100_000
# Land on Earth lies between -430 m and 8849 m; what is far outside is an undeclared void.
LEAST_CELL = 1e-8  # our choice, degrees or metres: a millimetre of ground, or far less
LOWEST_M, HIGHEST_M = -600.0, 9000.0

_DRIVERS = {  # one driver by extension: GDAL never guesses, so no other format can pose as it
    ".tif": "GTiff",
    ".tiff": "GTiff",
    ".asc": "AAIGrid",
    ".dt0": "DTED",
    ".dt1": "DTED",
    ".dt2": "DTED",
    ".dem": "USGSDEM",
}
_ENVIRONMENT = {
    "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",  # no probing for files beside
    "GDAL_PAM_ENABLED": "NO",  # nor .aux.xml read or written
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": "{none}",
    "GDAL_HTTP_TIMEOUT": "1",
}
_SRTM_VOID = -32768
_SRTM_SIDES = (1201, 3601, 7201)  # posts of 3, 1 and half an arc second
_SRTM_NAME = re.compile(r"([NS])(\d{2})([EW])(\d{3})", re.IGNORECASE)
_UNITS_M = {"ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "us survey foot": 1200 / 3937}
_ELSEWHERE = re.compile(r"^(/vsi|\\\\|//|[A-Za-z][A-Za-z0-9+._-]+:)")
_NOWHERE = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0)  # GDAL's transform of a raster that has none
_CONVERT = "Convert it to GeoTIFF, or take it out of the plan's terrain."

Cells = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class RasterFile:
    """What is known of an elevation file before its heights are read.

    Attributes
    ----------
    crs
        Of the horizontal coordinates.
    transform : six floats
        a, b, c, d, e, f of x = a column + b row + c and y = d column + e row + f, where whole
        numbers are corners of cells.
    read : callable
        Returns heights, voids as NaN, of rows and columns from (inclusive) to (exclusive).
    """

    path: Path
    width: int
    height: int
    crs: CRS
    transform: tuple[float, float, float, float, float, float]
    read: Callable[[int, int, int, int], Cells]


def open_raster(path: str, base: Path) -> RasterFile:
    """Return an elevation file ready for reading; `path` is relative to `base` or absolute.

    Raises
    ------
    TerrainError
        It is missing, of an unknown kind, damaged, too large or does not say where it lies.
    """
    if _ELSEWHERE.match(path):
        raise TerrainError(
            f"Terrain file {path} is not a plain file on this computer.",
            advice="Copy it beside the plan and name it there.",
        )
    file = base / path
    if not file.is_file():
        raise TerrainError(
            f"Terrain file {path} is not there.",
            advice=f"Put it at {file}, or name another file in the plan's terrain.",
        )
    if file.name.lower().endswith((".hgt", ".hgt.gz")):
        return _open_srtm(file)
    driver = _DRIVERS.get(file.suffix.lower())
    if driver is None:
        raise TerrainError(
            f"Terrain file {file.name} is of a kind that is not read here.",
            advice="Take GeoTIFF, SRTM .hgt or .hgt.gz, ASCII grid .asc, DTED or USGS .dem.",
        )
    return _open_with_gdal(file, driver)


def _open_srtm(file: Path) -> RasterFile:
    corner = _SRTM_NAME.match(file.name)
    if corner is None:
        raise TerrainError(
            f"The name of {file.name} does not say where the tile lies.",
            advice="Name it by its south-west corner, as in N47W032.hgt.",
        )
    south = int(corner[2]) * (1 if corner[1] in "Nn" else -1)
    west = int(corner[4]) * (1 if corner[3] in "Ee" else -1)
    from pyproj import CRS

    posts = _srtm_posts(file)
    side = posts.shape[0]
    cell = 1.0 / (side - 1)

    def read(top: int, bottom: int, left: int, right: int) -> Cells:
        return _honest(posts[top:bottom, left:right].astype(np.float32), _SRTM_VOID)

    return RasterFile(
        path=file,
        width=side,
        height=side,
        crs=CRS.from_epsg(4326),
        transform=(cell, 0.0, west - cell / 2, 0.0, -cell, south + 1 + cell / 2),
        read=read,
    )


def _srtm_posts(file: Path) -> NDArray[np.int16]:
    most_bytes = 2 * max(_SRTM_SIDES) ** 2
    try:
        if file.suffix.lower() == ".gz":
            with gzip.open(file) as packed:
                raw = np.frombuffer(packed.read(most_bytes + 1), dtype=np.uint8)
        else:
            raw = np.memmap(file, dtype=np.uint8, mode="r")
    except (OSError, EOFError, ValueError, zlib.error) as error:
        raise _damaged(file) from error
    for side in _SRTM_SIDES:
        if raw.size == 2 * side * side:
            return raw.view(">i2").reshape(side, side)
    raise TerrainError(
        f"{file.name} has not the size of an SRTM tile ({raw.size} bytes).",
        advice="Fetch the tile again; a full one has 1201, 3601 or 7201 posts a side.",
    )


def _open_with_gdal(file: Path, driver: str) -> RasterFile:
    with _gdal(file, driver) as raster:
        wkt = raster.crs.to_wkt() if raster.crs else _wkt_beside(file)
        width, height, transform = raster.width, raster.height, _six(raster.transform)
        nodata, unit = raster.nodata, (raster.units[0] or "").lower()
        scale, offset = raster.scales[0], raster.offsets[0]
        stored = int(np.prod(raster.block_shapes[0])) * np.dtype(raster.dtypes[0]).itemsize
        is_real = np.dtype(raster.dtypes[0]).kind in "iuf"
        has_mask = "per_dataset" in {flag.name for flag in raster.mask_flag_enums[0]}
    _check_size(file, width, height, stored)
    _check_scale(file, transform, scale, offset)
    if not is_real:
        raise TerrainError(f"{file.name} does not hold heights.", advice=_CONVERT)
    crs = _crs(file, None if transform == _NOWHERE else wkt)
    factor = _UNITS_M.get(unit, 1.0)

    def read(top: int, bottom: int, left: int, right: int) -> Cells:
        window = ((top, bottom), (left, right))
        with _gdal(file, driver) as raster:
            cells = raster.read(1, window=window).astype(np.float32)
            mask = raster.read_masks(1, window=window) if has_mask else None
        if mask is not None:
            cells[mask == 0] = np.nan
        with np.errstate(all="ignore"):  # what a mistaken scale makes of heights is not plausible
            heights = _without_voids(cells, nodata) * np.float32(scale) + np.float32(offset)
            return _plausible(heights * np.float32(factor))

    return RasterFile(
        path=file, width=width, height=height, crs=crs, transform=transform, read=read
    )


@contextmanager
def _gdal(file: Path, driver: str) -> Iterator[DatasetReader]:
    """Open a raster for a moment: no handle stays open, so threads never share one."""
    import rasterio  # 0.1 s: only where a raster is opened
    from rasterio.errors import NotGeoreferencedWarning, RasterioError

    try:
        with warnings.catch_warnings(), rasterio.Env(**_ENVIRONMENT):
            warnings.simplefilter("ignore", NotGeoreferencedWarning)  # told in our own words
            with rasterio.open(file, driver=driver) as raster:
                yield raster
    except (RasterioError, OSError, ValueError, TypeError, IndexError) as error:
        raise _damaged(file) from error


def _six(transform: Affine) -> tuple[float, float, float, float, float, float]:
    a, b, c, d, e, f = (float(number) for number in tuple(transform)[:6])
    return a, b, c, d, e, f


def _check_scale(file: Path, transform: tuple[float, ...], scale: float, offset: float) -> None:
    """Refuse cells too small to be real, and heights that no number scales."""
    a, b, _, d, e, _ = transform
    side = math.sqrt(abs(a * e - b * d))
    if not side >= LEAST_CELL or not all(map(math.isfinite, (*transform, scale, offset))):
        raise TerrainError(f"{file.name} has cells of no size, or no scale.", advice=_CONVERT)


def _check_size(file: Path, width: int, height: int, stored_block_bytes: int) -> None:
    if width < 2 or height < 2:
        raise TerrainError(f"{file.name} has fewer than two rows or columns.", advice=_CONVERT)
    if width * height > MAX_CELLS:
        raise TerrainError(
            f"{file.name} claims {width} x {height} cells, more than can be real.",
            advice="Cut out the area of the plan, or fetch the file again.",
        )
    if stored_block_bytes > MAX_STORED_BLOCK_BYTES:
        raise TerrainError(
            f"{file.name} is stored in pieces of {stored_block_bytes // 2**20} MB.",
            advice="Save it as a tiled GeoTIFF.",
        )


def _wkt_beside(file: Path) -> str | None:
    beside = file.with_suffix(".prj")
    if not beside.is_file() or beside.stat().st_size > MAX_PRJ_BYTES:
        return None
    return beside.read_text(encoding="utf-8", errors="replace")


def _crs(file: Path, wkt: str | None) -> CRS:
    from pyproj import CRS  # a start goes without it until terrain is opened
    from pyproj.exceptions import CRSError

    if wkt is None:
        raise TerrainError(
            f"{file.name} does not say which coordinates it uses.",
            advice="Put its .prj file beside it, or convert it to GeoTIFF with the right "
            "coordinate system.",
        )
    try:
        crs = CRS.from_wkt(wkt)
    except CRSError as error:
        raise TerrainError(
            f"The coordinate system of {file.name} is not understood.", advice=_CONVERT
        ) from error
    if not (crs.is_geographic or crs.is_projected):
        raise TerrainError(f"{file.name} is not tied to the Earth.", advice=_CONVERT)
    return crs


def _damaged(file: Path) -> TerrainError:
    return TerrainError(
        f"{file.name} is damaged or not what its name says.",
        advice="Fetch or copy the file again.",
    )


def _honest(heights: Cells, nodata: float | None) -> Cells:
    return _plausible(_without_voids(heights, nodata))


def _without_voids(cells: Cells, nodata: float | None) -> Cells:
    if nodata is not None and not np.isnan(nodata):
        cells[cells == np.float32(nodata)] = np.nan
    return cells


def _plausible(heights: Cells) -> Cells:
    with np.errstate(invalid="ignore"):
        heights[(heights < LOWEST_M) | (heights > HIGHEST_M)] = np.nan
    return heights
