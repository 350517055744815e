"""Loops of the coverage sweep as machine code; see `sweep` for what they compute.

All of them stand in one module because the compiler's cache notices changes of this file only.
Where the compiler is missing the same loops run as plain Python. No fast-math: voids are NaN.
"""

from __future__ import annotations

from collections.abc import Callable
from math import acos, atan, cos, degrees, exp, floor, isnan, log10, pi, sqrt
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from guyline.core.units import Numbers

try:
    from numba import njit
except ImportError:  # no wheels for some machines
    njit = None  # type: ignore[assignment]

Heights = NDArray[np.float32]
Flag = NDArray[np.uint8]
Loop = TypeVar("Loop", bound=Callable[..., Any])

IS_COMPILED = njit is not None
BLOCK = 16  # samples that share one bound in the search on clear paths
CLEAR_NU = 0.78  # P.1812 eq. (12): an edge that clears by this costs nothing


def compiled(loop: Loop) -> Loop:
    """Return the loop as machine code, kept for the next start where there is a place for it."""
    if njit is None:
        return loop
    try:
        return njit(loop, nogil=True, cache=True)  # type: ignore[no-any-return]
    except RuntimeError:  # neither the package nor the home can be written to
        return njit(loop, nogil=True)  # type: ignore[no-any-return]


@compiled
def edge_loss_db(nu: float, distance_m: float) -> float:
    """Knife-edge loss with Bullington's correction, P.1812 eqs. (12) and (21)."""
    if nu <= -CLEAR_NU:
        return 0.0
    x = nu - 0.1
    edge = 6.9 + 20.0 * log10(sqrt(x * x + 1.0) + x)
    return edge + (1.0 - exp(-edge / 6.0)) * (10.0 + 2e-5 * distance_m)


@compiled
def first_term_db(
    d_km: float, h1_m: float, h2_m: float, ghz: float, radius_km: float, ground: float
) -> float:
    """First term over land, P.1812 eqs. (30) to (36); `ground` is K times radius^(1/3)."""
    inverse = float(radius_km ** (-1.0 / 3.0))
    k = ground * inverse
    k2 = k * k
    beta = (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2)
    third = float(ghz ** (1.0 / 3.0))
    x = 21.88 * beta * third * inverse * inverse * d_km
    if x >= 1.6:
        loss = -11.0 - 10.0 * log10(x) + 17.6 * x
    else:
        loss = 20.0 * log10(x) + 5.6488 * float(x**1.425)
    per_metre = 0.9575 * beta * beta * third * third * inverse
    floor_db = 2.0 + 20.0 * log10(k)
    for h in (h1_m, h2_m):
        b = per_metre * h
        gain = floor_db
        if b > 2.0:
            gain = 17.6 * sqrt(b - 1.1) - 5.0 * log10(b - 1.1) - 8.0
        elif b > 0.0:
            gain = 20.0 * log10(b + 0.1 * b * b * b)
        loss -= max(gain, floor_db)
    return loss


@compiled
def spherical_db(
    d_m: float, h1_m: float, h2_m: float, ghz: float, wave_m: float, radius_m: float, ground: float
) -> float:
    """Smooth-Earth loss over land, P.1812 eqs. (22) to (28), in SI units but for `ground`."""
    roots = sqrt(h1_m) + sqrt(h2_m)
    if d_m >= sqrt(2.0 * radius_m) * roots:
        return first_term_db(d_m / 1e3, h1_m, h2_m, ghz, radius_m / 1e3, ground)
    c = (h1_m - h2_m) / (h1_m + h2_m)
    m = d_m * d_m / (4.0 * radius_m * (h1_m + h2_m))
    cosine = 1.5 * c * sqrt(3.0 * m / (m + 1.0) ** 3)
    angle = acos(min(max(cosine, -1.0), 1.0))
    b = 2.0 * sqrt((m + 1.0) / (3.0 * m)) * cos(pi / 3.0 + angle / 3.0)
    d1 = 0.5 * d_m * (1.0 + b)
    d2 = d_m - d1
    clearance = (h1_m * d2 + h2_m * d1) / d_m - d1 * d2 / (2.0 * radius_m)
    needed = 17.456 * sqrt(max(d1 * d2, 0.0) * wave_m / (1e3 * d_m))
    if clearance > needed:
        return 0.0
    marginal_km = d_m * d_m / (2e3 * roots * roots)
    loss = first_term_db(d_m / 1e3, h1_m, h2_m, ghz, marginal_km, ground)
    return max(loss, 0.0) * (1.0 - clearance / needed)


