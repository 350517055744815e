"""Sequences of daily clearness: dark spells come in rows, and that is what empties batteries."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from guyline.core.units import Numbers

CLEARNESS_LOW, CLEARNESS_HIGH = 0.02, 0.82  # no day is darker or clearer in the source records
LAG_CORRELATION = 0.29
# Month against month of other years: our choice from single years beside typical ones.
BETWEEN_YEARS_SD = 0.07
PROBABILITY = np.linspace(0.01, 0.99, 33)

# Aguiar, Collares-Pereira & Conde 1988, Solar Energy 40:269-279, tables as two public
# transcriptions give them. Matrix m holds for monthly mean clearness up to 0.30, 0.35 ... 0.70,
# above; each has ten equal states between its limits. Values x 1000, row after row.
_CLASS_LIMITS = np.array([0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.70])
_STATE_LOW = np.array([0.031, 0.058, 0.051, 0.052, 0.028, 0.053, 0.044, 0.085, 0.010, 0.319])
_STATE_HIGH = np.array([0.705, 0.694, 0.753, 0.753, 0.807, 0.856, 0.818, 0.846, 0.842, 0.865])
_TRANSITIONS = """
    229 333 208 42 83 42 42 21 0 0
    167 319 194 139 97 28 42 0 14 0
    250 250 91 136 91 46 46 23 68 0
    158 237 158 263 26 53 79 26 0 0
    211 53 211 158 53 53 158 105 0 0
    125 125 250 188 63 125 0 125 0 0
    40 240 80 120 80 80 120 120 80 40
    0 250 0 125 0 125 125 250 63 63
    0 250 0 125 250 0 250 0 0 125
    0 0 0 0 0 0 500 250 0 250

    0 0 91 0 364 91 182 0 273 0
    118 118 176 118 59 118 176 59 59 0
    67 267 67 200 67 0 133 133 0 67
    118 235 0 235 59 176 118 0 59 0
    77 154 308 77 154 77 0 77 77 0
    83 0 167 250 83 167 0 83 167 0
    222 222 0 111 111 0 111 222 0 0
    91 182 273 0 91 273 0 91 0 0
    111 111 111 222 0 0 0 222 111 111
    0 0 0 0 0 0 500 0 0 500

    206 88 176 176 88 29 176 29 29 0
    120 100 140 160 120 220 100 0 20 20
    77 123 185 123 77 139 92 123 61 0
    48 111 95 206 206 190 95 48 0 0
    59 137 118 137 98 118 118 157 59 0
    14 97 139 153 125 139 208 56 42 28
    73 101 116 145 87 159 203 87 29 0
    19 37 111 56 74 111 185 296 74 37
    35 69 35 0 35 103 172 138 379 35
    0 167 167 0 167 0 0 333 0 167

    167 167 167 0 83 125 0 167 125 0
    117 117 150 117 83 117 200 67 17 17
    49 85 134 158 98 110 134 134 61 37
    39 90 141 141 167 141 90 141 39 13
    9 139 74 93 194 139 167 93 74 19
    36 18 117 99 144 180 180 117 72 36
    0 46 61 61 136 159 273 167 98 0
    16 56 80 128 104 80 160 208 136 32
    11 53 21 43 128 96 74 223 277 74
    0 74 37 0 74 74 74 74 333 259

    120 200 160 120 120 120 80 0 40 40
    100 80 120 140 140 200 180 40 0 0
    46 114 68 171 125 171 80 159 57 11
    15 61 84 99 191 153 153 115 115 15
    24 30 98 98 165 195 195 140 43 12
    15 26 62 124 144 170 170 222 62 5
    0 13 45 108 112 175 188 224 117 18
    8 23 54 66 93 125 191 253 183 4
    6 22 61 33 67 83 139 222 322 44
    0 46 91 91 46 46 136 91 273 182

    250 179 107 107 143 71 107 36 0 0
    133 22 89 111 156 178 111 133 67 0
    64 48 143 48 175 143 206 95 79 0
    0 22 78 111 156 156 244 167 44 22
    16 27 37 69 160 219 230 160 75 5
    13 25 30 93 144 202 215 219 55 4
    6 41 35 64 90 180 337 192 49 6
    12 21 29 35 132 123 184 371 82 12
    8 16 16 24 71 103 159 270 309 24
    0 0 0 0 59 0 59 294 412 176

    217 87 0 174 130 87 87 130 87 0
    26 79 132 79 26 158 158 132 158 53
    20 20 20 40 160 180 160 200 100 100
    25 13 38 76 76 139 139 266 215 13
    30 30 50 20 91 131 162 283 131 71
    6 6 13 57 57 121 204 287 185 64
    4 26 37 30 93 107 193 307 167 37
    11 9 14 42 41 71 152 418 203 41
    12 22 22 38 19 50 113 281 360 84
    8 24 39 39 63 39 118 118 284 268

    67 133 133 67 67 200 133 133 67 0
    118 59 59 59 59 118 118 235 118 59
    0 24 24 49 146 73 195 244 195 49
    26 0 26 26 53 184 263 184 237 0
    14 0 42 56 69 97 139 306 278 0
    9 9 52 69 52 112 215 285 138 60
    9 9 26 17 94 99 232 283 210 21
    10 14 16 19 27 62 163 467 202 19
    4 7 31 17 33 50 86 252 469 50
    0 0 15 46 31 46 77 123 446 215

    0 0 0 0 0 0 0 0 1000 0
    0 0 0 0 0 0 0 0 1000 0
    0 0 0 0 0 0 250 250 500 0
    0 0 0 0 250 0 0 375 250 125
    0 0 0 83 0 167 167 250 333 0
    0 0 42 42 42 83 83 292 292 125
    0 0 32 0 0 32 129 387 355 65
    0 0 0 38 38 75 47 340 415 47
    4 4 7 7 11 30 52 141 654 89
    0 0 0 0 61 61 30 30 349 470

    0 0 0 0 0 0 0 0 1000 0
    100 100 100 100 100 100 100 100 100 100
    0 0 0 250 0 0 0 500 250 0
    0 0 143 143 0 143 143 429 0 0
    0 0 0 200 0 0 200 400 200 0
    0 0 0 0 0 0 222 444 333 0
    0 0 0 0 80 80 80 480 240 40
    0 0 27 9 27 18 135 523 252 9
    0 0 0 22 0 43 43 326 511 54
    0 0 0 143 0 0 0 143 714 0
