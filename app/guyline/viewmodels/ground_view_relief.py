"""The ground as a picture: shaded relief as an index image, contours, shore."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from contourpy import LineType, contour_generator
from numpy.typing import NDArray
from shapely import LineString, simplify

from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers
from guyline.services.job import Job

Image = NDArray[np.uint8]

VOID, WATER, FIRST_LAND = 0, 1, 2
TINTS, SHADES = 12, 21  # 12 * 21 land indices fill a byte beside void and water
SUN_AZIMUTH_DEG = 315.0  # from the upper left, else the eye takes valleys for ridges
SUN_ALTITUDE_DEG = 45.0
TYPICAL_SLOPE = 0.45  # our choice: the steeper slopes of a sheet are drawn as steep as that
MOST_EXAGGERATION = 12.0  # our choice: a plain stays a plain
CONTOUR_CELLS = 800  # our choice: contours finer than the screen only cost time
ABOUT_CONTOURS = 14
EACH_INDEX = 5  # every fifth contour is heavier and carries its height; common practice
SMOOTHED_CELLS = 0.3  # share of a cell that a thinned contour may stray; less than is seen
SHORTEST_CONTOUR = 12  # points; shorter ones are grain, not ground


@dataclass(frozen=True, slots=True, eq=False)
class Contour:
    """A line of equal height, as points in the local frame. [m]."""

    height_m: float
    points_m: Numbers
    is_index: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relief:
    """The ground of one area, ready to be coloured and drawn.

    `index` has its rows from south to north, as a plot counts them upward.
    """

    grid: Grid
    index: Image
    contours: tuple[Contour, ...]
    shore: tuple[Numbers, ...]
    interval_m: float
    lowest_m: float
    highest_m: float


def relief_of(grid: Grid, job: Job | None = None) -> Relief:
    """Shade and contour a grid; work of about a second for four million cells."""
    job = job or Job()
    heights = grid.ground_amsl_m
    job.report(0.5, "Shading the ground")
    low, high = _height_range(heights)
    index = _index_image(heights, grid.cell_m, low, high)
    job.report(0.7, "Drawing contours")
    lines = ground_lines_of(grid)
    return Relief(
        grid=grid,
        index=np.ascontiguousarray(index[::-1]),
        contours=lines.contours,
        shore=lines.shore,
        interval_m=lines.interval_m,
        lowest_m=low,
        highest_m=high,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundLines:
    """Contours and shore of a grid without its shading, as for a page in black and white."""

    contours: tuple[Contour, ...]
    shore: tuple[Numbers, ...]
    interval_m: float


def ground_lines_of(grid: Grid) -> GroundLines:
    """Draw contours and shore of a grid."""
    low, high = _height_range(grid.ground_amsl_m)
    interval = contour_interval_m(high - low)
    return GroundLines(
        contours=_contours(_coarser(grid, grid.ground_amsl_m), interval, low, high),
        shore=_shore(grid),
        interval_m=interval,
    )


def contour_interval_m(span_m: float) -> float:
    """A customary interval that gives about fourteen contours."""
    customary = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0)
    return min(customary, key=lambda step: abs(np.log(max(span_m, 1.0) / step / ABOUT_CONTOURS)))


def hillshade(heights: NDArray[np.float32], cell_m: float) -> NDArray[np.float32]:
    """Light on sloping ground after Lambert, 0 in full shadow, 1 square to the sun."""
    north, east = np.gradient(np.nan_to_num(heights, nan=0.0), cell_m)
    north = -north  # rows run southward
    slope = np.hypot(north, east)
    steep = float(np.percentile(slope[:: max(1, slope.shape[0] // 400)], 95.0))
    stretch = min(TYPICAL_SLOPE / max(steep, 1e-6), MOST_EXAGGERATION)
    altitude, azimuth = np.radians(SUN_ALTITUDE_DEG), np.radians(SUN_AZIMUTH_DEG)
    facing = north * np.cos(azimuth) + east * np.sin(azimuth)
    light = np.sin(altitude) - np.cos(altitude) * stretch * facing
    light /= np.sqrt(1.0 + (stretch * slope) ** 2)
    return np.asarray(np.clip(light, 0.0, 1.0), dtype=np.float32)


def is_water(heights: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Where the ground is at or below the level of the sea."""
    return heights <= 0.0


def _index_image(heights: NDArray[np.float32], cell_m: float, low: float, high: float) -> Image:
    share = (np.nan_to_num(heights, nan=low) - low) / max(high - low, 1.0)
    tint = np.clip(share * TINTS, 0, TINTS - 1).astype(np.uint8)
    shade = np.clip(hillshade(heights, cell_m) * SHADES, 0, SHADES - 1).astype(np.uint8)
    index = FIRST_LAND + tint * SHADES + shade
    index[is_water(heights)] = WATER
    index[np.isnan(heights)] = VOID
    return np.asarray(index, dtype=np.uint8)


