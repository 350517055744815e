"""Loops of the coverage sweep as machine code; see `sweep` for what they compute.

All of them stand in one module because the compiler's cache notices changes of this file only.
Where the compiler is missing the same loops run as plain Python. No fast-math: voids are NaN.
"""

from __future__ import annotations

from collections.abc import Callable
from math import acos, atan, cos, degrees, exp, floor, isnan, log, pi, sqrt
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
BLOCK = 8  # samples that share a bound in the search on clear paths
GROUP = 64  # samples that share one more
CLEAR_NU = 0.78  # P.1812 eq. (12): an edge that clears by this costs nothing
TABLE_STEPS = 128  # of the edge table per unit of nu; linear between them, good to 0.0002 dB
DB_PER_NEPER = 8.685889638065037  # 20 / ln 10


def compiled(loop: Loop) -> Loop:
    """Return the loop as machine code, kept for the next start where there is a place for it."""
    if njit is None:
        return loop
    try:
        return njit(loop, nogil=True, cache=True)  # type: ignore[no-any-return]
    except RuntimeError:  # neither the package nor the home can be written to
        return njit(loop, nogil=True)  # type: ignore[no-any-return]


@compiled
def edge_loss_db(nu: float, distance_m: float, edges: Numbers) -> float:
    """Knife-edge loss with Bullington's correction, P.1812 eqs. (12) and (21).

    `edges` holds J and 1 - exp(-J/6) for nu from -0.78 in steps of 1 / TABLE_STEPS.
    """
    if nu <= -CLEAR_NU:
        return 0.0
    place = (nu + CLEAR_NU) * TABLE_STEPS
    weight = 10.0 + 2e-5 * distance_m
    if place >= len(edges) - 1:
        x = nu - 0.1
        edge = 6.9 + DB_PER_NEPER * log(sqrt(x * x + 1.0) + x)
        return edge + (1.0 - exp(-edge / 6.0)) * weight
    i = int(place)
    below = edges[i, 0] + edges[i, 1] * weight
    above = edges[i + 1, 0] + edges[i + 1, 1] * weight
    return float(below + (above - below) * (place - i))


@compiled
def first_term_db(
    d_km: float, h1_m: float, h2_m: float, third: float, radius_km: float, ground: float
) -> float:
    """First term over land, P.1812 eqs. (30) to (36).

    `ground` is K times the cube root of the radius, `third` the cube root of the frequency.
    """
    inverse = exp(log(radius_km) / -3.0)
    k = ground * inverse
    k2 = k * k
    beta = (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2)
    x = 21.88 * beta * third * inverse * inverse * d_km
    log_x = log(x)
    if x >= 1.6:
        loss = -11.0 - 0.5 * DB_PER_NEPER * log_x + 17.6 * x
    else:
        loss = DB_PER_NEPER * log_x + 5.6488 * exp(1.425 * log_x)
    per_metre = 0.9575 * beta * beta * third * third * inverse
    least = 1.2589254117941673 * k  # 10^(2/20) K: the least height gain, 2 + 20 log10 K
    gain = 1.0
    for h in (h1_m, h2_m):
        b = per_metre * h
        if b > 2.0:
            loss -= 17.6 * sqrt(b - 1.1) - 0.25 * DB_PER_NEPER * log(b - 1.1) - 8.0
        else:
            gain *= max(b + 0.1 * b * b * b, least)
    return loss - DB_PER_NEPER * log(gain)


