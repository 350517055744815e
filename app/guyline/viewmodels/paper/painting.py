"""Paints pages on any device: PDF, printer, preview, picture."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QImage,
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
    Placed,
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


def for_screen(page: Page) -> Page:
    """The page with its pictures in greys: a preview does not smooth, and hatching would beat.

    Which device a page comes to is told by whoever paints it: to ask the painter for its engine
    gives Python a hold on what Qt frees by itself, and that corrupts the heap.
    """
    return replace(page, placed=tuple(_placed_for_screen(placed) for placed in page.placed))


def _placed_for_screen(placed: Placed) -> Placed:
    marks = placed.block.marks
    if not any(isinstance(mark, Picture) for mark in marks):
        return placed
    greyed = tuple(_in_greys(mark) if isinstance(mark, Picture) else mark for mark in marks)
    return replace(placed, block=replace(placed.block, marks=greyed))


def _in_greys(picture: Picture) -> Picture:
    """No finer than a screen."""
    grey = picture.image.convertToFormat(QImage.Format.Format_RGB32)
    wide = max(1, round(picture.width_mm / 25.4 * _SCREEN_DPI))
    smooth = Qt.TransformationMode.SmoothTransformation
    return replace(picture, image=grey.scaledToWidth(wide, smooth))


def _paint_picture(painter: QPainter, picture: Picture) -> None:
    painter.save()
    hints = QPainter.RenderHint
    painter.setRenderHints(hints.SmoothPixmapTransform | hints.LosslessImageRendering)
    corner = _point(picture.x_mm, picture.y_mm)
    far = _point(picture.x_mm + picture.width_mm, picture.y_mm + picture.height_mm)
    painter.drawImage(QRectF(corner, far), picture.image)
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
