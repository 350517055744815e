"""Paints pages on any device: PDF, printer, preview, picture."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QImage,
    QPaintEngine,
    QPainter,
    QPainterPath,
    QPen,
    QTransform,
)

from guyline.viewmodels.paper.marks import (
    HAIR_MM,
    Frame,
    Mark,
    Page,
    Picture,
    Rule,
    Shape,
    Words,
)
from guyline.viewmodels.paper.type import UNITS_PER_MM, ascent_mm, font

INK = QColor(0, 0, 0)
_SCREEN_DPI = 96.0
_HATCH_MM = 1.2  # far enough apart to stay lines on a worn printer


def paint_page(painter: QPainter, page: Page, units_per_mm: float) -> None:
    """Paint a page with its top left at the painter's origin.

    Parameters
    ----------
    units_per_mm : float
        Units of the painter for a millimetre of paper.
    """
    painter.save()
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    painter.scale(units_per_mm / UNITS_PER_MM, units_per_mm / UNITS_PER_MM)
    for placed in page.placed:
        for mark in placed.block.moved(placed.x_mm, placed.y_mm):
            _paint(painter, mark)
    painter.restore()


def _paint(painter: QPainter, mark: Mark) -> None:
    match mark:
        case Words():
            _paint_words(painter, mark)
        case Rule():
            painter.setPen(_pen(mark.pen_mm, is_dashed=mark.is_dashed))
            painter.drawLine(_point(mark.x1_mm, mark.y1_mm), _point(mark.x2_mm, mark.y2_mm))
        case Frame():
            _paint_frame(painter, mark)
        case Shape():
            _paint_shape(painter, mark)
        case Picture():
            _paint_picture(painter, mark)


def _point(x_mm: float, y_mm: float) -> QPointF:
    return QPointF(x_mm * UNITS_PER_MM, y_mm * UNITS_PER_MM)


def _pen(width_mm: float, *, is_dashed: bool = False) -> QPen:
    pen = QPen(INK, max(HAIR_MM, width_mm) * UNITS_PER_MM)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if is_dashed:
        pen.setDashPattern([4.0, 3.0])
    return pen


def _paint_words(painter: QPainter, words: Words) -> None:
    painter.setPen(INK)
    painter.setFont(font(words.style))
    painter.drawText(_point(words.x_mm, words.y_mm + ascent_mm(words.style)), words.text)


def _paint_frame(painter: QPainter, frame: Frame) -> None:
    half = frame.pen_mm / 2
    painter.setPen(_pen(frame.pen_mm))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(
        QRectF(
            _point(frame.x_mm + half, frame.y_mm + half),
            _point(frame.x_mm + frame.width_mm - half, frame.y_mm + frame.height_mm - half),
        )
    )


def _for_screen(picture: Picture) -> QImage:
    """In greys and no finer than a screen: a preview does not smooth, and hatching would beat."""
    grey = picture.image.convertToFormat(QImage.Format.Format_RGB32)
    wide = round(picture.width_mm / 25.4 * _SCREEN_DPI)
    return grey.scaledToWidth(max(1, wide), Qt.TransformationMode.SmoothTransformation)


def _paint_picture(painter: QPainter, picture: Picture) -> None:
    """As it is on paper, one bit a dot; smoothed where it is part of another picture."""
    image = picture.image
    if painter.paintEngine().type() == QPaintEngine.Type.Picture:
        image = _for_screen(picture)
    painter.save()
    hints = QPainter.RenderHint
    painter.setRenderHints(hints.SmoothPixmapTransform | hints.LosslessImageRendering)
    corner = _point(picture.x_mm, picture.y_mm)
    far = _point(picture.x_mm + picture.width_mm, picture.y_mm + picture.height_mm)
    painter.drawImage(QRectF(corner, far), image)
    painter.restore()


def _paint_shape(painter: QPainter, shape: Shape) -> None:
    path = QTransform.fromScale(UNITS_PER_MM, UNITS_PER_MM).map(shape.path)
    if shape.is_filled:
        painter.fillPath(path, QBrush(INK))
    if shape.is_hatched:
        _hatch(painter, path)
    if shape.pen_mm:
        painter.strokePath(path, _pen(shape.pen_mm, is_dashed=shape.is_dashed))


def _hatch(painter: QPainter, path: QPainterPath) -> None:
    """Lines under 45°, drawn one by one: brushes of a pattern scale with the device."""
    box = path.boundingRect()
    step = _HATCH_MM * UNITS_PER_MM
    painter.save()
    painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
    painter.setPen(_pen(HAIR_MM))
    x = box.left() - box.height()
    while x < box.right():
        painter.drawLine(QPointF(x, box.bottom()), QPointF(x + box.height(), box.top()))
        x += step
    painter.restore()