@compiled
def smooth_edge_nu(
    d_m: float,
    h1_m: float,
    h2_m: float,
    wave_m: float,
    radius_m: float,
    first: float,
    step_m: float,
    inside: int,
) -> float:
    """Diffraction parameter of Bullington's edge over a smooth surface of the same samples.

    Sample i lies (first + i) steps from the transmitter. Both horizon slopes are concave along
    the path, so the best sample is one of the two beside the closed-form maximum.
    """
    if inside == 0:
        return -CLEAR_NU
    curve = 0.5 / radius_m
    direct = (h2_m - h1_m) / d_m
    at = floor(sqrt(2.0 * radius_m * h1_m) / step_m - first)
    steepest = -1e300
    for j in range(2):
        x = (first + min(max(at + j, 0), inside - 1)) * step_m
        steepest = max(steepest, (d_m - x) * curve - h1_m / x)
    if steepest >= direct:
        at = floor((d_m - sqrt(2.0 * radius_m * h2_m)) / step_m - first)
        back = -1e300
        for j in range(2):
            x = (first + min(max(at + j, 0), inside - 1)) * step_m
            back = max(back, x * curve - h2_m / (d_m - x))
        return sqrt(2.0 * d_m * (steepest - direct) * max(back + direct, 0.0) / wave_m)
    low, high = 0, inside - 1
    while low < high:  # the parameter has one maximum: follow the sign of its derivative
        middle = (low + high) // 2
        s = (first + middle + 0.5) * step_m / d_m
        w = s * (1.0 - s)
        line = h1_m + (h2_m - h1_m) * s
        if (0.5 - s) * (d_m * d_m * curve * w + line) > (h2_m - h1_m) * w:
            low = middle + 1
        else:
            high = middle
    nu = -1e300
    for i in range(max(low - 1, 0), min(low + 2, inside)):
        x = (first + i) * step_m
        above = x * (d_m - x) * curve - (h1_m * (d_m - x) + h2_m * x) / d_m
        nu = max(nu, above * sqrt(2.0 * d_m / (wave_m * x * (d_m - x))))
    return nu


@compiled
def pushed(xs: Numbers, ys: Numbers, count: int, x: float, y: float) -> int:
    """Put a point to the right of an upper convex hull; its new number of corners comes back."""
    while count >= 2:
        ax, ay = xs[count - 2], ys[count - 2]
        if (y - ay) * (xs[count - 1] - ax) < (ys[count - 1] - ay) * (x - ax):
            break
        count -= 1
    xs[count] = x
    ys[count] = y
    return count + 1


@compiled
def steepest_back(xs: Numbers, ys: Numbers, count: int, x: float, y: float) -> float:
    """Greatest slope from a point right of the hull back to it: its tangent."""
    low, high = 0, count - 1
    while low < high:
        i = (low + high) // 2
        if (ys[i] - y) * (x - xs[i + 1]) >= (ys[i + 1] - y) * (x - xs[i]):
            high = i
        else:
            low = i + 1
    return float((ys[low] - y) / (x - xs[low]))


@compiled
def highest_above(xs: Numbers, ys: Numbers, count: int, start: float, slope: float) -> float:
    """Greatest height of the hull above a line given by its height at 0 and its slope."""
    low, high = 0, count - 1
    while low < high:
        i = (low + high) // 2
        if ys[i + 1] - ys[i] <= slope * (xs[i + 1] - xs[i]):
            high = i
        else:
            low = i + 1
    return float(ys[low] - (start + slope * xs[low]))


