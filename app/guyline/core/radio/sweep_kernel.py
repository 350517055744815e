"""Loops of the coverage sweep and of many paths as machine code; see `sweep` and `many_paths`.

All of them stand in one module because the compiler's cache notices changes of this file only.
Where the compiler is missing the same loops run as plain Python. No fast-math: voids are NaN.
"""

from __future__ import annotations

from collections.abc import Callable
from math import atan, atan2, exp, floor, isnan, log, pi, sqrt
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
Places = NDArray[np.int64]
Loop = TypeVar("Loop", bound=Callable[..., Any])

IS_COMPILED = njit is not None
BLOCK = 8  # samples that share a bound in the search on clear paths
CLEAR_NU = 0.78  # P.1812 eq. (12): an edge that clears by this costs nothing
TABLE_STEPS = 128  # of the edge table per unit of nu; linear between them, good to 0.0002 dB
DB_PER_NEPER = 8.685889638065037  # 20 / ln 10


def compiled(loop: Loop) -> Loop:
    """Return the loop as machine code, kept for the next start where there is a place for it."""
    if njit is None:
        return loop
    try:
        return njit(loop, nogil=True, cache=True, error_model="numpy")  # type: ignore[no-any-return]
    except RuntimeError:  # neither the package nor the home can be written to
        return njit(loop, nogil=True, error_model="numpy")  # type: ignore[no-any-return]


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
    d_km: float, h1_m: float, h2_m: float, third: float, inverse: float, ground: float
) -> float:
    """First term over land, P.1812 eqs. (30) to (36), all its logarithms drawn together.

    `inverse` is 1 over the cube root of the radius in km, `ground` K times that root, `third`
    the cube root of the frequency.
    """
    k = ground * inverse
    k2 = k * k
    beta = (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2)
    x = 21.88 * beta * third * inverse * inverse * d_km
    per_metre = 0.9575 * beta * beta * third * third * inverse
    least = 1.2589254117941673 * k  # 10^(2/20) K: the least height gain, 2 + 20 log10 K
    loss = 0.0
    gain4 = 1.0  # fourth power of what divides: both height gains, and sqrt(x) or 1 / x
    for h in (h1_m, h2_m):
        b = per_metre * h
        if b > 2.0:
            loss -= 17.6 * sqrt(b - 1.1) - 8.0
            gain4 /= b - 1.1
        else:
            gain = max(b + 0.1 * b * b * b, least)
            gain *= gain
            gain4 *= gain * gain
    if x >= 1.6:
        return loss - 11.0 + 17.6 * x - 0.25 * DB_PER_NEPER * log(gain4 * x * x)
    log_x = log(x)
    loss += DB_PER_NEPER * log_x + 5.6488 * exp(1.425 * log_x)
    return loss - 0.25 * DB_PER_NEPER * log(gain4)


@compiled
def reflection_offset(c: float, m: float) -> float:
    """Root b of b + m b - m b³ = c, P.526: where the Earth reflects, from -1 to 1 of the half way.

    Halley's steps; the loss is stationary there, so at most three are good to 1e-9 of it.
    """
    b = c / (1.0 + m)
    b = c / (1.0 + m - m * b * b)
    for _ in range(3):
        over = b * (1.0 + m - m * b * b) - c
        rise = 1.0 + m - 3.0 * m * b * b
        step = over * rise / (rise * rise + 3.0 * m * b * over)
        b -= step
        if abs(step) < 1e-3:
            break
    return b


