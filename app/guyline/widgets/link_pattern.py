"""Elevation pattern of an antenna with the angles at which its neighbours lie."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.viewmodels.link_patterns import PatternView
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_LEFT, _RIGHT, _TOP, _BOTTOM = 40, 20, 30, 24
_DEPTH_DB = 24.0  # shown below the greatest gain; deeper nulls are floored in the pattern anyway
_LABEL_GAP_PX = 4


class LinkPattern(QWidget):
    """Gain over elevation; a stem with a name for each neighbour."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: PatternView | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(lambda theme: self.update())

    def show_pattern(self, view: PatternView) -> None:
        self._view = view
        angles = "; ".join(
            f"{n.site_id} at {n.elevation_deg:+.1f} degrees, {n.gain_dbi:.1f} dBi"
            for n in view.neighbours
        )
        self.setAccessibleName(f"Antenna pattern of {view.site_id}")
        self.setAccessibleDescription(f"{view.sentence} {angles}")
        self.setToolTip(view.sentence + "\n" + angles.replace("; ", "\n"))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40 * GRID_PX, 19 * GRID_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        view = self._view
        if view is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_axes(painter, view)
        self._paint_curve(painter, view)
        self._paint_neighbours(painter, view)
        painter.end()

    def _point(self, view: PatternView, elevation_deg: float, gain_dbi: float) -> QPointF:
        reach = float(view.elevation_deg[-1])
        top = float(np.ceil(view.gain_dbi.max()))
        width = self.width() - _LEFT - _RIGHT
        height = self.height() - _TOP - _BOTTOM
        share = min(max((top - gain_dbi) / _DEPTH_DB, 0.0), 1.0)
        return QPointF(
            _LEFT + width * (elevation_deg + reach) / (2 * reach), _TOP + height * share
        )

    def _paint_axes(self, painter: QPainter, view: PatternView) -> None:
        theme = self._theme.value
        painter.setFont(font(8.0))
        top = float(np.ceil(view.gain_dbi.max()))
        reach = float(view.elevation_deg[-1])
        for gain in np.arange(top, top - _DEPTH_DB - 1.0, -6.0):
            y = self._point(view, 0.0, float(gain)).y()
            painter.setPen(QPen(QColor(theme.hairline), 1))
            painter.drawLine(QPointF(_LEFT, y), QPointF(self.width() - _RIGHT, y))
            painter.setPen(QColor(theme.muted))
            box = QRectF(0, y - 8, _LEFT - 6, 16)
            painter.drawText(
                box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{gain:.0f}"
            )
        for angle in np.arange(-10.0 * (reach // 10), reach + 0.1, 10.0):
            x = self._point(view, float(angle), top).x()
            box = QRectF(x - 24, self.height() - _BOTTOM + 4, 48, 16)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, f"{angle:+.0f}°")
        painter.drawText(QRectF(0, 0, _LEFT + 40, 16), Qt.AlignmentFlag.AlignLeft, "dBi")

    def _paint_curve(self, painter: QPainter, view: PatternView) -> None:
        curve = QPainterPath()
        for i, (angle, gain) in enumerate(zip(view.elevation_deg, view.gain_dbi, strict=True)):
            point = self._point(view, float(angle), float(gain))
            if i:
                curve.lineTo(point)
            else:
                curve.moveTo(point)
        painter.setPen(QPen(QColor(self._theme.value.lines[0]), 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(curve)

    def _paint_neighbours(self, painter: QPainter, view: PatternView) -> None:
        """Stems at the neighbours' angles; names that would overlap go to a second line."""
        theme = self._theme.value
        painter.setFont(font(8.0, bold=True))
        metrics = QFontMetricsF(painter.font())
        free_from = [0.0, 0.0]
        for n in sorted(view.neighbours, key=lambda n: n.elevation_deg):
            point = self._point(view, n.elevation_deg, n.gain_dbi)
            painter.setPen(QPen(QColor(theme.ink), 1))
            painter.drawLine(QPointF(point.x(), _TOP), QPointF(point.x(), self.height() - _BOTTOM))
            painter.setBrush(QColor(theme.ink))
            painter.drawEllipse(point, 3.0, 3.0)
            width = metrics.horizontalAdvance(n.site_id)
            left = min(max(point.x() - width / 2, 0.0), self.width() - width)
            line = next((i for i, x in enumerate(free_from) if left >= x), None)
            if line is None:
                continue  # its name is in the tool tip and in the description
            free_from[line] = left + width + _LABEL_GAP_PX
            painter.drawText(QPointF(left, 12 + 13 * line), n.site_id)
