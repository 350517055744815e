"""The strip of one direction: what is drawn where."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from guyline.services.documents.content import ReadingLine
from guyline.widgets.reading_strip import ReadingStrip
from guyline.widgets.theme import DARK, LIGHT, CurrentTheme

LINE = ReadingLine(
    talker_id="HALL",
    listener_id="HILL",
    planned_dbm=-80.0,
    low_dbm=-90.0,
    high_dbm=-74.0,
    sensitivity_dbm=-132.0,
    level_dbm=-120.0,
    snr_db=None,
    packets="",
    signed="",
    deviations=-7.0,
    is_read=True,
)


def darkness(qtbot: QtBot, line: ReadingLine, theme: CurrentTheme) -> np.ndarray:
    """How far the pixels of the middle rows are from the ground they are painted on."""
    strip = ReadingStrip(theme)
    qtbot.addWidget(strip)
    strip.resize(400, 48)
    strip.show_line(line, "words")
    image = strip.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    raw = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    grey = raw[:20, : image.width()].astype(int)
    return np.abs(grey - grey[0, 0]).max(axis=0)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_a_reading_below_the_band_stands_left_of_it(qtbot: QtBot, theme) -> None:
    current = CurrentTheme()
    current.use(theme)
    without = darkness(qtbot, replace(LINE, level_dbm=None), current)
    with_it = darkness(qtbot, LINE, current)
    changed = np.flatnonzero(with_it != without)
    # scale: -140 to -66 dBm over 376 pixels from 12 on
    expected = 12 + 376 * (-120.0 + 140.0) / 74.0
    assert changed.size
    assert (changed.min() + changed.max()) / 2 == pytest.approx(expected, abs=1.5)


def test_words_reach_those_who_do_not_see_the_strip(qtbot: QtBot) -> None:
    strip = ReadingStrip(CurrentTheme())
    qtbot.addWidget(strip)
    strip.show_line(LINE, "planned -80 dBm, read -120 dBm")
    assert strip.accessibleName() == "Read at HILL from HALL"
    assert strip.accessibleDescription() == "planned -80 dBm, read -120 dBm"


def test_nothing_known_is_an_empty_strip(qtbot: QtBot) -> None:
    nothing = replace(
        LINE, planned_dbm=None, low_dbm=None, high_dbm=None, sensitivity_dbm=None, level_dbm=None
    )
    assert darkness(qtbot, nothing, CurrentTheme()).max() == 0
