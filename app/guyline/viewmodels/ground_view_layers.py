"""What a picture of coverage can show of each cell, in classes with a key in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from guyline.core.network.coverage import Coverage, Raster, handheld_sensitivity_dbm
from guyline.core.network.coverage_directions import directions_of
from guyline.core.plan import Plan
from guyline.viewmodels.ground_view_coverage import STRIPES, Image, Reach, reach_index


class CoverageLayer(Enum):
    """What of the coverage is shown; the value is what people read."""

    SERVICE = "who is served"
    MARGIN = "margin of the weaker direction"
    OUT = "margin talking out"
    BACK = "margin talking back"
    PROBABILITY = "how likely it works"
    RECEIVED = "level that a pocket radio receives"
    SERVERS = "how many sites serve"
    BEST = "which site serves best"


class Step(Enum):
    """Classes from worst to best, told apart by darkness and by stripes.

    The value is the index in the picture; where it has stripes, they have the next one.
    """

    WORST = 10
    POOR = 12
    FAIR = 14
    GOOD = 16
    BEST = 18


STEPS = tuple(Step)
FIRST_SERVER = 40
MOST_SERVERS = 100  # more than that share their looks: a byte has no more room
FINE_STRIPES = 3  # of so many stripes one is dark, where every other one would be too many


class Looks(Enum):
    """How stripes run over a class."""

    PLAIN = "plain"
    HALF = "every other stripe"
    THIRD = "every third stripe"
    BACKWARD = "stripes the other way"
    ACROSS = "stripes across"


SERVER_LOOKS = (Looks.PLAIN, Looks.HALF, Looks.BACKWARD, Looks.ACROSS)
STEP_LOOKS = {
    Step.WORST: Looks.PLAIN,
    Step.POOR: Looks.HALF,
    Step.FAIR: Looks.THIRD,
    Step.GOOD: Looks.PLAIN,
    Step.BEST: Looks.PLAIN,
}


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """What a class is called, its index in the picture, and its stripes, whose index is next."""

    words: str
    index: int
    looks: Looks = Looks.PLAIN


@dataclass(frozen=True, slots=True, eq=False)
class LayerPicture:
    """Indices with rows from south to north, as a plot counts them, and their key."""

    index: Image
    key: tuple[KeyEntry, ...]


SERVICE_KEY = (
    KeyEntry("served by several", Reach.SEVERAL.value),
    KeyEntry("by one", Reach.ONE.value),
    KeyEntry("margin short", Reach.SHORT.value, Looks.HALF),
    KeyEntry("out of reach", Reach.OUT.value),
)


def layer_picture(plan: Plan, coverage: Coverage, layer: CoverageLayer) -> LayerPicture:
    """Classes of every cell; the plan is the one that the coverage was worked out for."""
    if layer is CoverageLayer.SERVICE:
        return LayerPicture(_upward(reach_index(coverage)), SERVICE_KEY)
    if layer is CoverageLayer.BEST:
        return _best_servers(coverage)
    values, edges, words = _classes(plan, coverage, layer)
    steps = STEPS[len(STEPS) - len(words) :] if len(words) < len(STEPS) else STEPS
    index = _striped(values, edges, steps)
    key = tuple(
        KeyEntry(text, step.value, STEP_LOOKS[step])
        for text, step in zip(words, steps, strict=True)
    )
    return LayerPicture(_upward(index), key[::-1])  # best first, as the picture is read


def _classes(
    plan: Plan, coverage: Coverage, layer: CoverageLayer
) -> tuple[Raster, Sequence[float], tuple[str, ...]]:
    """Values, the edges between their classes, and the classes' names from worst to best."""
    required = coverage.required_db
    if layer is CoverageLayer.SERVERS:
        known = np.where(np.isnan(coverage.margin_db), np.nan, coverage.servers)
        words = ("none", "one", "two", "three", "four or more")
        return known.astype(np.float32), (1.0, 2.0, 3.0, 4.0), words
    if layer is CoverageLayer.PROBABILITY:
        return coverage.probability, (0.5, 0.8, 0.9, 0.99), _words((50, 80, 90, 99), " %")
    if layer is CoverageLayer.MARGIN:
        values = coverage.margin_db
    else:
        ways = directions_of(plan, coverage)
        if layer is CoverageLayer.RECEIVED:
            least = round(handheld_sensitivity_dbm(plan))
            edges = tuple(least + more for more in (0, 10, 20, 30))
            return ways.received_dbm, [float(edge) for edge in edges], _words(edges, " dBm")
        values = ways.out_db if layer is CoverageLayer.OUT else ways.back_db
    edges = tuple(round(edge) for edge in (0.0, required, required + 10.0, required + 20.0))
    return values, [0.0, required, required + 10.0, required + 20.0], _words(edges, " dB")


