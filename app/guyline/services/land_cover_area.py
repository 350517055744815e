"""Land cover of an area: its tiles fetched, and what lies under the plan cut out of them.

A plan names one map of land cover, an area can lie on four tiles, and a tile has a billion cells;
so the area is copied into one file, cell by cell as it was.
"""

from __future__ import annotations

import math
import os
import secrets
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from guyline.errors import TerrainError
from guyline.services.job import Job
from guyline.services.raster import Bounds
from guyline.services.terrain_download import Download, fetch, refuse_small_disk
from guyline.services.terrain_tiles import Tile, TileSet

CELLS_PER_DEG = 12_000  # of the ESA WorldCover product: 10 m to the south
NO_CLASS = 0
MOST_CELLS = 2_500_000_000  # our choice: an area of about 4 by 4 degrees
_STRIP_ROWS = 512
_FETCHED_SHARE = 0.8  # of the progress: fetching takes longer than cutting out

Classes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaCover:
    """What a fetch of land cover came to; `path` is None where no tile is there."""

    download: Download
    path: Path | None = None
    licence: str = ""


def fetch_cover(
    tiles: Sequence[Tile], box: Bounds, folder: Path, today: date, job: Job | None = None
) -> AreaCover:
    """Fetch the tiles that are not in a folder yet, and cut an area out of them.

    Raises
    ------
    TerrainError
        The area is too large, or cannot be kept.
    """
    job = job or Job()
    if _size(box)[0] * _size(box)[1] > MOST_CELLS:
        raise TerrainError(
            "The area is too large for one map of land cover.",
            advice="Choose a smaller margin, or check the positions of the sites.",
        )
    fetching = Job(lambda done, text: job.report(_FETCHED_SHARE * done, text))
    download = fetch(tiles, folder, today, fetching)
    if not download.sources or download.problems:
        return AreaCover(download=download)
    tile_set = tiles[0].tile_set
    here = [tile for tile in tiles if (folder / tile.file_name).is_file()]
    path = cut_out(here, box, folder, job)
    return AreaCover(
        download=download, path=path, licence=f"{tile_set.notice} ({tile_set.licence})"
    )


def cut_out(tiles: Sequence[Tile], box: Bounds, folder: Path, job: Job) -> Path:
    """Write the land cover of an area as one file into the folder of its tiles.

    Raises
    ------
    TerrainError
        A tile is damaged, or the file cannot be written.
    """
    from rasterio.errors import RasterioError

    path = folder / _file_name(tiles[0].tile_set, box)
    columns, rows = _size(box)
    refuse_small_disk(path.name, columns * rows // 4, folder)  # classes pack far better
    beside = folder / f".{path.name}.{secrets.token_hex(4)}.part"
    try:
        _write(beside, tiles, box, folder, job)
        os.replace(beside, path)
    except (RasterioError, OSError) as error:
        raise TerrainError(
            f"The land cover of the area cannot be cut out: {error}.",
            advice="Free some space, or fetch it again.",
        ) from error
    finally:
        with suppress(OSError):
            beside.unlink()
    return path


def _write(file: Path, tiles: Sequence[Tile], box: Bounds, folder: Path, job: Job) -> None:
    import rasterio
    from rasterio.transform import Affine
    from rasterio.windows import Window

    columns, rows = _size(box)
    west, north = _corner(box)
    cell = 1.0 / CELLS_PER_DEG
    profile: dict[str, Any] = {
        "driver": "GTiff",
        "width": columns,
        "height": rows,
        "count": 1,
        "dtype": "uint8",
        "nodata": NO_CLASS,
        "crs": "EPSG:4326",
        "transform": Affine(cell, 0.0, west * cell, 0.0, -cell, north * cell),
        "tiled": True,
        "blockxsize": _STRIP_ROWS,
        "blockysize": _STRIP_ROWS,
        "compress": "deflate",
    }
    with rasterio.open(file, "w", **profile) as raster:
        raster.update_tags(TIFFTAG_COPYRIGHT=tiles[0].tile_set.notice)
        for top in range(0, rows, _STRIP_ROWS):
            done = _FETCHED_SHARE + (1.0 - _FETCHED_SHARE) * top / rows
            job.report(done, "Cutting out the area")
            strip = _strip(tiles, folder, west, north - top, columns, min(_STRIP_ROWS, rows - top))
            raster.write(strip, 1, window=Window(0, top, columns, strip.shape[0]))


def _strip(
    tiles: Sequence[Tile], folder: Path, west: int, north: int, columns: int, rows: int
) -> Classes:
    """Return rows of classes; west and north are counted in cells from the zero meridians."""
    strip = np.full((rows, columns), NO_CLASS, dtype=np.uint8)
    for tile in tiles:
        side = tile.tile_set.side_deg * CELLS_PER_DEG
        tile_north = tile.south_deg * CELLS_PER_DEG + side
        for tile_west in _turns(tile.west_deg * CELLS_PER_DEG, west):
            left, right = max(west, tile_west), min(west + columns, tile_west + side)
            top, bottom = min(north, tile_north), max(north - rows, tile_north - side)
            if left < right and bottom < top:
                found = _classes(
                    folder / tile.file_name,
                    (tile_north - top, tile_north - bottom),
                    (left - tile_west, right - tile_west),
                    side,
                )
                strip[north - top : north - bottom, left - west : right - west] = found
    return strip


def _turns(tile_west: int, west: int) -> Iterator[int]:
    """Yield where a tile lies for an area that may cross the meridian of 180 degrees."""
    turn = 360 * CELLS_PER_DEG
    yield tile_west
    yield tile_west + turn if tile_west < west else tile_west - turn


def _classes(file: Path, rows: tuple[int, int], columns: tuple[int, int], side: int) -> Classes:
    import rasterio
    from rasterio.windows import Window

    with rasterio.open(file, driver="GTiff") as raster:
        if (raster.width, raster.height) != (side, side) or raster.dtypes[0] != "uint8":
            raise TerrainError(
                f"{file.name} has not the cells that a tile of land cover has.",
                advice="Remove it and fetch it again.",
            )
        window = Window(columns[0], rows[0], columns[1] - columns[0], rows[1] - rows[0])
        return np.asarray(raster.read(1, window=window))


def _corner(box: Bounds) -> tuple[int, int]:
    """Return the north-west corner in whole cells, outward."""
    return math.floor(box.west_deg * CELLS_PER_DEG), math.ceil(box.north_deg * CELLS_PER_DEG)


def _size(box: Bounds) -> tuple[int, int]:
    """Return columns and rows."""
    west, north = _corner(box)
    east = math.ceil(box.east_deg * CELLS_PER_DEG)
    return max(1, east - west), max(1, north - math.floor(box.south_deg * CELLS_PER_DEG))


def _file_name(tile_set: TileSet, box: Bounds) -> str:
    west, north = _corner(box)
    columns, rows = _size(box)
    return f"{tile_set.key}_{west}_{north}_{columns}x{rows}.tif"