@compiled
def spherical_db(
    d_m: float,
    h1_m: float,
    h2_m: float,
    third: float,
    wave_m: float,
    earth_m: float,
    earth_inverse: float,
    ground: float,
) -> tuple[float, float, float]:
    """Smooth-Earth loss over land, P.1812 eqs. (22) to (28); the least clearance over it; where.

    In SI units but for `ground` and `earth_inverse`; the clearance is not above 0 where the
    horizon lies between. Where is the part of the way at which the Earth reflects.
    """
    roots = sqrt(h1_m) + sqrt(h2_m)
    if d_m * d_m >= 2.0 * earth_m * roots * roots:
        return (
            first_term_db(d_m * 1e-3, h1_m, h2_m, third, earth_inverse, ground),
            0.0,
            sqrt(h1_m) / roots,
        )
    per_sum = 1.0 / (h1_m + h2_m)
    m = d_m * d_m * 0.25 / earth_m * per_sum
    s = 0.5 + 0.5 * reflection_offset((h1_m - h2_m) * per_sum, m)
    w = s * (1.0 - s)
    clearance = h1_m + (h2_m - h1_m) * s - w * d_m * d_m * 0.5 / earth_m
    needed = 0.5520072028515666 * sqrt(max(w, 0.0) * d_m * wave_m)  # 17.456 / sqrt(1000)
    if clearance > needed:
        return 0.0, clearance, s
    inverse = exp(log(d_m * d_m / (2e3 * roots * roots)) / -3.0)  # of the marginal radius
    loss = first_term_db(d_m * 1e-3, h1_m, h2_m, third, inverse, ground)
    return max(loss, 0.0) * (1.0 - clearance / needed), clearance, s


@compiled
def smooth_obstructed_nu(
    d_m: float,
    h1_m: float,
    h2_m: float,
    wave_m: float,
    earth_m: float,
    first: float,
    step_m: float,
    inside: int,
) -> float:
    """Parameter of Bullington's edge over a smooth surface of the same samples; -1 if it is clear.

    Sample i lies (first + i) steps from the transmitter. Both horizon slopes are concave along
    the path, so the best sample is one of the two beside the closed-form maximum.
    """
    curve = 0.5 / earth_m
    direct = (h2_m - h1_m) / d_m
    at = floor(sqrt(2.0 * earth_m * h1_m) / step_m - first)
    steepest = -1e300
    for j in range(2):
        x = (first + min(max(at + j, 0), inside - 1)) * step_m
        steepest = max(steepest, (d_m - x) * curve - h1_m / x)
    if steepest < direct:
        return -1.0
    at = floor((d_m - sqrt(2.0 * earth_m * h2_m)) / step_m - first)
    back = -1e300
    for j in range(2):
        x = (first + min(max(at + j, 0), inside - 1)) * step_m
        back = max(back, x * curve - h2_m / (d_m - x))
    return sqrt(2.0 * d_m * (steepest - direct) * max(back + direct, 0.0) / wave_m)


@compiled
def smooth_clear_nu(
    per_d: float,
    h1_m: float,
    h2_m: float,
    bulge_m: float,
    wave_m: float,
    first: float,
    step_m: float,
    inside: int,
    where: float,
) -> float:
    """Worst Fresnel parameter over a smooth surface of the same samples, all of them clear.

    It has one maximum along the path, `where` the Earth reflects (the shortest detour), so the
    worst sample is one of the two beside that; `bulge_m` is d² / (2 a).
    """
    rise = h2_m - h1_m
    per_step = step_m * per_d
    at = floor(where / per_step - first)
    s = (first + min(max(at, 0), inside - 1)) * per_step
    w = s * (1.0 - s)
    near = h1_m + rise * s - bulge_m * w
    s = (first + min(max(at + 1, 0), inside - 1)) * per_step
    v = s * (1.0 - s)
    far = h1_m + rise * s - bulge_m * v
    if near * near * v > far * far * w:
        near, w = far, v
    return -near * sqrt(2.0 * per_d / (wave_m * w))


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
def tangent(xs: Numbers, ys: Numbers, count: int, guess: int, x: float, y: float) -> int:
    """Corner of the hull that a point right of it sees highest: the one its tangent touches.

    Slopes back to the corners rise and then fall; a neighbour's guess is mostly right.
    """
    low, high = 0, count - 1
    i = min(guess, high)
    while low < high:
        if i < high and (ys[i] - y) * (x - xs[i + 1]) < (ys[i + 1] - y) * (x - xs[i]):
            low = i + 1
            i = low if i == guess else (low + high) // 2
        elif i > low and (ys[i - 1] - y) * (x - xs[i]) >= (ys[i] - y) * (x - xs[i - 1]):
            high = i - 1
            i = (low + high) // 2
        else:
            return i
    return low


