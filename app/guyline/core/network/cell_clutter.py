"""Trees and houses on the cells of a grid, for coverage: the rules of `path_clutter`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guyline.core.network.path_clutter import BARE_END_M, HEIGHT_ON_PATH_M
from guyline.core.network.terminal_terms import counts_surroundings
from guyline.core.plan import ClutterBand, Plan, Site, SiteId
from guyline.core.radio.sweep import Standing
from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers

Raster = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandOnGrid:
    """A band that the planner drew, with its ends in the frame of a grid. [m]"""

    band: ClutterBand
    from_x_m: float
    from_y_m: float
    to_x_m: float
    to_y_m: float


def drawn_clutter_m(grid: Grid, bands: Sequence[BandOnGrid]) -> Raster | None:
    """Height of what stands in each cell, by map and planner; None where nothing stands. [m]

    What was drawn counts instead of the map, the highest where several bands meet, and nothing
    where trees and roofs are in the height of the ground already.
    """
    if not bands:
        return grid.clutter_m
    drawn = np.full(grid.ground_amsl_m.shape, np.nan, dtype=np.float32)
    for on_grid in bands:
        band = on_grid.band
        height = HEIGHT_ON_PATH_M[band.kind] if band.height_m is None else band.height_m
        rows, cols = _window(grid, on_grid)
        inside = _distance_m(grid, on_grid, rows, cols) <= band.half_width_m
        here = drawn[rows, cols]
        here[inside] = np.fmax(here[inside], np.float32(height))
    mapped = np.float32(0.0) if grid.clutter_m is None else grid.clutter_m
    clutter = np.where(np.isnan(drawn), mapped, drawn)
    if grid.includes_trees is not None:
        clutter[grid.includes_trees] = 0.0
    return clutter


def _window(grid: Grid, on_grid: BandOnGrid) -> tuple[slice, slice]:
    """Rows and columns that the band can touch."""
    wide = on_grid.band.half_width_m + grid.cell_m
    west = min(on_grid.from_x_m, on_grid.to_x_m) - wide - grid.west_m
    east = max(on_grid.from_x_m, on_grid.to_x_m) + wide - grid.west_m
    top = grid.north_m - max(on_grid.from_y_m, on_grid.to_y_m) - wide
    bottom = grid.north_m - min(on_grid.from_y_m, on_grid.to_y_m) + wide

    def cells(low: float, high: float) -> slice:
        return slice(max(int(low // grid.cell_m), 0), max(int(high // grid.cell_m) + 1, 0))

    return cells(top, bottom), cells(west, east)


def _distance_m(grid: Grid, on_grid: BandOnGrid, rows: slice, cols: slice) -> Numbers:
    """Distance of cell centres from the line between the band's ends. [m]"""
    x = grid.x_m[cols][None, :] - on_grid.from_x_m
    y = grid.y_m[rows][:, None] - on_grid.from_y_m
    end_x, end_y = on_grid.to_x_m - on_grid.from_x_m, on_grid.to_y_m - on_grid.from_y_m
    squared = end_x**2 + end_y**2
    along = (x * end_x + y * end_y) / squared if squared > 0.0 else np.zeros((y.size, x.size))
    part = np.clip(along, 0.0, 1.0)
    return np.asarray(np.hypot(x - part * end_x, y - part * end_y))


def standing_of(plan: Plan, site: Site, grid: Grid) -> Standing | None:
    """What diffracts between a site and the plan's handheld, no obstacle counted twice."""
    if grid.clutter_m is None or not grid.clutter_m.any():
        return None
    held = Site(
        site_id=SiteId("handheld"),
        surroundings=plan.handheld.surroundings,
        antenna_agl_m=plan.handheld.antenna_agl_m,
    )
    is_among = counts_surroundings(plan, site)
    return Standing(
        top_m=grid.clutter_m,
        tx_bare_m=max(BARE_END_M, site.trees_m) if is_among else BARE_END_M,
        is_tx_among=is_among,
        rx_bare_m=BARE_END_M,
        is_rx_among=counts_surroundings(plan, held),
    )
