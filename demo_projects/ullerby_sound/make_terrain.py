"""Makes terrain.tif: the ground of Ullerby Sound, a place that does not exist.

The coordinates lie in the open South Pacific, where there is no land, so that nothing here can
be mistaken for a real hill. Rivers carve the hills by the stream power law of geomorphology,
solved with the implicit scheme of J. Braun and S. D. Willett, "A very efficient O(n), implicit
and parallel method to solve the stream power equation", Geomorphology 180-181 (2013) 170-179;
every constant is chosen for its looks.

    python demo_projects/ullerby_sound/make_terrain.py
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import rasterio
from numpy.typing import NDArray
from rasterio.transform import Affine
from scipy import ndimage

Field = NDArray[np.float64]

SEED = 20_260
CELL_M = 30.0
COLUMNS, ROWS = 800, 600  # 24 km x 18 km
COARSE = 4  # rivers are made on cells of 120 m
EPSG = 32709  # UTM zone 9 South, WGS 84
WEST_M, NORTH_M = 488_000.0, 4_906_000.0  # about 46.0 S 129.1 W
SUMMIT_M = 640.0
HERE = Path(__file__).resolve().parent


def noise(shape: tuple[int, int], slope: float, random: np.random.Generator) -> Field:
    """Return a random field whose spectrum falls with `slope`, scaled to deviation 1."""
    frequency = np.hypot(*np.meshgrid(*(np.fft.fftfreq(n) for n in shape), indexing="ij"))
    frequency[0, 0] = np.inf
    spectrum = np.fft.fft2(random.standard_normal(shape)) * frequency**-slope
    field = np.fft.ifft2(spectrum).real
    return np.asarray((field - field.mean()) / field.std())


def land(shape: tuple[int, int], random: np.random.Generator) -> Field:
    """Return the signed distance to the shore in units of the map's height, land positive."""
    rows, columns = shape
    y, x = np.meshgrid(
        np.linspace(0, 1, rows), np.linspace(0, columns / rows, columns), indexing="ij"
    )
    x = x + 0.050 * noise(shape, 1.7, random)
    y = y + 0.050 * noise(shape, 1.7, random)
    # the sound winds from the southern sea up to a head in the north
    middle = 0.78 + 0.09 * np.sin(4.2 * y + 0.6) + 0.16 * (y - 0.5)
    half_width = 0.020 + 0.085 * y
    head = 0.22
    sound = np.where(
        y > head, np.abs(x - middle) - half_width, np.hypot(x - middle, y - head) - 0.03
    )
    western = 0.43 - np.hypot((x - 0.53) * 0.92, (y - 0.46) * 1.04)
    eastern = 0.40 - np.hypot((x - 0.98) * 1.25, (y - 0.46))
    return np.minimum(sound, np.maximum(western, eastern)) + 0.022 * noise(shape, 1.3, random)


def receivers(height: Field, is_sea: NDArray[np.bool_]) -> tuple[NDArray[np.intp], Field]:
    """Return the neighbour each cell drains to (itself in pits and sea) and its distance."""
    rows, columns = height.shape
    best = np.zeros(height.shape)
    to = np.arange(height.size).reshape(height.shape)
    away = np.ones(height.shape)
    padded = np.pad(height, 1, constant_values=np.inf)
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            if dy == dx == 0:
                continue
            far = math.hypot(dx, dy)
            drop = (height - padded[1 + dy : 1 + dy + rows, 1 + dx : 1 + dx + columns]) / far
            steeper = drop > best
            best[steeper] = drop[steeper]
            to[steeper] = (np.arange(height.size).reshape(height.shape) + dy * columns + dx)[
                steeper
            ]
            away[steeper] = far
    to[is_sea] = np.arange(height.size).reshape(height.shape)[is_sea]
    return to.ravel(), away.ravel()


def carve(height: Field, is_sea: NDArray[np.bool_], uplift: Field, steps: int) -> Field:
    """Return the height after rivers and uplift have worked on it for some steps."""
    lift, erosion = uplift.ravel(), 0.35
    for _ in range(steps):
        to, away = receivers(height, is_sea)
        order = np.argsort(height.ravel(), kind="stable")
        area = [1.0] * height.size
        downstream = to.tolist()
        for cell in reversed(order.tolist()):
            if downstream[cell] != cell:
                area[downstream[cell]] += area[cell]
        factor = (erosion * np.sqrt(area) / away).tolist()
        new = (height.ravel() + np.where(is_sea.ravel(), 0.0, lift)).tolist()
        for cell in order.tolist():
            below = downstream[cell]
            if below != cell:
                new[cell] = (new[cell] + factor[cell] * new[below]) / (1.0 + factor[cell])
        height = np.array(new).reshape(height.shape)
        height = np.where(is_sea, 0.0, ndimage.gaussian_filter(height, 0.35))
    return height


def terrain() -> NDArray[np.float32]:
    """Return the heights of Ullerby Sound, north row first, sea at 0."""
    random = np.random.default_rng(SEED)
    shape = (ROWS // COARSE, COLUMNS // COARSE)
    shore = land(shape, random)
    is_sea = shore <= 0.0
    hills = 0.70 + 0.40 * np.clip(noise(shape, 1.6, random), -1.2, 2.0)
    uplift = np.clip(shore, 0.0, 0.22) * np.clip(hills, 0.05, None)
    start = np.clip(shore, 0.0, None) * 0.5 + 0.01 * random.random(shape)
    height = carve(np.where(is_sea, 0.0, start), is_sea, uplift, 120)
    height *= SUMMIT_M / height.max()
    fine_shape = (ROWS, COLUMNS)
    fine = ndimage.zoom(height, COARSE, order=3, mode="nearest", grid_mode=True)
    shore = ndimage.zoom(shore, COARSE, order=3, mode="nearest", grid_mode=True)
    rough = noise(fine_shape, 1.5, random)
    fine = fine + rough * np.clip(fine / 60.0, 0.0, 1.0) * 4.0
    on_land = (shore > 0.0) & (fine > 0.0)
    return np.where(on_land, np.maximum(np.round(fine, 1), 0.5), 0.0).astype(np.float32)


def main() -> None:
    heights = terrain()
    with rasterio.open(
        HERE / "terrain.tif",
        "w",
        driver="GTiff",
        width=COLUMNS,
        height=ROWS,
        count=1,
        dtype="float32",
        crs=f"EPSG:{EPSG}",
        transform=Affine(CELL_M, 0.0, WEST_M, 0.0, -CELL_M, NORTH_M),
        nodata=-32768.0,
        compress="deflate",
        predictor=3,
        zlevel=9,
        tiled=True,
        blockxsize=256,
        blockysize=256,
    ) as raster:
        raster.write(heights, 1)
        raster.update_tags(AREA_OR_POINT="Area", DESCRIPTION="Invented ground, no real place")
        raster.set_band_unit(1, "metre")


if __name__ == "__main__":
    main()