@compiled
def spherical_db(
    d_m: float,
    h1_m: float,
    h2_m: float,
    third: float,
    wave_m: float,
    earth_m: float,
    ground: float,
) -> float:
    """Smooth-Earth loss over land, P.1812 eqs. (22) to (28), in SI units but for `ground`."""
    roots = sqrt(h1_m) + sqrt(h2_m)
    if d_m >= sqrt(2.0 * earth_m) * roots:
        return first_term_db(d_m / 1e3, h1_m, h2_m, third, earth_m / 1e3, ground)
    c = (h1_m - h2_m) / (h1_m + h2_m)
    m = d_m * d_m / (4.0 * earth_m * (h1_m + h2_m))
    ratio = 3.0 * m / (m + 1.0)
    cosine = 1.5 * c * sqrt(ratio) / (m + 1.0)
    angle = acos(min(max(cosine, -1.0), 1.0))
    b = 2.0 / sqrt(ratio) * cos((pi + angle) / 3.0)
    d1 = 0.5 * d_m * (1.0 + b)
    d2 = d_m - d1
    clearance = (h1_m * d2 + h2_m * d1) / d_m - d1 * d2 / (2.0 * earth_m)
    needed = 17.456 * sqrt(max(d1 * d2, 0.0) * wave_m / (1e3 * d_m))
    if clearance > needed:
        return 0.0
    marginal_km = d_m * d_m / (2e3 * roots * roots)
    loss = first_term_db(d_m / 1e3, h1_m, h2_m, third, marginal_km, ground)
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
    least = 1e300
    for i in range(max(low - 1, 0), min(low + 2, inside)):
        x = (first + i) * step_m
        w = x * (d_m - x)
        below = (h1_m * (d_m - x) + h2_m * x) / d_m - w * curve
        least = min(least, below * below / w)
    return -sqrt(2.0 * d_m * least / wave_m)


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
    group_slopes: Numbers,
    inside: int,
    guess: int,
    to_rx: float,
    d_m: float,
    wave_m: float,
    first: float,
    step_m: float,
) -> tuple[float, int]:
    """Worst Fresnel parameter of a path on which all lies below the line of sight, and where.

    nu_i = (slope_i - to_rx) sqrt(2 d x_i / (wave (d - x_i))): samples of which the greatest
    slope, taken at the nearest of them, stays below the worst so far need no look. It begins at
    a guess, as a good one spares nearly all others.
    """
    free = CLEAR_NU * CLEAR_NU * wave_m / (2.0 * d_m)
    best, where = free, guess
    x = (first + guess) * step_m
    gap = to_rx - slopes[guess]
    if gap * gap * x < best * (d_m - x):
        best = gap * gap * x / (d_m - x)
    for group in range((inside - 1) // GROUP, -1, -1):
        x = (first + group * GROUP) * step_m
        gap = to_rx - group_slopes[group]
        if gap * gap * x >= best * (d_m - x):
            continue
        newest = min(inside - 1, group * GROUP + GROUP - 1) // BLOCK
        for block in range(newest, group * (GROUP // BLOCK) - 1, -1):
            x = (first + block * BLOCK) * step_m
            gap = to_rx - block_slopes[block]
            if gap * gap * x >= best * (d_m - x):
                continue
            for i in range(block * BLOCK, min(block * BLOCK + BLOCK, inside)):
                x = (first + i) * step_m
                gap = to_rx - slopes[i]
                if gap * gap * x < best * (d_m - x):
                    best, where = gap * gap * x / (d_m - x), i
    return (-CLEAR_NU if best >= free else -sqrt(2.0 * d_m * best / wave_m)), where


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
    edges: Numbers,
) -> None:
    """Run the radials `fan_begin` to `fan_end` of one side of the transmitter.

    The main axis leads away from it; radial k leaves at the slope k / fan to that axis and has
    its samples where it crosses the lines of cells, the nearest `first` cells away.
    """
    tx_m = ground_tx_m + tx_agl_m
    curve = 0.5 / earth_m
    third = float(ghz ** (1.0 / 3.0))
    free_db = DB_PER_NEPER * log(4.0 * pi / wave_m)
    hull_x, hull_y = np.empty(main_count + 1), np.empty(main_count + 1)
    flat_x, flat_y = np.empty(main_count + 1), np.empty(main_count + 1)
    slopes = np.empty(main_count + 1)
    block_slopes = np.empty(main_count // BLOCK + 2)
    group_slopes = np.empty(main_count // GROUP + 2)
    reach2 = (radius_m / cell_m) ** 2
    first_phase = (main_start - out_main_first) * main_step % every
    out_cross_last = out_cross_first + every * (out_cross_count - 1)

    for k in range(fan_begin, fan_end):
        if cancel[0] != 0:
            return
        lean = k / fan
        step_m = cell_m * sqrt(1.0 + lean * lean)
        hull = flat = worst = 0
        steepest = -1e300
        flat_steepest = -1e300
        v1 = v2 = 0.0
        before_x, before_m = 0.0, ground_tx_m
        phase = first_phase
        for i in range(main_count):
            out = first + i
            cross = cross_tx + lean * out
            d = out * step_m
            if cross < 0.0 or cross > cross_count - 1 or d > radius_m + cell_m:
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
            is_mine = False
            if phase == 0:
                cell = out_cross_first + every * floor((cross - out_cross_first) / every + 0.5)
                away = cell - cross_tx
                missed = (
                    away * fan - k * out
                )  # in parts of the distance between radials, times out
                is_mine = (
                    out_cross_first <= cell <= out_cross_last
                    and -0.5 * out <= missed < 0.5 * out
                    and (abs(away) < out or (is_diagonal_mine and abs(away) == out))
                    and away * away + out * out <= reach2
                )
            phase = phase + 1 if phase + 1 < every else 0
            if is_mine:
                rx_m = h + rx_agl_m
                rx_y = rx_m - d * d * curve
                to_rx = (rx_y - tx_m) / d
                nu = -CLEAR_NU
                if i > 0:
                    if steepest < to_rx:
                        nu, worst = clear_nu(
                            slopes, block_slopes, group_slopes, i, worst, to_rx, d, wave_m,
                            first, step_m,
                        )  # fmt: skip
                    else:
                        back = steepest_back(hull_x, hull_y, hull, d, rx_y) + to_rx
                        nu = sqrt(2.0 * d * (steepest - to_rx) * max(back, 0.0) / wave_m)
                value = edge_loss_db(nu, d, edges)

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
                    sphere = spherical_db(d, h1, h2, third, wave_m, earth_m, ground)
                    if sphere > 0.0:
                        nu = smooth_edge_nu(d, h1, h2, wave_m, earth_m, first, step_m, i)
                        value += max(sphere - edge_loss_db(nu, d, edges), 0.0)
                target = (main - out_main_first) // every * out_main_stride
                target += (cell - out_cross_first) // every * out_cross_stride
                loss[target] = free_db + DB_PER_NEPER * log(d) + value

            # -- now the sample is ground that has been passed
            bulge = d * curve
            slope = (h - tx_m) / d
            flat_steepest = max(flat_steepest, slope)
            slope -= bulge
            steepest = max(steepest, slope)
            slopes[i] = slope
            block, group = i // BLOCK, i // GROUP
            if i % BLOCK == 0 or slope > block_slopes[block]:
                block_slopes[block] = slope
            if i % GROUP == 0 or slope > group_slopes[group]:
                group_slopes[group] = slope
            hull = pushed(hull_x, hull_y, hull, d, h - d * bulge)
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