@compiled
def farthest_above(xs: Numbers, ys: Numbers, count: int, guess: int, slope: float) -> int:
    """Corner of the hull that stands highest above a line of that slope."""
    low, high = 0, count - 1
    i = min(guess, high)
    while low < high:
        if i < high and ys[i + 1] - ys[i] > slope * (xs[i + 1] - xs[i]):
            low = i + 1
            i = low if i == guess else (low + high) // 2
        elif i > low and ys[i] - ys[i - 1] <= slope * (xs[i] - xs[i - 1]):
            high = i - 1
            i = (low + high) // 2
        else:
            return i
    return low


@compiled
def narrowest(
    xs: Numbers, ys: Numbers, count: int, guess: int, tx_m: float, to_rx: float, d_m: float
) -> int:
    """Corner of the hull with the least clearance in Fresnel radii below a clear line of sight.

    The clearance of the hull is convex along the path and the radius concave, so their ratio
    falls and then rises.
    """
    low, high = 0, count - 1
    i = min(guess, high)
    while low < high:
        x = xs[i]
        q = (tx_m + to_rx * x - ys[i]) ** 2
        w = x * (d_m - x)
        if i < high:
            x = xs[i + 1]
            if (tx_m + to_rx * x - ys[i + 1]) ** 2 * w < q * x * (d_m - x):
                low = i + 1
                i = low if i == guess else (low + high) // 2
                continue
        if i > low:
            x = xs[i - 1]
            if (tx_m + to_rx * x - ys[i - 1]) ** 2 * w <= q * x * (d_m - x):
                high = i - 1
                i = (low + high) // 2
                continue
        return i
    return low


