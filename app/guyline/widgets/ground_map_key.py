"""The colours of coverage, and the key that tells what they mean."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QImage,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from guyline.viewmodels.ground_view_coverage import Reach
from guyline.viewmodels.ground_view_layers import (
    FIRST_SERVER,
    MOST_SERVERS,
    SERVICE_KEY,
    KeyEntry,
    Looks,
    Step,
    stripes,
)
from guyline.widgets.theme import GRID_PX, Theme, font

# Shadow where it is bad, striped where it falls short, a tint where it is good: told apart by
# darkness and stripes on any printer. Opacity of each, light and dark.
SHADOWS = {
    Reach.OUT.value: (0.42, 0.60),
    Reach.SHORT.value: (0.12, 0.20),
    Reach.SHORT_STRIPE.value: (0.42, 0.60),
    Step.WORST.value: (0.46, 0.66),
    Step.POOR.value: (0.16, 0.26),
    Step.POOR.value + 1: (0.46, 0.66),
    Step.FAIR.value: (0.04, 0.08),
    Step.FAIR.value + 1: (0.32, 0.50),
}
TINTS = {
    Reach.ONE.value: (0.18, 0.20),
    Reach.SEVERAL.value: (0.34, 0.40),
    Step.GOOD.value: (0.20, 0.22),
    Step.BEST.value: (0.42, 0.48),
}
SERVER_FILL, SERVER_STRIPE = (0.22, 0.26), (0.58, 0.62)
SERVER_LINES = (0, 1, 2, 3, 4)  # of the theme; a fifth colour would repeat one of these
SWATCH_PX = 14.0
ROW_PX = 18.0


@cache  # the key and each frame of a picture that follows the hand ask for them
def coverage_colors(theme: Theme) -> NDArray[np.uint8]:
    """Colour of every index of a coverage picture as RGBA."""
    colors = np.zeros((256, 4), dtype=np.uint8)
    which = 1 if theme.is_dark else 0
    for shades, color in ((SHADOWS, QColor("#000000")), (TINTS, QColor(theme.lines[2]))):
        for index, opacity in shades.items():
            colors[index] = _rgba(color, opacity[which])
    for n in range(MOST_SERVERS):
        color = QColor(theme.lines[SERVER_LINES[n % len(SERVER_LINES)]])
        colors[FIRST_SERVER + 2 * n] = _rgba(color, SERVER_FILL[which])
        colors[FIRST_SERVER + 2 * n + 1] = _rgba(color, SERVER_STRIPE[which])
    return colors


class CoverageKey(QWidget):
    """What the shades of coverage mean, and how much is served; as many rows as that takes."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._words = ""
        self._entries: tuple[KeyEntry, ...] = SERVICE_KEY
        self.setAccessibleName("Coverage")
        self.hide()
        self._fit()

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def show_key(self, entries: tuple[KeyEntry, ...]) -> None:
        self._entries = entries
        self._fit()
        self._describe()
        self.update()

    def tell(self, words: str) -> None:
        self._words = words
        self._fit()
        self._describe()
        self.update()

    def _describe(self) -> None:
        """Words for those who hear, and for a pointer that rests here."""
        shades = ", ".join(entry.words for entry in self._entries)
        self.setAccessibleDescription(f"{self._words} Shades: {shades}.".strip())
        self.setToolTip(self._words)

    def sizeHint(self) -> QSize:
        return QSize(400, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        rows = 1 + round(max((box.top() for box in self._boxes()), default=2.0) - 2.0) // ROW_PX
        height = round((rows + len(self._lines())) * ROW_PX)
        if height != self.height():
            self.setFixedHeight(height)

    def _lines(self) -> list[str]:
        """The words on one line or two; what is longer ends in dots, and the tip has it all."""
        measure = QFontMetricsF(font(8.0, bold=True))
        room = max(self.width(), 200) - 2.0 * GRID_PX
        if measure.horizontalAdvance(self._words) <= room:
            return [self._words]
        first, *rest = self._words.split(" ")
        while rest and measure.horizontalAdvance(f"{first} {rest[0]}") <= room:
            first = f"{first} {rest.pop(0)}"
        second = " ".join(rest)
        return [first, measure.elidedText(second, Qt.TextElideMode.ElideRight, room)]

    def _boxes(self) -> list[QRectF]:
        """Where the swatches are, in rows."""
        measure = QFontMetricsF(font(8.0))
        boxes = []
        x, y = float(GRID_PX), 2.0
        for entry in self._entries:
            wide = SWATCH_PX + 4 + measure.horizontalAdvance(entry.words)
            if x > GRID_PX and x + wide > max(self.width(), 200) - GRID_PX:
                x, y = float(GRID_PX), y + ROW_PX
            boxes.append(QRectF(x, y, SWATCH_PX, SWATCH_PX))
            x += wide + 1.5 * GRID_PX
        return boxes

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(font(8.0))
        for entry, box in zip(self._entries, self._boxes(), strict=True):
            self._paint_swatch(painter, box, entry)
            painter.setPen(QColor(self._theme.ink))
            painter.drawText(QPointF(box.right() + 4, box.top() + 11), entry.words)
        painter.setFont(font(8.0, bold=True))
        painter.setPen(QColor(self._theme.ink))
        for n, line in enumerate(reversed(self._lines())):
            painter.drawText(QPointF(GRID_PX, self.height() - 6.0 - n * ROW_PX), line)
        painter.end()

    def _paint_swatch(self, painter: QPainter, box: QRectF, entry: KeyEntry) -> None:
        painter.fillRect(box, QColor(self._theme.ground_fill))
        colors = coverage_colors(self._theme)
        painter.fillRect(box, _color(colors[entry.index]))
        if entry.looks is not Looks.PLAIN:
            painter.fillRect(box, QBrush(_striped(_color(colors[entry.index + 1]), entry.looks)))
        painter.setPen(QPen(QColor(self._theme.muted), 1.0))
        painter.drawRect(box)


def _rgba(color: QColor, opacity: float) -> tuple[int, int, int, int]:
    return color.red(), color.green(), color.blue(), round(255 * opacity)


def _color(rgba: NDArray[np.uint8]) -> QColor:
    return QColor(*(int(part) for part in rgba))


def _striped(color: QColor, looks: Looks) -> QImage:
    """The stripes of the picture, as large as an eye sees them there."""
    side, wide = 18, 3
    tile = QImage(side, side, QImage.Format.Format_ARGB32)
    tile.fill(QColor(0, 0, 0, 0))
    dark = stripes(looks, side // wide, side // wide)[::-1]
    for row in range(side):
        for column in range(side):
            if dark[row // wide, column // wide]:
                tile.setPixelColor(column, row, color)
    return tile
