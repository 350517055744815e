"""Both themes can be read by everybody: contrast by rule, marks by shape."""

from __future__ import annotations

from itertools import combinations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QFontInfo, QImage, QPainter
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.verdict_marks import mark_path
from guyline.widgets.theme import (
    DARK,
    FONT_FAMILY,
    LIGHT,
    CurrentTheme,
    Theme,
    apply_theme,
    font,
    load_fonts,
)

TEXT_CONTRAST = 4.5  # WCAG 2.2, success criterion 1.4.3
GRAPHIC_CONTRAST = 3.0  # WCAG 2.2, success criterion 1.4.11


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""

    def linear(channel: float) -> float:
        return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4

    c = QColor(colour)
    return 0.2126 * linear(c.redF()) + 0.7152 * linear(c.greenF()) + 0.0722 * linear(c.blueF())


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_black_on_white_is_twenty_one() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)  # the definition's own end


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("surface", ["window", "paper", "sunk", "raised", "selection"])
def test_ink_is_readable_on_every_surface(theme: Theme, surface: str) -> None:
    assert contrast(theme.ink, getattr(theme, surface)) >= 7.0  # enhanced, criterion 1.4.6


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("surface", ["window", "paper", "sunk", "raised"])
def test_second_rank_text_is_readable_on_every_surface(theme: Theme, surface: str) -> None:
    assert contrast(theme.muted, getattr(theme, surface)) >= TEXT_CONTRAST


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_the_accent_is_readable_both_ways(theme: Theme) -> None:
    assert contrast(theme.accent, theme.paper) >= TEXT_CONTRAST
    assert contrast(theme.on_accent, theme.accent) >= TEXT_CONTRAST


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("verdict", Verdict)
@pytest.mark.parametrize("surface", ["paper", "selection"])
def test_a_verdict_stands_out_as_word_and_mark(
    theme: Theme, verdict: Verdict, surface: str
) -> None:
    least = TEXT_CONTRAST if surface == "paper" else GRAPHIC_CONTRAST
    assert contrast(theme.verdict_color(verdict), getattr(theme, surface)) >= least


def filled(verdict: Verdict) -> set[tuple[int, int]]:
    """Return the pixels of a mark at the size of a table cell, in black and white."""
    image = QImage(16, 16, QImage.Format.Format_Mono)
    image.fill(1)
    painter = QPainter(image)
    painter.fillPath(mark_path(verdict, QRectF(0, 0, 16, 16)), QColor("black"))
    painter.end()
    return {(x, y) for x in range(16) for y in range(16) if image.pixelIndex(x, y) == 0}


@pytest.mark.parametrize("pair", list(combinations(Verdict, 2)), ids=lambda pair: " ".join(pair))
def test_any_two_marks_differ_in_a_third_of_their_pixels_without_colour(
    qapp: QApplication, pair: tuple[Verdict, Verdict]
) -> None:
    one, other = map(filled, pair)
    assert len(one ^ other) >= len(one | other) / 3


def test_the_shipped_font_is_the_one_that_is_used(qapp: QApplication) -> None:
    load_fonts()
    assert QFontInfo(font()).family() == FONT_FAMILY


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_a_theme_reaches_the_pixels(qtbot: QtBot, qapp: QApplication, theme: Theme) -> None:
    apply_theme(qapp, theme)
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.resize(20, 20)
    assert widget.grab().toImage().pixelColor(10, 10) == QColor(theme.window)
    qapp.setStyleSheet("")


def test_a_new_theme_is_told_once(qtbot: QtBot) -> None:
    current = CurrentTheme(LIGHT)
    told: list[Theme] = []
    current.changed.connect(told.append)
    current.use(DARK)
    current.use(DARK)
    assert told == [DARK]
    assert current.value is DARK
