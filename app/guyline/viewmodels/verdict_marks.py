"""The four verdict marks as outlines, so that screen and paper show the same shapes.

Our own set, told apart by silhouette alone: a disc, a triangle, crossed boards, an open diamond.
"""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPainterPathStroker, QPolygonF, QTransform

from guyline.core.readiness.finding import Verdict


def mark_path(verdict: Verdict, box: QRectF) -> QPainterPath:
    """Outline of a verdict's mark inside `box`, to be filled with one colour."""
    scale = min(box.width(), box.height())
    origin = box.center() - QPointF(scale / 2, scale / 2)
    place = QTransform.fromTranslate(origin.x(), origin.y()).scale(scale / 100, scale / 100)
    return place.map(_PATHS[verdict]())


# Drawn on a square of 100: boolean operations on smaller paths turn curves into polygons.
@cache  # cutting paths out of paths takes a millisecond; a table paints dozens
def _disc() -> QPainterPath:
    disc = QPainterPath()
    disc.addEllipse(QRectF(3, 3, 94, 94))
    tick = QPainterPath(QPointF(27, 53))
    tick.lineTo(44, 69)
    tick.lineTo(74, 34)
    return disc - _stroked(tick, 13)


@cache
def _triangle() -> QPainterPath:
    triangle = QPainterPath()
    triangle.addPolygon(QPolygonF([QPointF(50, 2), QPointF(100, 95), QPointF(0, 95)]))
    triangle.closeSubpath()
    bar = QPainterPath()
    bar.addRect(QRectF(44, 36, 12, 30))
    dot = QPainterPath()
    dot.addRect(QRectF(44, 73, 12, 12))
    return triangle - bar - dot


@cache
def _crossed_boards() -> QPainterPath:
    cross = QPainterPath(QPointF(12, 12))
    cross.lineTo(88, 88)
    cross.moveTo(88, 12)
    cross.lineTo(12, 88)
    return _stroked(cross, 26)


@cache
def _open_diamond() -> QPainterPath:
    diamond = QPainterPath()
    diamond.addPolygon(
        QPolygonF([QPointF(50, 9), QPointF(91, 50), QPointF(50, 91), QPointF(9, 50)])
    )
    diamond.closeSubpath()
    return _stroked(diamond, 12)


def _stroked(line: QPainterPath, width: float) -> QPainterPath:
    stroker = QPainterPathStroker()
    stroker.setWidth(width)
    return stroker.createStroke(line).simplified()


_PATHS = {
    Verdict.GO: _disc,
    Verdict.CONDITIONS: _triangle,
    Verdict.NO_GO: _crossed_boards,
    Verdict.NOT_ASSESSED: _open_diamond,
}
