"""The sun's way over the horizon round a panel."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.services.sun_and_weather import STEPS_PER_HOUR, skyline_at
from guyline.viewmodels.power_view import Skyline
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_LEFT, _RIGHT, _TOP, _BOTTOM = 32, 12, 12, 22
_LOWEST_TOP_DEG = 30.0  # of the picture; a higher sun or ridge stretches it
_POINTS = ((0.0, "N"), (90.0, "E"), (180.0, "S"), (270.0, "W"))


class SunArcPlot(QWidget):
    """Azimuth across, elevation up; obstacles are hatched, hours that are hidden are hollow."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: Skyline | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("The sun's way over the horizon")
        theme.changed.connect(lambda theme: self.update())

    def show_skyline(self, view: Skyline) -> None:
        self._view = view
        self.setAccessibleDescription(view.sentence)
        self.setToolTip(view.sentence)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40 * GRID_PX, 18 * GRID_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._view is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(8.0))
        self._paint_ground(painter, self._view)
        self._paint_shades(painter, self._view)
        self._paint_axes(painter, self._view)
        self._paint_sun(painter, self._view)
        painter.end()

    def _start_deg(self) -> float:
        """Azimuth at the left edge, so that the panel's side stands in the middle."""
        assert self._view is not None
        return self._view.azimuth_deg - 180.0

    def _top_deg(self) -> float:
        assert self._view is not None
        highest = max(
            self._view.arc.elevation_deg.max(initial=0.0),
            max(self._view.horizon_deg, default=0.0),
            max((shade.elevation_deg for shade in self._view.shades), default=0.0),
        )
        return max(_LOWEST_TOP_DEG, 10.0 * float(np.ceil((highest + 3.0) / 10.0)))

    def _point(self, azimuth_deg: float, elevation_deg: float) -> QPointF:
        across = ((azimuth_deg - self._start_deg()) % 360.0) / 360.0
        return QPointF(
            _LEFT + across * (self.width() - _LEFT - _RIGHT), self._height_px(elevation_deg)
        )

    def _paint_ground(self, painter: QPainter, view: Skyline) -> None:
        theme = self._theme.value
        azimuth = (np.arange(0.0, 360.0, 2.0) + self._start_deg()) % 360.0
        height = skyline_at(azimuth, view.horizon_deg)
        edge = [self._point(a, h) for a, h in zip(azimuth, height, strict=True)]
        floor = self.height() - _BOTTOM
        right = float(self.width() - _RIGHT)
        edge.append(QPointF(right, edge[0].y()))
        shape = QPolygonF([QPointF(_LEFT, floor), *edge, QPointF(right, floor)])
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.ground_fill))
        painter.drawPolygon(shape)
        painter.setPen(QPen(QColor(theme.ground_line), 1.5))
        painter.drawPolyline(QPolygonF(edge))

    def _paint_shades(self, painter: QPainter, view: Skyline) -> None:
        """Trees and walls as hatched blocks, denser the less they let through."""
        theme = self._theme.value
        for shade in view.shades:
            width = (shade.to_deg - shade.from_deg) % 360.0 or 360.0
            pattern = (
                Qt.BrushStyle.DiagCrossPattern
                if shade.passes < 0.15
                else Qt.BrushStyle.BDiagPattern
            )
            painter.setPen(QPen(QColor(theme.ground_line), 1))
            painter.setBrush(QBrush(QColor(theme.ground_line), pattern))
            for start, end in self._pieces(shade.from_deg, width):
                top = self._height_px(shade.elevation_deg)
                floor = float(self.height() - _BOTTOM)
                painter.drawRect(QRectF(start, top, end - start, floor - top))

    def _pieces(self, from_deg: float, width_deg: float) -> list[tuple[float, float]]:
        """Left and right ends in px of a span of azimuths, two where it leaves the picture."""
        room = float(self.width() - _LEFT - _RIGHT)
        left = ((from_deg - self._start_deg()) % 360.0) / 360.0
        right = left + width_deg / 360.0
        pieces = [(left, min(right, 1.0))]
        if right > 1.0:
            pieces.append((0.0, right - 1.0))
        return [(_LEFT + a * room, _LEFT + b * room) for a, b in pieces]

    def _height_px(self, elevation_deg: float) -> float:
        height = self.height() - _TOP - _BOTTOM
        return _TOP + height * (1.0 - min(elevation_deg / self._top_deg(), 1.0))

    def _paint_axes(self, painter: QPainter, view: Skyline) -> None:
        theme = self._theme.value
        painter.setPen(QPen(QColor(theme.hairline), 1))
        for elevation in np.arange(0.0, self._top_deg() + 1.0, 10.0):
            y = self._point(0.0, float(elevation)).y()
            painter.setPen(QPen(QColor(theme.hairline), 1))
            painter.drawLine(QPointF(_LEFT, y), QPointF(self.width() - _RIGHT, y))
            painter.setPen(QColor(theme.muted))
            box = QRectF(0, y - GRID_PX, _LEFT - 4, 2 * GRID_PX)
            painter.drawText(box, _RIGHT_MIDDLE, f"{elevation:.0f}°")
        for azimuth, name in _POINTS:
            x = self._point(azimuth, 0.0).x()
            box = QRectF(x - 2 * GRID_PX, self.height() - _BOTTOM + 2, 4 * GRID_PX, _BOTTOM - 2)
            painter.setPen(QColor(theme.ink))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)

    def _paint_sun(self, painter: QPainter, view: Skyline) -> None:
        theme, arc = self._theme.value, view.arc
        points = [
            self._point(a, e) for a, e in zip(arc.azimuth_deg, arc.elevation_deg, strict=True)
        ]
        path = QPainterPath()
        for n, point in enumerate(points):
            wraps = n and abs(point.x() - points[n - 1].x()) > self.width() / 2
            if n == 0 or wraps:
                path.moveTo(point)
            else:
                path.lineTo(point)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(theme.ink), 1, Qt.PenStyle.DashLine))
        painter.drawPath(path)
        for point, hour, is_free in zip(points, arc.solar_hour, arc.is_free, strict=True):
            if hour % 1.0 > 1.0 / STEPS_PER_HOUR:
                continue  # one mark an hour
            painter.setPen(QPen(QColor(theme.ink), 1))
            painter.setBrush(QColor(theme.lines[4]) if is_free else QColor(theme.paper))
            painter.drawEllipse(point, 4.0, 4.0)


_RIGHT_MIDDLE = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