@compiled
def narrower_below_edge(
    ax: float,
    ay: float,
    bx: float,
    by: float,
    best: float,
    where: int,
    slopes: Numbers,
    block_slopes: Numbers,
    tx_m: float,
    to_rx: float,
    d_m: float,
    first: float,
    step_m: float,
) -> tuple[float, int]:
    """Least clearance² / (x (d - x)) of the samples below one edge of the hull, if under `best`.

    Samples lie below the edge, so only where the edge itself beats the best can one of them.
    """
    rise = (by - ay) / (bx - ax)
    m = to_rx - rise  # clearance of the edge: c + m x
    c = tx_m - ay + rise * ax
    squared = m * m + best
    half = 0.5 * best * d_m - c * m
    inner = half * half - squared * c * c
    if inner <= 0.0:
        return best, where
    root = sqrt(inner)
    begin = max(int((max((half - root) / squared, ax)) / step_m - first), 0)
    end = floor(min((half + root) / squared, bx) / step_m - first) + 1
    for block in range(begin // BLOCK, end // BLOCK + 1):
        x = (first + block * BLOCK) * step_m
        gap = to_rx - block_slopes[block]
        if x < bx and gap * gap * x >= best * (d_m - x):
            continue
        for i in range(max(block * BLOCK, begin), min(block * BLOCK + BLOCK, end)):
            x = (first + i) * step_m
            gap = to_rx - slopes[i]
            if gap * gap * x < best * (d_m - x):
                best, where = gap * gap * x / (d_m - x), i
    return best, where


@compiled
def clear_nu(
    xs: Numbers,
    ys: Numbers,
    count: int,
    at: int,
    slopes: Numbers,
    block_slopes: Numbers,
    guess: int,
    tx_m: float,
    to_rx: float,
    d_m: float,
    wave_m: float,
    first: float,
    step_m: float,
) -> tuple[float, int]:
    """Worst Fresnel parameter of a path on which all lies below the line of sight, and where.

    `at` is the narrowest corner of the hull; below the edges on both sides of it samples may be
    narrower still, as the Fresnel zone bulges there. A guess of that sample spares most others.
    """
    free = CLEAR_NU * CLEAR_NU * wave_m / (2.0 * d_m)
    x = xs[at]
    best = min(free, (tx_m + to_rx * x - ys[at]) ** 2 / (x * (d_m - x)))
    is_left_long = at > 0 and x - xs[at - 1] > 1.5 * step_m
    is_right_long = at < count - 1 and xs[at + 1] - x > 1.5 * step_m
    if is_left_long or is_right_long:
        x = (first + guess) * step_m
        gap = to_rx - slopes[guess]
        best = min(best, gap * gap * x / (d_m - x))
    if is_left_long:
        best, guess = narrower_below_edge(
            xs[at - 1], ys[at - 1], xs[at], ys[at], best, guess, slopes, block_slopes, tx_m,
            to_rx, d_m, first, step_m,
        )  # fmt: skip
    if is_right_long:
        best, guess = narrower_below_edge(
            xs[at], ys[at], xs[at + 1], ys[at + 1], best, guess, slopes, block_slopes, tx_m,
            to_rx, d_m, first, step_m,
        )  # fmt: skip
    return (-CLEAR_NU if best >= free else -sqrt(2.0 * d_m * best / wave_m)), guess


@compiled
def bullington_nu(
    xs: Numbers,
    ys: Numbers,
    count: int,
    near_xs: Numbers,
    near_ys: Numbers,
    near_count: int,
    slopes: Numbers,
    block_slopes: Numbers,
    steepest: float,
    tx_m: float,
    to_rx: float,
    rx_y: float,
    d_m: float,
    wave_m: float,
    first: float,
    step_m: float,
) -> float:
    """Parameter of Bullington's edge over two hulls: what stands far off, and the ground near.

    Either may be empty. The same numbers as over one hull of all samples.
    """
    if steepest < to_rx:
        nu = -CLEAR_NU
        if count > 0:
            at = narrowest(xs, ys, count, count - 1, tx_m, to_rx, d_m)
            guess = int(xs[at] / step_m - first + 0.5)
            worse, _ = clear_nu(
                xs, ys, count, at, slopes, block_slopes, guess, tx_m, to_rx, d_m, wave_m, first,
                step_m,
            )  # fmt: skip
            nu = max(nu, worse)
        if near_count > 0:
            at = narrowest(near_xs, near_ys, near_count, near_count - 1, tx_m, to_rx, d_m)
            guess = int(near_xs[at] / step_m - first + 0.5)
            worse, _ = clear_nu(
                near_xs, near_ys, near_count, at, slopes, block_slopes, guess, tx_m, to_rx, d_m,
                wave_m, first, step_m,
            )  # fmt: skip
            nu = max(nu, worse)
        return nu
    back = -1e300
    if count > 0:
        at = tangent(xs, ys, count, count - 1, d_m, rx_y)
        back = max(back, (ys[at] - rx_y) / (d_m - xs[at]))
    if near_count > 0:
        at = tangent(near_xs, near_ys, near_count, near_count - 1, d_m, rx_y)
        back = max(back, (near_ys[at] - rx_y) / (d_m - near_xs[at]))
    return sqrt(2.0 * d_m * (steepest - to_rx) * max(to_rx + back, 0.0) / wave_m)


@compiled
def gain_toward_dbi(table: Numbers, slope: float, north: float, east: float) -> float:
    """Gain from a table over azimuth (0 to 360°) and elevation (-90 to 90°), linear between."""
    azimuths, elevations = table.shape
    e = (atan(slope) / pi + 0.5) * (elevations - 1)
    low = min(int(e), elevations - 2)
    rest = e - low
    if azimuths == 1:
        return float(table[0, low] + (table[0, low + 1] - table[0, low]) * rest)
    bearing = atan2(east, north) / (2.0 * pi)
    if bearing < 0.0:
        bearing += 1.0
    a = bearing * azimuths
    left = int(a)
    part = a - left
    left %= azimuths
    right = (left + 1) % azimuths
    lower = table[left, low] + (table[right, low] - table[left, low]) * part
    upper = table[left, low + 1] + (table[right, low + 1] - table[left, low + 1]) * part
    return float(lower + (upper - lower) * rest)


@compiled
def beyond(table: Numbers, place: float) -> float:
    """Value at a place in steps of a table, linear between, the last one beyond its end."""
    if place >= len(table) - 1:
        return float(table[-1])
    i = int(place)
    return float(table[i] + (table[i + 1] - table[i]) * (place - i))


@compiled
def sweep_side(
    heights: Heights,
    standing: Heights,
    tx_bare_m: float,
    is_tx_among: bool,
    rx_bare_m: float,
    is_rx_among: bool,
    answer: Heights,
    sd: Heights,
    cancel: Flag,
    gain: Numbers,
    clutter: Numbers,
    clutter_step_m: float,
    constant_db: float,
    variance: float,
    clear_sd_db: float,
    obstructed_sd_db: float,
    grazing_db: float,
    is_row_main: bool,
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

    With a place for the standard deviation the answer is the margin, without it the loss.
    What is `standing` on the ground counts but for the bare metres about either end, and for
    the wood or the houses among which an end is. So the ground in front of the receiver is bare
    until the receiver has gone on: there are two hulls, of the tops far off and the ground near.

    The main axis leads away from it; radial k leaves at the slope k / fan to that axis and has
    its samples where it crosses the lines of cells, the nearest `first` cells away.
    """
    tx_m = ground_tx_m + tx_agl_m
    curve = 0.5 / earth_m
    third = float(ghz ** (1.0 / 3.0))
    free_db = DB_PER_NEPER * log(4.0 * pi / wave_m)
    earth_inverse = (earth_m / 1e3) ** (-1.0 / 3.0)
    hull_x, hull_y = np.empty(main_count + 1), np.empty(main_count + 1)
    flat_x, flat_y = np.empty(main_count + 1), np.empty(main_count + 1)
    slopes, sample_m = np.empty(main_count + 1), np.empty(main_count + 1)
    is_built_on = standing.size > 0
    near_x, near_y = np.empty(main_count + 1), np.empty(main_count + 1)
    top_m = np.zeros(main_count + 1)  # of what stands there and counts, above the ground
    is_gap = np.zeros(main_count + 1, dtype=np.bool_)
    block_slopes = np.empty(main_count // BLOCK + 2)
    reach2 = (radius_m / cell_m) ** 2 + 1e-6  # a cell on the rim is inside
    first_phase = (main_start - out_main_first) * main_step % every
    ahead = -(-(main_start - out_main_first) * main_step // every) * main_step
    share_of_step = 1.0 / every
    beside = 0.5 * every + 0.5  # a radial may pass that many cells beside the cell it is for

    for k in range(fan_begin, fan_end):
        if cancel[0] != 0:
            return
        lean = k / fan
        step_m = cell_m * sqrt(1.0 + lean * lean)
        hull = flat = waiting = 0
        narrow = touch = top = flat_touch = 0  # corners of the hulls that mattered last
        worst = 0  # the sample that did
        steepest = -1e300
        flat_steepest = -1e300
        is_tx_bare = True
        far_end = looked = near_begin = near_end = near_hull = 0  # samples far off and near
        near_steepest = -1e300
        v1 = v2 = 0.0
        before_x, before_m = 0.0, ground_tx_m
        phase, out_main = first_phase, ahead
        for i in range(main_count):
            out = first + i
            cross = cross_tx + lean * out
            d = out * step_m
            if (
                cross < -beside
                or cross > cross_count - 1 + beside
                or d > radius_m + beside * cell_m
            ):
                break
            inner = min(max(cross, 0.0), cross_count - 1.0)  # cells reach beyond their centres
            row = int(inner)
            share = inner - row
            main = main_start + main_step * i
            at = main * main_stride + row * cross_stride
            h = float(heights[at])
            if share > 0.0:
                h += (float(heights[at + cross_stride]) - h) * share
            if isnan(h):
                break  # whatever lies behind a void is unknown

            if is_built_on:  # what is no longer near the receiver counts with what stands there
                passed = far_end
                while looked < i:
                    behind_m = d - (first + looked) * step_m
                    if behind_m < rx_bare_m or (behind_m == rx_bare_m and not is_rx_among):
                        break
                    if is_gap[looked] or not is_rx_among:
                        passed = looked + 1
                    looked += 1
                while far_end < passed:
                    x = (first + far_end) * step_m
                    tip_m = sample_m[far_end] + top_m[far_end] - x * x * curve
                    hull = pushed(hull_x, hull_y, hull, x, tip_m)
                    slopes[far_end] = (tip_m - tx_m) / x
                    steepest = max(steepest, slopes[far_end])
                    block = far_end // BLOCK
                    block_slopes[block] = max(block_slopes[block], slopes[far_end])
                    far_end += 1

            # -- smooth surface: prefix sums of P.1812 eqs. (85) and (86)
            per_d = 1.0 / d
            dx = d - before_x
            v1 += dx * (h + before_m)
            v2 += dx * (h * (2.0 * d + before_x) + before_m * (d + 2.0 * before_x))
            before_x, before_m = d, h

            # -- is there a cell that this radial passes nearest?
            is_mine = False
            if phase == 0:
                out_cross = floor((cross - out_cross_first) * share_of_step + 0.5)
                out_target = out_main * out_main_stride + out_cross * out_cross_stride
                away = out_cross_first + every * out_cross - cross_tx
                missed = (
                    away * fan - k * out
                )  # in parts of the distance between radials, times out
                is_mine = (
                    0 <= out_cross < out_cross_count
                    and -0.5 * out <= missed < 0.5 * out
                    and (abs(away) < out or (is_diagonal_mine and abs(away) == out))
                    and away * away + out * out <= reach2
                )
                out_main += main_step
            phase = phase + 1 if phase + 1 < every else 0
            if is_mine:
                rx_m = h + rx_agl_m
                rx_y = rx_m - d * d * curve
                to_rx = (rx_y - tx_m) * per_d
                nu = -CLEAR_NU
                if is_built_on:
                    if near_begin != far_end:  # what was near has become far: begin anew
                        near_begin = near_end = far_end
                        near_hull = 0
                        near_steepest = -1e300
                    while near_end < i:
                        x = (first + near_end) * step_m
                        ground_m = sample_m[near_end]
                        near_hull = pushed(near_x, near_y, near_hull, x, ground_m - x * x * curve)
                        near_steepest = max(near_steepest, slopes[near_end])
                        near_end += 1
                    if i > 0:
                        nu = bullington_nu(
                            hull_x, hull_y, hull, near_x, near_y, near_hull, slopes, block_slopes,
                            max(steepest, near_steepest), tx_m, to_rx, rx_y, d, wave_m, first,
                            step_m,
                        )  # fmt: skip
                elif i > 0:
                    if steepest < to_rx:
                        narrow = narrowest(hull_x, hull_y, hull, narrow, tx_m, to_rx, d)
                        nu, worst = clear_nu(
                            hull_x, hull_y, hull, narrow, slopes, block_slopes, worst, tx_m,
                            to_rx, d, wave_m, first, step_m,
                        )  # fmt: skip
                    else:
                        touch = tangent(hull_x, hull_y, hull, touch, d, rx_y)
                        back = to_rx + (hull_y[touch] - rx_y) / (d - hull_x[touch])
                        nu = sqrt(2.0 * d * (steepest - to_rx) * max(back, 0.0) / wave_m)
                value = edge_loss_db(nu, d, edges)

                near = (2.0 * v1 * d - v2) * per_d * per_d
                far = (v2 - v1 * d) * per_d * per_d
                # Whatever obstructs lowers the smooth surface. With the heights above it as they
                # are, h1 (1 - s) + h2 s >= 2 sqrt(h1 h2 s (1 - s)): if that clears the Fresnel
                # zone and the bulge in the middle, it does everywhere, and the smooth Earth
                # costs nothing, P.1812 eq. (26).
                h1 = tx_m - min(near, ground_tx_m)
                h2 = rx_m - min(far, h)
                enough = 0.5521 * sqrt(wave_m * d) + 0.5 * d * d * curve
                if 4.0 * h1 * h2 <= enough * enough:
                    flat_to_rx = (rx_m - tx_m) * per_d
                    if i > 0 and flat_steepest > flat_to_rx:
                        while waiting < i:  # this hull grows when it is asked
                            x = (first + waiting) * step_m
                            flat = pushed(flat_x, flat_y, flat, x, sample_m[waiting])
                            waiting += 1
                        top = farthest_above(flat_x, flat_y, flat, top, flat_to_rx)
                        above = flat_y[top] - (tx_m + flat_to_rx * flat_x[top])
                        from_tx = flat_steepest - flat_to_rx
                        flat_touch = tangent(flat_x, flat_y, flat, flat_touch, d, rx_m)
                        from_rx = flat_to_rx + (flat_y[flat_touch] - rx_m) / (
                            d - flat_x[flat_touch]
                        )
                        near -= above * from_tx / (from_tx + from_rx)
                        far -= above * from_rx / (from_tx + from_rx)
                    h1 = tx_m - min(near, ground_tx_m)
                    h2 = rx_m - min(far, h)
                    sphere, clearance, where = spherical_db(
                        d, h1, h2, third, wave_m, earth_m, earth_inverse, ground
                    )
                    if sphere > 0.0:
                        nu = -1.0
                        if i > 0 and clearance <= 0.0:
                            nu = smooth_obstructed_nu(d, h1, h2, wave_m, earth_m, first, step_m, i)
                        if i > 0 and nu < 0.0:
                            nu = smooth_clear_nu(
                                per_d, h1, h2, d * d * curve, wave_m, first, step_m, i, where
                            )
                        value += max(sphere - edge_loss_db(nu, d, edges), 0.0)
                loss = free_db + DB_PER_NEPER * log(d) + value
                if sd.size == 0:
                    answer[out_target] = loss
                else:
                    ahead_m, aside_m = cell_m * main_step * out, cell_m * away
                    taken = loss
                    if len(clutter) > 1:
                        to_cell_m = sqrt(ahead_m * ahead_m + aside_m * aside_m)
                        taken += beyond(clutter, to_cell_m / clutter_step_m)
                    toward = (
                        gain_toward_dbi(gain, to_rx, -ahead_m, aside_m)
                        if is_row_main
                        else gain_toward_dbi(gain, to_rx, -aside_m, ahead_m)
                    )
                    answer[out_target] = constant_db + toward - taken
                    obstructed = min(value / grazing_db, 1.0)
                    model = clear_sd_db + (obstructed_sd_db - clear_sd_db) * obstructed
                    sd[out_target] = sqrt(model * model + variance)

            # -- now the sample is ground that has been passed
            bulge = d * curve
            slope = (h - tx_m) * per_d
            flat_steepest = max(flat_steepest, slope)
            slope -= bulge
            slopes[i] = slope
            block = i // BLOCK
            if i % BLOCK == 0 or slope > block_slopes[block]:
                block_slopes[block] = slope
            sample_m[i] = h
            if is_built_on:
                stands_m = float(standing[at if share < 0.5 else at + cross_stride])
                is_gap[i] = stands_m == 0.0
                if is_tx_among:
                    is_tx_bare = is_tx_bare and not (stands_m == 0.0 and d >= tx_bare_m)
                else:
                    is_tx_bare = d <= tx_bare_m
                top_m[i] = 0.0 if is_tx_bare else stands_m
            else:
                steepest = max(steepest, slope)
                hull = pushed(hull_x, hull_y, hull, d, h - d * bulge)


@compiled
def worst_nu(
    d: Numbers, raised: Numbers, begin: int, end: int, tx_m: float, rx_m: float, wave_m: float
) -> float:
    """Parameter of Bullington's edge, P.1812 eqs. (13) to (18), of samples `begin` to `end`.

    The first and last are the ends; `raised` is what stands between with the Earth's bulge.
    """
    total = d[end - 1]
    per_total = 1.0 / total
    slope = (rx_m - tx_m) * per_total
    steepest = -1e300
    for i in range(begin + 1, end - 1):
        steepest = max(steepest, (raised[i] - tx_m) / d[i])
    nu = -1e300
    if steepest < slope:
        for i in range(begin + 1, end - 1):
            above = raised[i] - tx_m - slope * d[i]
            nu = max(nu, above * sqrt(2.0 * total / (wave_m * d[i] * (total - d[i]))))
        return nu
    back = -1e300
    for i in range(begin + 1, end - 1):
        back = max(back, (raised[i] - rx_m) / (total - d[i]))
    # the crossing of both horizon rays, as the sweep has it
    return sqrt(2.0 * total * (steepest - slope) * max(back + slope, 0.0) / wave_m)


@compiled
def exact_edge_db(nu: float, distance_m: float) -> float:
    """Knife-edge loss with Bullington's correction, P.1812 eqs. (12) and (21)."""
    if nu <= -CLEAR_NU:
        return 0.0
    x = nu - 0.1
    edge = 6.9 + DB_PER_NEPER * log(sqrt(x * x + 1.0) + x)
    return edge + (1.0 - exp(-edge / 6.0)) * (10.0 + 2e-5 * distance_m)


@compiled
def paths(
    loss: Numbers,
    starts: Places,
    d: Numbers,
    heights: Numbers,
    obstacles: Numbers,
    tx_agl_m: Numbers,
    rx_agl_m: Numbers,
    ground: Numbers,
    path_begin: int,
    path_end: int,
    ghz: float,
    wave_m: float,
    earth_m: float,
) -> None:
    """Delta-Bullington of the paths `path_begin` to `path_end`, whose samples lie end to end.

    Path k has the samples `starts[k]` to `starts[k + 1]`; `ground` is K times the cube root of
    the radius for each path.
    """
    third = float(ghz ** (1.0 / 3.0))
    earth_inverse = (earth_m / 1e3) ** (-1.0 / 3.0)
    curve = 0.5 / earth_m
    raised = np.empty(len(d))
    for k in range(path_begin, path_end):
        begin, end = starts[k], starts[k + 1]
        total = d[end - 1]
        tx_m, rx_m = heights[begin] + tx_agl_m[k], heights[end - 1] + rx_agl_m[k]
        slope = (rx_m - tx_m) / total
        v1 = v2 = 0.0
        highest = from_tx = from_rx = 0.0
        for i in range(begin + 1, end):
            step, both = d[i] - d[i - 1], heights[i] + heights[i - 1]
            v1 += step * both
            v2 += step * (both * (d[i] + d[i - 1]) + heights[i] * d[i] + heights[i - 1] * d[i - 1])
            raised[i] = obstacles[i] + d[i] * (total - d[i]) * curve
            above = heights[i] - tx_m - slope * d[i]
            if above > 0.0 and i < end - 1:
                highest = max(highest, above)
                from_tx = max(from_tx, above / d[i])
                from_rx = max(from_rx, above / (total - d[i]))
        if isnan(v1) or isnan(tx_m) or isnan(rx_m):
            loss[k] = np.nan
            continue
        near = (2.0 * v1 * total - v2) / (total * total)
        far = (v2 - v1 * total) / (total * total)
        if highest > 0.0:
            near -= highest * from_tx / (from_tx + from_rx)
            far -= highest * from_rx / (from_tx + from_rx)
        h1, h2 = tx_m - min(near, heights[begin]), rx_m - min(far, heights[end - 1])
        value = exact_edge_db(worst_nu(d, raised, begin, end, tx_m, rx_m, wave_m), total)
        sphere, _, _ = spherical_db(
            total, h1, h2, third, wave_m, earth_m, earth_inverse, ground[k]
        )
        if sphere > 0.0:
            for i in range(begin + 1, end - 1):
                raised[i] = d[i] * (total - d[i]) * curve
            smooth = exact_edge_db(worst_nu(d, raised, begin, end, h1, h2, wave_m), total)
            value += max(sphere - smooth, 0.0)
        loss[k] = value
