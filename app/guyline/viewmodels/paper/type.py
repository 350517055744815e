"""Sizes and weights of type, and the shipped fonts they are set in."""

from __future__ import annotations

import os
import sys
import threading
from dataclasses import dataclass
from functools import cache, lru_cache

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF, QGuiApplication

from guyline.errors import DocumentError
from guyline.services.resource_files import shipped

UNITS_PER_MM = 100  # type is measured in hundredths of a millimetre, whatever the device
MM_PER_PT = 25.4 / 72.0
LEADING = 1.14  # our choice: lines of narrow letters stay apart at this, and none is wasted
_FILES = (
    "FiraSansCondensed-Regular.ttf",
    "FiraSansCondensed-Bold.ttf",
    "DejaVuSans.ttf",  # for the signs and scripts that the narrow face lacks
    "DejaVuSans-Bold.ttf",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """A size and a weight of type."""

    size_pt: float
    is_bold: bool = False


BODY = Style(size_pt=10.0)
STRONG = Style(size_pt=10.0, is_bold=True)
HEADING = Style(size_pt=11.0, is_bold=True)
TITLE = Style(size_pt=18.0, is_bold=True)
SUBTITLE = Style(size_pt=13.0)
VERDICT = Style(size_pt=15.0, is_bold=True)
IDENTIFIER = Style(size_pt=30.0, is_bold=True)
RUNNING = Style(size_pt=16.0, is_bold=True)
SMALL = Style(size_pt=8.5)
"""For the imprint and the figures inside sketches only; nothing the crew works from."""


@cache
def application() -> QGuiApplication:
    """The running Qt application, or one without a display: fonts need it."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    has_display = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if sys.platform.startswith("linux") and not has_display:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return QGuiApplication(["guyline"])


@cache
def load_fonts() -> tuple[str, ...]:
    """Load the shipped fonts and return their families, the one that serves first in front.

    A machine without fonts prints the same sheet. Call it on the GUI thread before pages are laid
    out on another.
    """
    application()
    families: list[str] = []
    for name in _FILES:
        data = (shipped("resources") / "fonts" / name).read_bytes()
        families += QFontDatabase.applicationFontFamilies(
            QFontDatabase.addApplicationFontFromData(data)
        )
    if not families:
        raise DocumentError(
            "The shipped fonts cannot be loaded.", advice="Install the program again."
        )
    return tuple(dict.fromkeys(families))


class _ThreadFonts(threading.local):
    """Fonts of one thread.

    A QFont points into a cache of the thread that first measured with it, which dies with that
    thread: a font handed to another thread crashes it later.
    """

    def __init__(self) -> None:
        self.fonts: dict[Style, QFont] = {}
        self.metrics: dict[Style, QFontMetricsF] = {}


_local = _ThreadFonts()


def font(style: Style) -> QFont:
    """The font of a style, sized in the units of the layout; for this thread only."""
    if style not in _local.fonts:
        made = QFont(list(load_fonts()))
        made.setPixelSize(round(style.size_pt * MM_PER_PT * UNITS_PER_MM))
        made.setBold(style.is_bold)
        made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        made.setFeature(QFont.Tag("liga"), 0)  # "fi" stays two letters when text is searched
        _local.fonts[style] = made
    return _local.fonts[style]


def metrics(style: Style) -> QFontMetricsF:
    if style not in _local.metrics:
        _local.metrics[style] = QFontMetricsF(font(style))
    return _local.metrics[style]


def line_height_mm(style: Style) -> float:
    return style.size_pt * MM_PER_PT * LEADING


def ascent_mm(style: Style) -> float:
    """From the top of a line to its base, letters in the middle of their line."""
    face = metrics(style)
    above = (line_height_mm(style) - face.height() / UNITS_PER_MM) / 2.0
    return above + face.ascent() / UNITS_PER_MM


@lru_cache(maxsize=16_384)
def width_mm(words: str, style: Style) -> float:
    return metrics(style).horizontalAdvance(words) / UNITS_PER_MM
