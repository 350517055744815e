"""The ground as square cells of a local metric frame, for map, coverage and horizon."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from guyline.core.units import Numbers

_ROUNDING = 1e-9  # posts; nearer than this, a place is on the post and its neighbours do not count

Posts = Callable[[NDArray[np.intp], NDArray[np.intp]], NDArray[np.float32]]


@dataclass(frozen=True, eq=False, kw_only=True)
class Grid:
    """Heights of cell centres; row 0 is the northernmost, column 0 the westernmost.

    Attributes
    ----------
    ground_amsl_m : float32 array (rows, columns)
        Height of the ground, NaN where no data says. [m above mean sea level]
    cell_m : float
        Side of a cell. [m]
    west_m, north_m : float
        Outer edges of the first column and row in the frame. [m]
    lat0_deg, lon0_deg : float
        Origin of the azimuthal equidistant frame; x is east of it, y north. [degrees]
    clutter_m : float32 array (rows, columns) or None
        Height of what stands on the ground by the map of land cover, 0 where no map says and
        where trees and roofs are in the height already; None without a map. [m]
    includes_trees : bool array (rows, columns) or None
        Where trees and roofs are in the height already; None is nowhere.
    """

    ground_amsl_m: NDArray[np.float32]
    cell_m: float
    west_m: float
    north_m: float
    lat0_deg: float
    lon0_deg: float
    clutter_m: NDArray[np.float32] | None = None
    includes_trees: NDArray[np.bool_] | None = None

    @property
    def east_m(self) -> float:
        return float(self.west_m + self.ground_amsl_m.shape[1] * self.cell_m)

    @property
    def south_m(self) -> float:
        return float(self.north_m - self.ground_amsl_m.shape[0] * self.cell_m)

    @property
    def x_m(self) -> Numbers:
        """Centres of the columns in metres, ascending eastward."""
        steps = np.arange(self.ground_amsl_m.shape[1], dtype=np.float64) + 0.5
        return self.west_m + steps * self.cell_m

    @property
    def y_m(self) -> Numbers:
        """Centres of the rows in metres, descending southward."""
        steps = np.arange(self.ground_amsl_m.shape[0], dtype=np.float64) + 0.5
        return self.north_m - steps * self.cell_m

    @property
    def has_voids(self) -> bool:
        return bool(np.isnan(self.ground_amsl_m).any())

    def height_amsl_m(self, x_m: ArrayLike, y_m: ArrayLike) -> Numbers:
        """Height between the cell centres, NaN outside the grid and beside voids."""
        column = (np.asarray(x_m, float) - self.west_m) / self.cell_m - 0.5
        row = (self.north_m - np.asarray(y_m, float)) / self.cell_m - 0.5
        rows, columns = self.ground_amsl_m.shape
        return bilinear(lambda r, c: self.ground_amsl_m[r, c], (rows, columns), row, column)


def bilinear(values: Posts, shape: tuple[int, int], row: Numbers, column: Numbers) -> Numbers:
    """Values between posts; NaN outside and wherever a post that counts is NaN.

    Parameters
    ----------
    values : callable
        Returns the posts of two equally shaped arrays of row and column numbers.
    shape : (int, int)
        Rows and columns there are.
    row, column : array
        Place in posts: 0 is the centre of the first; half a post beyond the outermost ones is
        still inside and takes their value.
    """
    rows, columns = shape
    with np.errstate(invalid="ignore"):
        inside = (row >= -0.5) & (row <= rows - 0.5) & (column >= -0.5) & (column <= columns - 0.5)
    r = np.where(inside, np.clip(row, 0.0, rows - 1.0), 0.0)
    c = np.where(inside, np.clip(column, 0.0, columns - 1.0), 0.0)
    top, left = r.astype(np.intp), c.astype(np.intp)
    bottom, right = np.minimum(top + 1, rows - 1), np.minimum(left + 1, columns - 1)
    down, across = r - top, c - left
    corners = values(
        np.stack((top, top, bottom, bottom)), np.stack((left, right, left, right))
    ).astype(np.float64)
    weights = np.stack(
        ((1 - down) * (1 - across), (1 - down) * across, down * (1 - across), down * across)
    )
    total = np.where(weights < _ROUNDING, 0.0, weights * corners).sum(axis=0)
    return np.where(inside, total, np.nan)