def _words(edges: Sequence[int], unit: str) -> tuple[str, ...]:
    between = (f"{low} to {high}{unit}" for low, high in pairwise(edges))
    return (f"below {edges[0]}{unit}", *between, f"{edges[-1]}{unit} or more")


def _striped(values: Raster, edges: Sequence[float], steps: Sequence[Step]) -> Image:
    rows, columns = values.shape
    index = np.full((rows, columns), steps[0].value, dtype=np.uint8)
    for edge, before, after in zip(edges, steps[:-1], steps[1:], strict=True):
        index += (values >= np.float32(edge)).view(np.uint8) * np.uint8(after.value - before.value)
    for step in steps:
        looks = STEP_LOOKS[step]
        if looks is not Looks.PLAIN:
            # the stripes of a class have the next index
            index += ((index == step.value) & stripes(looks, rows, columns)).view(np.uint8)
    index[np.isnan(values)] = Reach.UNKNOWN.value
    return index


def _best_servers(coverage: Coverage) -> LayerPicture:
    """An index for each server, with a dark seam between the areas of two."""
    server = coverage.server
    rows, columns = server.shape
    shades = np.arange(max(len(coverage.site_ids), 1), dtype=np.int32) % MOST_SERVERS
    index = np.asarray((FIRST_SERVER + 2 * shades).astype(np.uint8)[server])
    looks_of = np.arange(len(shades), dtype=np.uint8) % len(SERVER_LOOKS)
    kinds = looks_of[server]
    for n, looks in enumerate(SERVER_LOOKS):
        if looks is not Looks.PLAIN:
            index += ((kinds == n) & stripes(looks, rows, columns)).view(np.uint8)
    seam = np.zeros(server.shape, dtype=bool)
    seam[:, 1:] |= server[:, 1:] != server[:, :-1]
    seam[1:, :] |= server[1:, :] != server[:-1, :]
    index[seam] = Step.WORST.value
    index[np.isnan(coverage.margin_db)] = Reach.UNKNOWN.value
    key = tuple(
        KeyEntry(
            site_id,
            FIRST_SERVER + 2 * (n % MOST_SERVERS),
            SERVER_LOOKS[n % len(SERVER_LOOKS)],
        )
        for n, site_id in enumerate(coverage.site_ids)
    )
    return LayerPicture(_upward(index), key)


def stripes(looks: Looks, rows: int, columns: int) -> NDArray[np.bool_]:
    """Where a class is dark, as wide as `Reach` has its stripes."""
    width = max(1, max(rows, columns) // STRIPES)
    if looks is Looks.ACROSS:
        dark = np.arange(rows)[:, None] // width % 2 == 0
        return np.asarray(np.broadcast_to(dark, (rows, columns)))
    every = FINE_STRIPES if looks is Looks.THIRD else 2
    along = np.arange(rows + columns - 1) // width % every == 0
    # each row is the one before it, shifted by a cell: views of one line, where nothing is copied
    shifted = np.lib.stride_tricks.sliding_window_view(along, columns)
    return shifted[::-1] if looks is Looks.BACKWARD else shifted


def _upward(index: Image) -> Image:
    return np.ascontiguousarray(index[::-1])
