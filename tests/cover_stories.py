"""Tiles of land cover in the measures of the product, all but empty so that they stay small."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import rasterio
from rasterio.transform import Affine
from rasterio.windows import Window

from guyline.services.land_cover_area import CELLS_PER_DEG
from guyline.services.terrain_tiles import Tile


def write_tile(folder: Path, tile: Tile, code: int) -> Path:
    """Write a tile whose ground is one class where the tests look, and unknown elsewhere."""
    side, cell = 3 * CELLS_PER_DEG, 1.0 / CELLS_PER_DEG
    path = folder / tile.file_name
    with rasterio.open(
        path, "w", driver="GTiff", width=side, height=side, count=1, dtype="uint8", nodata=0,
        crs="EPSG:4326", tiled=True, blockxsize=512, blockysize=512, compress="deflate",
        sparse_ok=True,
        transform=Affine(cell, 0.0, tile.west_deg, 0.0, -cell, tile.south_deg + 3),
    ) as raster:  # fmt: skip
        for left in (0, side - 2048):
            rng = np.random.default_rng(code + left)
            cells = np.where(rng.random((2048, 2048)) < 0.98, code, 30).astype(np.uint8)
            raster.write(cells, 1, window=Window(left, side // 6 - 1024, 2048, 2048))
    return path