@compiled
def clear_nu(
    slopes: Numbers,
    block_slopes: Numbers,
    inside: int,
    to_rx: float,
    d_m: float,
    wave_m: float,
    first: float,
    step_m: float,
) -> float:
    """Worst Fresnel parameter of a path on which every sample lies below the line of sight.

    nu_i = (slope_i - to_rx) sqrt(2 d x_i / (wave (d - x_i))): a block whose greatest slope at
    its nearest sample stays below the worst so far cannot hold a worse one.
    """
    free = CLEAR_NU * CLEAR_NU * wave_m / (2.0 * d_m)
    best = free
    for block in range((inside - 1) // BLOCK, -1, -1):
        begin = block * BLOCK
        x = (first + begin) * step_m
        gap = to_rx - block_slopes[block]
        if gap * gap * x >= best * (d_m - x):
            continue
        for i in range(begin, min(begin + BLOCK, inside)):
            x = (first + i) * step_m
            gap = to_rx - slopes[i]
            if gap * gap * x < best * (d_m - x):
                best = gap * gap * x / (d_m - x)
    return -CLEAR_NU if best >= free else -sqrt(2.0 * d_m * best / wave_m)


@compiled
def sweep_side(
    heights: Heights,
    loss: Heights,
    cancel: Flag,
    main_start: int,
    main_step: int,
    main_count: int,
    main_stride: int,
    cross_tx: float,
    cross_count: int,
    cross_stride: int,
    first: float,
    is_diagonal_mine: bool,
    fan: int,
    fan_begin: int,
    fan_end: int,
    out_main_first: int,
    out_main_stride: int,
    out_cross_first: int,
    out_cross_count: int,
    out_cross_stride: int,
    every: int,
    cell_m: float,
    radius_m: float,
    ground_tx_m: float,
    tx_agl_m: float,
    rx_agl_m: float,
    ghz: float,
    wave_m: float,
    earth_m: float,
    ground: float,
) -> None:
    """Run the radials `fan_begin` to `fan_end` of one side of the transmitter.

    The main axis leads away from it; radial k leaves at the slope k / fan to that axis and has
    its samples where it crosses the lines of cells, the nearest `first` cells away.
    """
    tx_m = ground_tx_m + tx_agl_m
    curve = 0.5 / earth_m
    free_db = 20.0 * log10(4.0 * pi / wave_m)
    hull_x, hull_y = np.empty(main_count + 1), np.empty(main_count + 1)
    flat_x, flat_y = np.empty(main_count + 1), np.empty(main_count + 1)
    slopes = np.empty(main_count + 1)
    block_slopes = np.empty(main_count // BLOCK + 2)

    for k in range(fan_begin, fan_end):
        if cancel[0] != 0:
            return
        lean = k / fan
        step_m = cell_m * sqrt(1.0 + lean * lean)
        hull = flat = 0
        steepest = flat_steepest = -1e300
        v1 = v2 = 0.0
        before_x, before_m = 0.0, ground_tx_m
        for i in range(main_count):
            out = first + i
            cross = cross_tx + lean * out
            if cross < 0.0 or cross > cross_count - 1:
                break
            d = out * step_m
            if out * cell_m > radius_m or d > radius_m + cell_m:
                break
            row = int(cross)
            share = cross - row
            main = main_start + main_step * i
            at = main * main_stride + row * cross_stride
            h = float(heights[at])
            if share > 0.0:
                h += (float(heights[at + cross_stride]) - h) * share
            if isnan(h):
                break  # whatever lies behind a void is unknown

            # -- smooth surface: prefix sums of P.1812 eqs. (85) and (86)
            dx = d - before_x
            v1 += dx * (h + before_m)
            v2 += dx * (h * (2.0 * d + before_x) + before_m * (d + 2.0 * before_x))
            before_x, before_m = d, h

            # -- is there a cell that this radial passes nearest?
            cell = out_cross_first + every * floor((cross - out_cross_first) / every + 0.5)
            away = cell - cross_tx
            is_mine = (
                (main - out_main_first) % every == 0
                and out_cross_first <= cell < out_cross_first + every * out_cross_count
                and (abs(away) < out or (is_diagonal_mine and abs(away) == out))
                and floor(away / out * fan + 0.5) == k
                and (away * away + out * out) * cell_m * cell_m <= radius_m * radius_m
            )
            if is_mine:
                rx_m = h + rx_agl_m
                rx_y = rx_m - d * d * curve
                to_rx = (rx_y - tx_m) / d
                nu = -CLEAR_NU
                if i > 0:
                    if steepest < to_rx:
                        nu = clear_nu(slopes, block_slopes, i, to_rx, d, wave_m, first, step_m)
                    else:
                        back = steepest_back(hull_x, hull_y, hull, d, rx_y) + to_rx
                        nu = sqrt(2.0 * d * (steepest - to_rx) * max(back, 0.0) / wave_m)
                value = edge_loss_db(nu, d)

                near = (2.0 * v1 * d - v2) / (d * d)
                far = (v2 - v1 * d) / (d * d)
                lowest = min(tx_m - min(near, ground_tx_m), rx_m - min(far, h))
                if lowest - d * d * curve * 0.25 <= 0.277 * sqrt(wave_m * d):
                    flat_to_rx = (rx_m - tx_m) / d
                    if i > 0 and flat_steepest > flat_to_rx:
                        above = highest_above(flat_x, flat_y, flat, tx_m, flat_to_rx)
                        from_tx = flat_steepest - flat_to_rx
                        from_rx = steepest_back(flat_x, flat_y, flat, d, rx_m) + flat_to_rx
                        near -= above * from_tx / (from_tx + from_rx)
                        far -= above * from_rx / (from_tx + from_rx)
                    h1 = tx_m - min(near, ground_tx_m)
                    h2 = rx_m - min(far, h)
                    sphere = spherical_db(d, h1, h2, ghz, wave_m, earth_m, ground)
                    if sphere > 0.0:
                        nu = smooth_edge_nu(d, h1, h2, wave_m, earth_m, first, step_m, i)
                        value += max(sphere - edge_loss_db(nu, d), 0.0)
                target = (main - out_main_first) // every * out_main_stride
                target += (cell - out_cross_first) // every * out_cross_stride
                loss[target] = free_db + 20.0 * log10(d) + value

            # -- now the sample is ground that has been passed
            y = h - d * d * curve
            slope = (y - tx_m) / d
            slopes[i] = slope
            block = i // BLOCK
            if i % BLOCK == 0 or slope > block_slopes[block]:
                block_slopes[block] = slope
            steepest = max(steepest, slope)
            flat_steepest = max(flat_steepest, (h - tx_m) / d)
            hull = pushed(hull_x, hull_y, hull, d, y)
            flat = pushed(flat_x, flat_y, flat, d, h)


@compiled
def gains_toward_cells(
    heights: Heights,
    gain: Heights,
    table: Numbers,
    row_begin: int,
    row_end: int,
    first_row: int,
    first_col: int,
    every: int,
    tx_row: float,
    tx_col: float,
    cell_m: float,
    tx_m: float,
    rx_agl_m: float,
    earth_m: float,
) -> None:
    """Gain toward each cell from a table over azimuth (0 to 360°) and elevation (-90 to 90°)."""
    azimuths, elevations = table.shape
    for i in range(row_begin, row_end):
        row = first_row + every * i
        for j in range(gain.shape[1]):
            col = first_col + every * j
            h = heights[row, col]
            north, east = (tx_row - row) * cell_m, (col - tx_col) * cell_m
            d = sqrt(north * north + east * east)
            if isnan(h) or d == 0.0:
                gain[i, j] = np.nan
                continue
            up = degrees(atan((h + rx_agl_m - tx_m) / d - d * 0.5 / earth_m))
            a = (degrees(np.arctan2(east, north)) % 360.0) / 360.0 * azimuths
            e = (up + 90.0) / 180.0 * (elevations - 1)
            a0, e0 = int(a), min(int(e), elevations - 2)
            fa, fe = a - a0, e - e0
            a0 %= azimuths
            a1 = (a0 + 1) % azimuths
            lower = table[a0, e0] + (table[a1, e0] - table[a0, e0]) * fa
            upper = table[a0, e0 + 1] + (table[a1, e0 + 1] - table[a0, e0 + 1]) * fa
            gain[i, j] = lower + (upper - lower) * fe
