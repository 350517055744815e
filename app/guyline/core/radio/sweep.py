"""Coverage: the loss from one transmitter to every cell around it, by a radial sweep.

In the frame y = h - x²/(2 a), x being the distance from the transmitter and a the effective Earth
radius, every ray is a straight line wherever it ends. So what is known of the terrain so far
stays true while the receiver moves outward along a radial: the steepest slope from the
transmitter is a running maximum, that from the receiver a tangent to the upper convex hull of
the points passed, the smooth surface two prefix sums. The complete delta-Bullington of a cell
costs O(log n) instead of O(n), and is the same number as over the profile of its radial.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import ceil, floor, isnan, nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.knife_edge import CLEAR_NU, knife_edge_loss_db
from guyline.core.radio.path_arrays import check_radio
from guyline.core.radio.spherical_earth import LAND, surface_admittance
from guyline.core.radio.spread import (
    CLEAR_MODEL_SD_DB,
    GRAZING_LOSS_DB,
    OBSTRUCTED_MODEL_SD_DB,
)
from guyline.core.units import Numbers, wavelength_m
from guyline.errors import InputError, JobCancelled

Raster = NDArray[np.float32]
CancelFlag = NDArray[np.uint8]

SAME_PLACE_CELLS = 1e-6  # a transmitter nearer to a line of cells stands on it
RADIALS_PER_TASK = 64
TABLE_STEPS = 128  # per unit of nu, as the kernel counts


def _edge_table() -> Numbers:
    """J(nu) and 1 - exp(-J/6) for nu from -0.78 to 31, P.1812 eqs. (12) and (21)."""
    nu = CLEAR_NU + np.arange(4096) / TABLE_STEPS
    nu[0] = np.nextafter(CLEAR_NU, 0.0)  # J leaps there from 0 to 0.004 dB
    edge_db = knife_edge_loss_db(nu)
    return np.column_stack((edge_db, 1.0 - np.exp(-edge_db / 6.0)))


EDGE_TABLE = _edge_table()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """What stands on the ground, and where it does not count.

    Attributes
    ----------
    top_m : array (rows, columns)
        Height in each cell, 0 where nothing stands. [m above ground]
    tx_bare_m, rx_bare_m : float
        About either antenna nothing counts as far as this. [m]
    is_tx_among, is_rx_among : bool
        Whether other terms count what stands about that antenna: then nothing counts as far as
        it goes without a gap from `tx_bare_m` or `rx_bare_m` on.
    """

    top_m: Raster
    tx_bare_m: float
    is_tx_among: bool
    rx_bare_m: float
    is_rx_among: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweepSite:
    """A transmitter over a raster of heights in a local metric frame.

    Attributes
    ----------
    height_amsl_m : array (rows, columns)
        Height at the centre of each cell, NaN where no data says. Rows run from north to south,
        columns from west to east, as rasters are stored. [m above sea level]
    cell_m : float
        Side of the square cells. [m]
    tx_row, tx_col : float
        Place of the transmitter in cell centres, fractions allowed.
    tx_agl_m, rx_agl_m : float
        Antenna heights, that of the receiver wherever it may stand. [m above ground]
    frequency_hz : float
        Carrier frequency. [Hz]
    effective_radius_m : float
        Effective Earth radius. [m]
    polarisation : str
        "vertical" or "horizontal".
    tx_ground_amsl_m : float or None
        Surveyed ground at the transmitter; interpolated from the raster where it is None.
    standing : Standing or None
        Trees and houses that diffract on the way, where they are known.
    """

    height_amsl_m: Raster
    cell_m: float
    tx_row: float
    tx_col: float
    tx_agl_m: float
    rx_agl_m: float
    frequency_hz: float
    effective_radius_m: float = 8_500_000.0
    polarisation: str = "vertical"
    tx_ground_amsl_m: float | None = None
    standing: Standing | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellRaster:
    """A quantity on a grid of cells: element [i, j] is for the cell at row_of(i), col_of(j).

    `every` is 1 for all cells; a coarse raster has one element for `every` x `every` of them,
    counted from the first of the grid: that of the middle one. NaN: unknown, or beyond the radius.
    """

    values: Raster
    first_row: int
    first_col: int
    every: int
    cell_m: float

    def row_of(self, i: int) -> int:
        return self.first_row + self.every * i

    def col_of(self, j: int) -> int:
        return self.first_col + self.every * j


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarginTerms:
    """What makes a margin of the loss to a cell.

    Attributes
    ----------
    constant_db : float
        Margin without path loss, antenna gain and clutter. [dB]
    gain_dbi : array (A, E)
        Sampled pattern of the transmitter's antenna: A azimuths from north (0° of A equal parts
        of 360°, clockwise), E elevations from -90° to 90° inclusive; between them it is linear.
        A >= 1, E >= 2
    clutter_db : array (N,)
        Loss among the receiver's surroundings at distances `clutter_step_m` apart, from 0; the
        last holds beyond. N >= 1
    variance_db2 : float
        Variance of the margin but for that of the path model, which `spread` takes from the
        diffraction loss of each cell. [dB²]
    """

    constant_db: float
    gain_dbi: Numbers
    clutter_db: Numbers
    clutter_step_m: float = 1.0
    variance_db2: float = 0.0


def coverage_loss_db(
    site: SweepSite,
    radius_m: float,
    *,
    every: int = 1,
    threads: int | None = None,
    cancel: CancelFlag | None = None,
) -> CellRaster:
    """Free space plus delta-Bullington to every cell within a radius, in dB.

    Parameters
    ----------
    site : SweepSite
        Transmitter and ground.
    radius_m : float
        Farthest cell. [m]
    every : int
        1 for all cells; n evaluates one of n x n, on as many fewer radials, for a quick picture.
    threads : int, optional
        As many as the machine has processors where left out.
    cancel : array (1,) of uint8, optional
        Set its element to anything but 0 from another thread to stop.

    Returns
    -------
    CellRaster
        float32; only the square about the transmitter that the radius fills, so that memory
        follows the radius and not the raster.

    Raises
    ------
    InputError
        A value that makes no sense.
    JobCancelled
        `cancel` was set.

    Notes
    -----
    Exact along each radial: equal to `delta_bullington_loss_db` over the samples where the
    radial crosses the lines of cells, linearly interpolated; on them stands what stands in the
    nearer cell, and counts in the Bullington part. A cell takes the sample of the
    radial that passes nearest its centre, less than half a cell away where the radius or the
    data ends, whichever is nearer, and nearer inside. A void hides everything behind it. The
    cell on which the transmitter stands gets free space over half a cell (our choice; it has
    no distance).

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.3, as `diffraction`; the sweep is our own.
    """
    cells = _empty_cells(site, radius_m, every)
    _sweep(site, radius_m, cells, _NO_TERMS, np.empty(0, dtype=np.float32), threads, cancel)
    if not isnan(_ground_m(site)):
        _fill_own_cell(site, cells)
    return cells


def coverage_margin_db(
    site: SweepSite,
    terms: MarginTerms,
    radius_m: float,
    *,
    every: int = 1,
    threads: int | None = None,
    cancel: CancelFlag | None = None,
) -> tuple[CellRaster, Raster]:
    """Margin in every cell within a radius and its standard deviation, both in dB.

    .. math:: M = M_0 + G - L - A_h

    Parameters and errors as those of `coverage_loss_db`, and

    Parameters
    ----------
    terms : MarginTerms
        M_0, G and A_h.

    Notes
    -----
    One pass with the loss L, which is that of `coverage_loss_db`. The elevation is that toward
    the receiver itself at the sample that stands for the cell, with the curvature of the
    effective Earth, not toward the horizon that may hide it; azimuth and A_h go by the cell's
    centre. NaN in voids and on the transmitter's own place, which has no direction.
    """
    if terms.gain_dbi.ndim != 2 or terms.gain_dbi.shape[0] < 1 or terms.gain_dbi.shape[1] < 2:
        raise InputError(
            f"The antenna pattern has the shape {terms.gain_dbi.shape}.",
            advice="Give one row per azimuth and at least two elevations.",
        )
    cells = _empty_cells(site, radius_m, every)
    sd = np.full(cells.values.shape, nan, dtype=np.float32)
    _sweep(site, radius_m, cells, terms, sd, threads, cancel)
    return cells, sd


_NO_TERMS = MarginTerms(constant_db=0.0, gain_dbi=np.zeros((1, 2)), clutter_db=np.zeros(1))


def _sweep(
    site: SweepSite,
    radius_m: float,
    cells: CellRaster,
    terms: MarginTerms,
    sd: Raster,
    threads: int | None,
    cancel: CancelFlag | None,
) -> None:
    """Fill cells with margins and `sd` with theirs, or with losses where `sd` is empty."""
    flag = np.zeros(1, dtype=np.uint8) if cancel is None else cancel
    heights = _lent(site.height_amsl_m, np.float32)
    ground_m = _ground_m(site)
    if not isnan(ground_m):
        varies = terms.clutter_db.size > 1
        same = (
            heights.ravel(),
            *_standing(site),
            cells.values.ravel(),
            sd.ravel(),
            flag,
            _lent(terms.gain_dbi, np.float64),
            _lent(terms.clutter_db, np.float64),
            float(terms.clutter_step_m),
            float(terms.constant_db) - (0.0 if varies else float(terms.clutter_db[0])),
            float(terms.variance_db2),
            CLEAR_MODEL_SD_DB,
            OBSTRUCTED_MODEL_SD_DB,
            GRAZING_LOSS_DB,
        )
        tasks = [
            same + task
            for side in _sides(site, heights, cells, radius_m)
            for task in side.tasks(site, radius_m, ground_m)
        ]
        _run_all(tasks, threads)
    if flag[0]:
        raise JobCancelled


def is_prepared() -> bool:
    """Whether the compiled loops are loaded, so that a sweep begins at once."""
    kernel = sys.modules.get("guyline.core.radio.sweep_kernel")
    return kernel is not None and (not kernel.IS_COMPILED or bool(kernel.sweep_side.signatures))


def prepare() -> None:
    """Load the compiled loops, or compile them where this is the first time.

    For a thread in the background: the first time takes some ten seconds of one processor, every
    later one half a second, and the first sweep would otherwise wait for it.
    """
    if is_prepared():
        return
    ground = np.zeros((5, 5), dtype=np.float32)
    site = SweepSite(
        height_amsl_m=ground,
        cell_m=30.0,
        tx_row=2.0,
        tx_col=2.0,
        tx_agl_m=10.0,
        rx_agl_m=2.0,
        frequency_hz=868e6,
    )
    coverage_margin_db(site, _NO_TERMS, 60.0, threads=1)


def refined_coverage(
    site: SweepSite,
    radius_m: float,
    *,
    steps: Sequence[int] = (8, 3, 1),
    threads: int | None = None,
    cancel: CancelFlag | None = None,
) -> Iterator[CellRaster]:
    """Coverage from coarse to fine, for a picture that follows the hand.

    Parameters as those of `coverage_loss_db`; `steps` are its `every`, one after the other.
    """
    for every in steps:
        yield coverage_loss_db(site, radius_m, every=every, threads=threads, cancel=cancel)


def _standing(site: SweepSite) -> tuple[Raster, float, bool, float, bool]:
    known = site.standing
    if known is None:
        return _lent(np.empty(0), np.float32), 0.0, False, 0.0, False
    return (
        _lent(known.top_m, np.float32).ravel(),
        float(known.tx_bare_m),
        bool(known.is_tx_among),
        float(known.rx_bare_m),
        bool(known.is_rx_among),
    )


def _lent(values: NDArray[Any], kind: type[np.floating[Any]]) -> NDArray[Any]:
    """The values as the loops take them: always read-only, or they were compiled once for each."""
    lent = np.ascontiguousarray(values, dtype=kind).view()
    lent.flags.writeable = False
    return lent


def _ground_m(site: SweepSite) -> float:
    ground = site.tx_ground_amsl_m
    return ground_at_m(site.height_amsl_m, site.tx_row, site.tx_col) if ground is None else ground


def ground_at_m(height_amsl_m: NDArray[Any], row: float, col: float) -> float:
    """Height between four cell centres, bilinear; NaN outside the raster or beside a void."""
    rows, cols = height_amsl_m.shape
    if not (0.0 <= row <= rows - 1 and 0.0 <= col <= cols - 1):
        return nan
    r, c = min(int(row), max(rows - 2, 0)), min(int(col), max(cols - 2, 0))
    height = 0.0
    for i, by_row in ((r, 1.0 - (row - r)), (r + 1, row - r)):
        for j, by_col in ((c, 1.0 - (col - c)), (c + 1, col - c)):
            if by_row > 0.0 and by_col > 0.0:  # a void with no weight does no harm
                height += by_row * by_col * float(height_amsl_m[i, j])
    return height


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """One of the four sides of the transmitter, as the kernel counts cells there."""

    is_row_main: bool
    main_start: int
    main_step: int
    main_count: int
    main_stride: int
    cross_tx: float
    cross_count: int
    cross_stride: int
    first: float
    is_diagonal_mine: bool
    fan: int
    out_main_first: int
    out_main_stride: int
    out_cross_first: int
    out_cross_count: int
    out_cross_stride: int
    every: int

    def tasks(
        self, site: SweepSite, radius_m: float, ground_m: float
    ) -> Iterator[tuple[Any, ...]]:
        """Arguments of the kernel for bundles of radials."""
        ghz = site.frequency_hz / 1e9
        # K is this over the cube root of the effective radius in km, P.1812 eq. (30)
        ground = surface_admittance(LAND, ghz, 1.0, site.polarisation)
        for begin in range(-self.fan, self.fan + 1, RADIALS_PER_TASK):
            yield (
                self.is_row_main,
                self.main_start,
                self.main_step,
                self.main_count,
                self.main_stride,
                self.cross_tx,
                self.cross_count,
                self.cross_stride,
                self.first,
                self.is_diagonal_mine,
                self.fan,
                begin,
                min(begin + RADIALS_PER_TASK, self.fan + 1),
                self.out_main_first,
                self.out_main_stride,
                self.out_cross_first,
                self.out_cross_count,
                self.out_cross_stride,
                self.every,
                float(site.cell_m),
                float(radius_m),
                float(ground_m),
                float(site.tx_agl_m),
                float(site.rx_agl_m),
                float(ghz),
                float(wavelength_m(site.frequency_hz)),
                float(site.effective_radius_m),
                float(ground),
                EDGE_TABLE,
            )


def _sides(
    site: SweepSite, heights: Raster, cells: CellRaster, radius_m: float
) -> Iterator[_Side]:
    """East, west, south, north; diagonals go to east and west."""
    rows, cols = heights.shape
    out_rows, out_cols = cells.values.shape
    row, col = _on_line(site.tx_row), _on_line(site.tx_col)
    reach = _on_line(radius_m / site.cell_m)
    for is_row_main, direction in ((False, 1), (False, -1), (True, 1), (True, -1)):
        main_tx, cross_tx = (row, col) if is_row_main else (col, row)
        main_size, cross_size = (rows, cols) if is_row_main else (cols, rows)
        start = floor(main_tx) + 1 if direction > 0 else ceil(main_tx) - 1
        first = abs(start - main_tx)
        available = main_size - start if direction > 0 else start + 1
        count = min(available, floor(reach - first) + 1)
        if count <= 0:
            continue
        yield _Side(
            is_row_main=is_row_main,
            main_start=start,
            main_step=direction,
            main_count=count,
            main_stride=cols if is_row_main else 1,
            cross_tx=cross_tx,
            cross_count=cross_size,
            cross_stride=1 if is_row_main else cols,
            first=first,
            is_diagonal_mine=not is_row_main,
            fan=max(ceil(min(reach, first + count - 1) / cells.every), 1),
            out_main_first=cells.first_row if is_row_main else cells.first_col,
            out_main_stride=out_cols if is_row_main else 1,
            out_cross_first=cells.first_col if is_row_main else cells.first_row,
            out_cross_count=out_cols if is_row_main else out_rows,
            out_cross_stride=1 if is_row_main else out_cols,
            every=cells.every,
        )


def _on_line(place: float) -> float:
    """Place in cells, free of the rounding that would set it just beside a line of cells."""
    nearest = float(round(place))
    return nearest if abs(place - nearest) < SAME_PLACE_CELLS else float(place)


def _run_all(tasks: list[tuple[Any, ...]], threads: int | None) -> None:
    kernel = _kernel()
    if threads == 1:
        for task in tasks:
            kernel.sweep_side(*task)
        return
    with ThreadPoolExecutor(threads or _processors()) as pool:
        for done in [pool.submit(kernel.sweep_side, *task) for task in tasks]:
            done.result()


def _kernel() -> Any:
    """Return the loops, imported late: the compiler would cost every start 0.2 s."""
    from guyline.core.radio import sweep_kernel

    return sweep_kernel


def _processors() -> int:
    return os.cpu_count() or 1


def _empty_cells(site: SweepSite, radius_m: float, every: int) -> CellRaster:
    _check(site, radius_m, every)
    rows, cols = site.height_amsl_m.shape
    reach = _on_line(radius_m / site.cell_m)
    first_row, row_count = _window(site.tx_row, reach, rows, every)
    first_col, col_count = _window(site.tx_col, reach, cols, every)
    return CellRaster(
        values=np.full((row_count, col_count), nan, dtype=np.float32),
        first_row=first_row,
        first_col=first_col,
        every=every,
        cell_m=site.cell_m,
    )


def _window(centre: float, reach: float, size: int, every: int) -> tuple[int, int]:
    """First cell and number of elements along one axis; coarse cells of all sites coincide."""
    low = max(ceil(centre - reach), 0)
    high = min(floor(centre + reach), size - 1)
    first = low + (every // 2 - low) % every
    return first, max((high - first) // every + 1, 0)


def _fill_own_cell(site: SweepSite, cells: CellRaster) -> None:
    row, col = _on_line(site.tx_row), _on_line(site.tx_col)
    i, over_row = divmod(row - cells.first_row, cells.every)
    j, over_col = divmod(col - cells.first_col, cells.every)
    inside = 0 <= i < cells.values.shape[0] and 0 <= j < cells.values.shape[1]
    if over_row == over_col == 0.0 and inside:
        cells.values[int(i), int(j)] = free_space_loss_db(site.cell_m / 2.0, site.frequency_hz)


def _check(site: SweepSite, radius_m: float, every: int) -> None:
    check_radio(site.frequency_hz, site.polarisation)
    positive = {
        "cell size": site.cell_m,
        "radius": radius_m,
        "effective Earth radius": site.effective_radius_m,
        "resolution step": every,
    }
    for name, value in positive.items():
        if not 0.0 < value < float("inf"):
            raise InputError(f"The {name} is {value}.", advice="Enter a value above zero.")
    if not (0.0 <= site.tx_agl_m < float("inf") and 0.0 <= site.rx_agl_m < float("inf")):
        raise InputError(
            f"The antennas are {site.tx_agl_m} m and {site.rx_agl_m} m above ground.",
            advice="Neither can be below the ground.",
        )
    if site.height_amsl_m.ndim != 2 or not site.height_amsl_m.size:
        raise InputError(
            f"The heights have the shape {site.height_amsl_m.shape}.",
            advice="Give a raster of rows and columns.",
        )
    if site.standing is not None and site.standing.top_m.shape != site.height_amsl_m.shape:
        raise InputError(
            f"The heights have the shape {site.height_amsl_m.shape}, what stands on them "
            f"{site.standing.top_m.shape}.",
            advice="Give both for the same cells.",
        )
    rows, cols = site.height_amsl_m.shape
    if not (0.0 <= site.tx_row <= rows - 1 and 0.0 <= site.tx_col <= cols - 1):
        raise InputError(
            f"The transmitter is at row {site.tx_row:g}, column {site.tx_col:g}, outside the "
            f"{rows} x {cols} cells of the elevation data.",
            advice="Add elevation data for its surroundings.",
        )
