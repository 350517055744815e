"""Every layer of coverage shows the numbers that it names, in classes a key explains."""

from __future__ import annotations

import numpy as np
import pytest

from coverage_stories import COLUMNS, ROWS, valley_coverage, valley_plan
from guyline.core.network.coverage_directions import directions_of
from guyline.viewmodels.ground_view_coverage import Reach
from guyline.viewmodels.ground_view_layers import (
    CoverageLayer,
    KeyEntry,
    LayerPicture,
    Looks,
    layer_picture,
)
from stories import HALL, HILL

PLAN, COVERAGE = valley_plan(), valley_coverage()
KNOWN = np.isfinite(COVERAGE.margin_db)


def shown(layer: CoverageLayer) -> tuple[LayerPicture, np.ndarray]:
    picture = layer_picture(PLAN, COVERAGE, layer)
    return picture, picture.index[::-1]


def cells_of(entry: KeyEntry, index: np.ndarray) -> np.ndarray:
    mine = index == entry.index
    return mine if entry.looks is Looks.PLAIN else mine | (index == entry.index + 1)


@pytest.mark.parametrize("layer", CoverageLayer)
def test_every_known_cell_has_its_place_in_the_key_and_the_unknown_none(
    layer: CoverageLayer,
) -> None:
    picture, index = shown(layer)
    assert picture.index.shape == (ROWS, COLUMNS)
    explained = np.zeros(index.shape, dtype=bool)
    for entry in picture.key:
        explained |= cells_of(entry, index)
    seams = 4 * (ROWS + COLUMNS) if layer is CoverageLayer.BEST else 0
    assert (KNOWN & ~explained).sum() <= seams
    assert not explained[~KNOWN].any()
    assert (index[~KNOWN] == Reach.UNKNOWN.value).all()


@pytest.mark.parametrize(
    ("layer", "values"),
    [
        (CoverageLayer.MARGIN, COVERAGE.margin_db),
        (CoverageLayer.OUT, directions_of(PLAN, COVERAGE).out_db),
        (CoverageLayer.BACK, directions_of(PLAN, COVERAGE).back_db),
        (CoverageLayer.RECEIVED, directions_of(PLAN, COVERAGE).received_dbm),
        (CoverageLayer.PROBABILITY, 100.0 * COVERAGE.probability),
    ],
)
def test_a_class_holds_the_cells_whose_values_its_words_name(
    layer: CoverageLayer, values: np.ndarray
) -> None:
    picture, index = shown(layer)
    seen = 0
    for entry in picture.key:
        low, high = -np.inf, np.inf
        words = entry.words.split()
        if words[0] == "below":
            high = float(words[1])
        elif "to" in words:
            low, high = float(words[0]), float(words[2])
        else:
            low = float(words[0])
        within = KNOWN & (values >= low - 1e-3) & (values < high + 1e-3)
        assert within[cells_of(entry, index)].all(), entry.words
        seen += cells_of(entry, index).sum()
    assert seen == KNOWN.sum()


def test_the_number_of_servers_is_counted_in_words() -> None:
    picture, index = shown(CoverageLayer.SERVERS)
    counts = {e.words: int(cells_of(e, index).sum()) for e in picture.key}
    band = ROWS * COLUMNS // 5
    assert counts == {"four or more": 0, "three": 0, "two": band, "one": band, "none": 2 * band}


def test_the_best_servers_are_named_and_have_a_seam_between_them() -> None:
    picture, index = shown(CoverageLayer.BEST)
    assert [entry.words for entry in picture.key] == [HALL, HILL]
    north, south = (cells_of(entry, index) for entry in picture.key)
    assert north[: ROWS // 2 - 1, : COLUMNS // 5].all()
    assert south[ROWS // 2 + 1 :, : COLUMNS // 5].all()
    between = index[ROWS // 2, : COLUMNS // 5]
    assert (between != index[0, 0]).all()
    assert picture.key[0].looks is not picture.key[1].looks  # told apart without colour


def test_a_hundred_and_more_servers_still_have_indices() -> None:
    server = (np.arange(ROWS * COLUMNS) % 300).reshape(ROWS, COLUMNS).astype(np.int16)
    many = valley_coverage()
    many = type(many)(
        grid=many.grid,
        site_ids=tuple(HALL for _ in range(300)),
        margin_db=np.full((ROWS, COLUMNS), 20.0, dtype=np.float32),
        server=server,
        servers=many.servers,
        probability=many.probability,
        required_db=10.0,
    )
    picture = layer_picture(PLAN, many, CoverageLayer.BEST)
    assert len(picture.key) == 300
    assert (picture.index != Reach.UNKNOWN.value).all()