"""
_STATES = 10


def matrix_of(mean_clearness: float) -> int:
    """Return the number (0 to 9) of the transition matrix for a monthly mean clearness.

    The matrix for 0.30 to 0.35 rests on few months and is noisy; its neighbour below or above,
    whichever is nearer, stands in.
    """
    number = int(np.searchsorted(_CLASS_LIMITS, mean_clearness, side="left"))
    if number == 1:
        return 0 if mean_clearness <= 0.325 else 2
    return number


@lru_cache(maxsize=1)
def transition_matrices() -> Numbers:
    """Transition probabilities, shape (10 matrices, 10 from, 10 to), rows normalised to 1."""
    table = np.array(_TRANSITIONS.split(), dtype=float).reshape(_STATES, _STATES, _STATES)
    matrices: Numbers = table / table.sum(axis=2, keepdims=True)
    return matrices


def state_centres(number: int) -> Numbers:
    """Return the clearness at the middle of each of a matrix's ten states."""
    width = (_STATE_HIGH[number] - _STATE_LOW[number]) / _STATES
    centres: Numbers = _STATE_LOW[number] + (np.arange(_STATES) + 0.5) * width
    return centres


def stationary_shares(number: int) -> Numbers:
    """Long-run share of days in each state of a matrix."""
    matrix = transition_matrices()[number]
    equations = np.vstack([matrix.T - np.eye(_STATES), np.ones(_STATES)])
    wanted = np.append(np.zeros(_STATES), 1.0)
    shares: Numbers = np.linalg.lstsq(equations, wanted, rcond=None)[0]
    return shares


def quantile_ratio(number: int) -> Numbers:
    """Return quantiles of a day's clearness over the long-run mean at PROBABILITY, shape (Q,)."""
    shares, centres = stationary_shares(number), state_centres(number)
    width = centres[1] - centres[0]
    edges = np.append(centres - 0.5 * width, centres[-1] + 0.5 * width)
    below = np.append(0.0, np.cumsum(shares))
    ratio: Numbers = np.interp(PROBABILITY, below, edges) / float(shares @ centres)
    return ratio


