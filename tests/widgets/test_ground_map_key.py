"""Classes of coverage can be told apart without colour, and the key says what they are."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from coverage_stories import valley_coverage, valley_plan
from guyline.viewmodels.ground_view_coverage import Reach
from guyline.viewmodels.ground_view_layers import (
    FIRST_SERVER,
    SERVER_LOOKS,
    SERVICE_KEY,
    STEP_LOOKS,
    CoverageLayer,
    KeyEntry,
    Looks,
    Step,
    layer_picture,
)
from guyline.widgets.ground_map_key import CoverageKey, coverage_colors
from guyline.widgets.theme import DARK, LIGHT, Theme

LEAST_GREY = 12  # our choice: two greys nearer than that cannot be told apart on a poor printer
LEAST_STRIPE = 20
THEMES = pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])


def grey_over(theme: Theme, index: int) -> float:
    """Lightness that a shade gives to middling ground, as a printer without colour sees it."""
    ground = QColor(theme.ground_fill)
    red, green, blue, alpha = (int(v) for v in coverage_colors(theme)[index])
    share = alpha / 255
    mixed = [
        share * over + (1 - share) * under
        for over, under in zip(
            (red, green, blue), (ground.red(), ground.green(), ground.blue()), strict=True
        )
    ]
    return float(np.dot(mixed, (0.299, 0.587, 0.114)))  # ITU-R BT.601 luma


ORDERED = [
    [KeyEntry(step.name, step.value, STEP_LOOKS[step]) for step in Step],
    list(SERVICE_KEY),
]


@THEMES
@pytest.mark.parametrize("entries", ORDERED, ids=["steps", "service"])
def test_plain_classes_differ_in_grey_and_striped_ones_have_stripes_that_are_seen(
    theme: Theme, entries: list[KeyEntry]
) -> None:
    plain = [entry for entry in entries if entry.looks is Looks.PLAIN]
    for a, b in combinations(plain, 2):
        apart = abs(grey_over(theme, a.index) - grey_over(theme, b.index))
        assert apart >= LEAST_GREY, (a.words, b.words)
    for entry in entries:
        if entry.looks is not Looks.PLAIN:
            apart = abs(grey_over(theme, entry.index) - grey_over(theme, entry.index + 1))
            assert apart >= LEAST_STRIPE, entry.words


@THEMES
def test_the_worst_is_the_darkest_in_either_theme(theme: Theme) -> None:
    assert grey_over(theme, Step.WORST.value) == min(grey_over(theme, s.value) for s in Step)
    assert grey_over(theme, Reach.OUT.value) == min(
        grey_over(theme, entry.index) for entry in SERVICE_KEY
    )


@THEMES
def test_the_stripes_of_servers_are_seen_and_four_in_a_row_differ_in_them(theme: Theme) -> None:
    assert len(set(SERVER_LOOKS)) == len(SERVER_LOOKS) == 4
    for n, looks in enumerate(SERVER_LOOKS):
        if looks is not Looks.PLAIN:
            index = FIRST_SERVER + 2 * n
            assert abs(grey_over(theme, index) - grey_over(theme, index + 1)) >= 8


def test_the_key_tells_every_class_to_those_who_hear_and_grows_with_its_rows(
    qtbot: QtBot,
) -> None:
    key = CoverageKey(LIGHT)
    qtbot.addWidget(key)
    key.resize(420, 36)
    key.show()
    key.tell("Served: 12 km².")
    one_row = key.height()
    for layer in CoverageLayer:
        picture = layer_picture(valley_plan(), valley_coverage(), layer)
        key.show_key(picture.key)
        said = key.accessibleDescription()
        assert said.startswith("Served: 12 km².")
        assert all(entry.words in said for entry in picture.key)
    key.show_key(tuple(KeyEntry(f"SITE {n}", FIRST_SERVER + 2 * n) for n in range(20)))
    assert key.height() > one_row
    shot = key.grab().toImage()
    assert shot.height() == key.height()


def test_figures_that_are_too_long_for_a_line_go_on_below(qtbot: QtBot) -> None:
    key = CoverageKey(LIGHT)
    qtbot.addWidget(key)
    key.resize(420, 36)
    key.show()
    key.tell("Served: 12 km².")
    short = key.height()
    key.tell("Served: 12 km². Not served: " + ", ".join(f"Farm {n}" for n in range(12)))
    assert key.height() > short
    key.tell("Served: 12 km².")
    assert key.height() == short
