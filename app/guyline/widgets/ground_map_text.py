"""Writing on a map: letters with a rim, drawn once and then stamped."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from math import isfinite

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QPainter,
    QPainterPath,
    QPen,
    QPixmap,
    QTransform,
)

from guyline.widgets.theme import font

RIM_PX = 3.0


def hairline(
    color: QColor | str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine
) -> QPen:
    """A pen of the same width at every zoom; wider than 1 px it would cost a frame."""
    pen = QPen(QColor(color), width, style)
    pen.setCosmetic(True)
    return pen


@contextmanager
def on_screen(painter: QPainter) -> Iterator[None]:
    """Paint in pixels for a while, with the painter given back as it was."""
    painter.save()
    painter.setTransform(QTransform())
    try:
        yield
    finally:
        painter.restore()


@lru_cache(maxsize=4096)
def text_size(words: str, points: float, *, bold: bool = False) -> tuple[float, float]:
    """Width and height of a line of text. [px]."""
    measure = QFontMetricsF(font(points, bold=bold))
    return measure.horizontalAdvance(words), measure.height()


class HaloText:
    """Stamps lines of text with a rim of paper; stroking letters anew costs a frame."""

    def __init__(self) -> None:
        self._stamps: dict[tuple[object, ...], QPixmap] = {}

    def clear(self) -> None:
        self._stamps.clear()

    def draw(
        self,
        painter: QPainter,
        middle: QPointF,
        words: str,
        ink: str,
        paper: str,
        *,
        points: float = 8.5,
        bold: bool = False,
        angle_deg: float = 0.0,
    ) -> None:
        """Write with the middle of the text at a place of the screen."""
        if not (isfinite(middle.x()) and isfinite(middle.y())):
            return  # Qt ends the program over a pixel that is no number
        ratio = painter.device().devicePixelRatioF()
        key = (words, ink, paper, points, bold, ratio)
        if key not in self._stamps:
            if len(self._stamps) > 2000:
                self._stamps.clear()
            self._stamps[key] = _stamp(words, ink, paper, points, bold, ratio)
        stamp = self._stamps[key]
        with on_screen(painter):
            painter.translate(middle)
            if angle_deg:
                painter.rotate(angle_deg)
                painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            size = stamp.deviceIndependentSize()
            corner = QPointF(-size.width() / 2, -size.height() / 2)
            if not angle_deg:  # whole pixels, else the letters blur
                corner = QPointF((corner + middle).toPoint()) - middle
            painter.drawPixmap(corner, stamp)


def _stamp(words: str, ink: str, paper: str, points: float, bold: bool, ratio: float) -> QPixmap:
    face = font(points, bold=bold)
    measure = QFontMetricsF(face)
    box = QRectF(0, 0, measure.horizontalAdvance(words), measure.height())
    box.adjust(0, 0, 2 * RIM_PX, 2 * RIM_PX)
    picture = QPixmap((box.size() * ratio).toSize())
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    letters = QPainterPath()
    letters.addText(QPointF(RIM_PX, RIM_PX + measure.ascent()), face, words)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    rim = QPen(QColor(paper), RIM_PX)
    rim.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.strokePath(letters, rim)
    painter.fillPath(letters, QColor(ink))
    painter.end()
    return picture