@dataclass(frozen=True, slots=True, eq=False)
class DailyClearness:
    """How clear the days of a place are: each month's mean, and how the days lie about it.

    Attributes
    ----------
    mean : array (12,)
        Mean daily clearness.
    probability : array (Q,)
        Ascending, between 0 and 1.
    ratio : array (12, Q)
        Quantiles of a day's clearness over its month's mean.
    """

    mean: Numbers
    probability: Numbers
    ratio: Numbers

    @classmethod
    def about(cls, mean: Numbers) -> DailyClearness:
        """Return the days of months of which nothing but the mean is known."""
        ratios = np.stack([quantile_ratio(matrix_of(float(m))) for m in mean])
        return cls(mean=mean, probability=PROBABILITY, ratio=ratios)

    def with_mean(self, mean: Numbers) -> DailyClearness:
        return DailyClearness(mean=mean, probability=self.probability, ratio=self.ratio)

    def of_day(self, month: int, chance: Numbers) -> Numbers:
        """Return the clearness that a share `chance` of the days of a month (1 to 12) lie below.

        Beyond the outermost quantiles the line through the last two goes on.
        """
        known, ratio = self.probability, self.ratio[month - 1]
        ends = np.interp(0.5, known, ratio)  # holds the shape of empty months
        low = ratio[0] - known[0] * (ratio[1] - ratio[0]) / (known[1] - known[0])
        high = ratio[-1] + (1.0 - known[-1]) * (ratio[-1] - ratio[-2]) / (known[-1] - known[-2])
        x = np.concatenate([[0.0], known, [1.0]])
        y = np.concatenate([[max(low, 0.0)], ratio, [high]])
        scale = float(np.trapezoid(y, x))
        factor = self.mean[month - 1] / scale if scale > 0.0 and ends > 0.0 else 0.0
        clearness: Numbers = np.clip(
            np.interp(chance, x, y) * factor, CLEARNESS_LOW, CLEARNESS_HIGH
        )
        return clearness

    def kinds(self, month: int, count: int = 40) -> Numbers:
        """Return the clearness of `count` equally frequent kinds of day of a month (1 to 12)."""
        return self.of_day(month, (np.arange(count) + 0.5) / count)


def draw_days(
    days: DailyClearness,
    month_of_day: NDArray[np.int64],
    runs: int,
    *,
    seed: int,
    month_sd: float = BETWEEN_YEARS_SD,
    climate_sd: float = 0.0,
) -> Numbers:
    """Draw sequences of daily clearness, shape (runs, days).

    A normal process of first order is brought to the distribution of the month; every run has
    its own months (spread between years) and its own error of the climate table.

    Parameters
    ----------
    month_of_day : array (D,)
        1 to 12.
    seed : int
        The same seed gives the same weather; it belongs to the region and not to the site,
        because a dark spell darkens all sites at once.
    month_sd, climate_sd : float
        Relative standard deviation of a month between years, and of the table's means.

    References
    ----------
    .. [1] Graham, Hollands & Unny 1988, Solar Energy 40:83-92 (form; 0.29 from memory, and
       0.30 as the mean over 16 hourly files).
    """
    count = len(month_of_day)
    stretch = np.cumsum(np.diff(month_of_day, prepend=month_of_day[:1]) != 0)
    chance, run_noise, month_noise = _noise(runs, count, int(stretch[-1]) + 1, seed)
    drawn = np.empty((runs, count))
    for month in np.unique(month_of_day):
        here = month_of_day == month
        drawn[:, here] = days.of_day(int(month), chance[:, here])
    drawn *= np.exp(climate_sd * run_noise + month_sd * month_noise)[:, stretch]
    return np.clip(drawn, CLEARNESS_LOW, CLEARNESS_HIGH, out=drawn)


def autoregressive(
    random: np.random.Generator, runs: int, days: int, lag_correlation: float
) -> Numbers:
    r"""Draw standard normal sequences with memory, shape (runs, days).

    .. math:: z_t = \phi z_{t-1} + \sqrt{1 - \phi^2} e_t
    """
    drawn: Numbers = random.standard_normal((runs, days))
    fresh = np.sqrt(1.0 - lag_correlation**2)
    for day in range(1, days):
        drawn[:, day] = lag_correlation * drawn[:, day - 1] + fresh * drawn[:, day]
    return drawn


@lru_cache(maxsize=8)
def _noise(runs: int, days: int, months: int, seed: int) -> tuple[Numbers, Numbers, Numbers]:
    """Chance of each day and normal errors of runs and months: the same for every place."""
    from scipy.special import ndtr  # here, because the window must not wait for it

    random = np.random.default_rng(seed)
    chance = ndtr(autoregressive(random, runs, days, LAG_CORRELATION))
    run_noise = random.standard_normal((runs, 1))
    month_noise = random.standard_normal((runs, months))
    for array in (chance, run_noise, month_noise):
        array.flags.writeable = False
    return chance, run_noise, month_noise