def _height_range(heights: NDArray[np.float32]) -> tuple[float, float]:
    """Lowest and highest land; the sea is no part of it."""
    land = heights[heights > 0.0]
    if land.size == 0:
        land = heights[~np.isnan(heights)]
    return (0.0, 1.0) if land.size == 0 else (float(land.min()), float(land.max()))


def _coarser(grid: Grid, values: NDArray[np.float32]) -> Grid:
    """Means of whole blocks, so that contours have as many points as a screen can show."""
    rows, columns = values.shape
    step = max(1, -(-max(rows, columns) // CONTOUR_CELLS))
    if min(rows, columns) < 2 * step:
        step = 1
    whole = values[: rows // step * step, : columns // step * step]
    blocks = whole.reshape(rows // step, step, columns // step, step)
    return Grid(
        ground_amsl_m=blocks.mean(axis=(1, 3)),
        cell_m=grid.cell_m * step,
        west_m=grid.west_m,
        north_m=grid.north_m,
        lat0_deg=grid.lat0_deg,
        lon0_deg=grid.lon0_deg,
    )


def _contours(grid: Grid, interval: float, low: float, high: float) -> tuple[Contour, ...]:
    heights = grid.ground_amsl_m
    if min(heights.shape) < 2:
        return ()
    land = np.ma.masked_invalid(heights)
    lines = contour_generator(grid.x_m, grid.y_m, land, line_type=LineType.Separate)
    found = []
    for n in range(int(np.ceil(max(low, 1e-3) / interval)), int(high // interval) + 1):
        is_index = n % EACH_INDEX == 0
        for points in lines.lines(n * interval):
            if len(points) >= SHORTEST_CONTOUR:
                line = simplify(LineString(points), SMOOTHED_CELLS * grid.cell_m)
                found.append(Contour(n * interval, np.asarray(line.coords), is_index))
    return tuple(found)


def _shore(grid: Grid) -> tuple[Numbers, ...]:
    """Where half of the ground is under water; the edge of the data is no shore."""
    heights = grid.ground_amsl_m
    wet = np.where(np.isnan(heights), np.nan, is_water(heights)).astype(np.float32)
    coarse = _coarser(grid, wet)
    if min(coarse.ground_amsl_m.shape) < 2 or not is_water(heights).any():
        return ()
    known = np.ma.masked_invalid(coarse.ground_amsl_m)
    lines = contour_generator(coarse.x_m, coarse.y_m, known, line_type=LineType.Separate)
    return tuple(
        np.asarray(simplify(LineString(p), SMOOTHED_CELLS * coarse.cell_m).coords)
        for p in lines.lines(0.5)
        if len(p) >= SHORTEST_CONTOUR
    )


@dataclass(frozen=True, slots=True)
class Level:
    """Where a contour carries its height, and how the figures are turned. [degrees]."""

    height_m: float
    x_m: float
    y_m: float
    angle_deg: float


def contour_levels(contours: tuple[Contour, ...], spacing_m: float) -> tuple[Level, ...]:
    """Heights on the index contours, at least `spacing_m` from one another."""
    kept: dict[tuple[int, int], Level] = {}  # by squares of that side: at most one in each
    for contour in sorted(contours, key=lambda c: -len(c.points_m)):
        for level in _levels_along(contour, spacing_m) if contour.is_index else ():
            i, j = int(level.x_m // spacing_m), int(level.y_m // spacing_m)
            near = [kept.get((i + a, j + b)) for a in (-1, 0, 1) for b in (-1, 0, 1)]
            if all(k is None or _apart_m(level, k) > spacing_m for k in near):
                kept[i, j] = level
    return tuple(kept.values())


def _apart_m(a: Level, b: Level) -> float:
    return float(np.hypot(a.x_m - b.x_m, a.y_m - b.y_m))


def _levels_along(contour: Contour, spacing_m: float) -> list[Level]:
    points = contour.points_m
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    if along[-1] < spacing_m / 2:
        return []
    count = max(1, int(along[-1] / (2.5 * spacing_m)))
    at = np.searchsorted(along, (np.arange(count) + 0.5) * along[-1] / count)
    found = []
    for i in np.clip(at, 1, len(points) - 2):
        (x1, y1), (x2, y2) = points[i - 1], points[i + 1]
        angle = float(np.degrees(np.arctan2(y2 - y1, x2 - x1)))
        upright = (angle + 90.0) % 180.0 - 90.0
        found.append(Level(contour.height_m, float(points[i][0]), float(points[i][1]), upright))
    return found
