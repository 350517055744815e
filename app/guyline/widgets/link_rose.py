"""Gain of a directional antenna all round, north up, with the bearings of its neighbours."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.core.units import Numbers
from guyline.viewmodels.link_patterns import PatternView
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_RIM_PX = 30  # for the names round the rose
_DEPTH_DB = 24.0  # from the rim to the middle
_STEP_DB = 6.0
_QUARTERS = ((0.0, "N"), (90.0, "E"), (180.0, "S"), (270.0, "W"))


class LinkRose(QWidget):
    """Hidden for an antenna that serves all round: its rose is a circle."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: PatternView | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(lambda theme: self.update())

    def show_pattern(self, view: PatternView) -> None:
        self._view = view
        self.setVisible(view.around_dbi is not None)
        bearings = "; ".join(
            f"{n.site_id} at {n.azimuth_deg:.0f} degrees true, {n.gain_dbi:.1f} dBi"
            for n in view.neighbours
        )
        self.setAccessibleName(f"Antenna pattern of {view.site_id} by bearing")
        self.setAccessibleDescription(bearings)
        self.setToolTip(bearings.replace("; ", "\n"))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40 * GRID_PX, 29 * GRID_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        view = self._view
        if view is None or view.around_dbi is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_rings(painter, view.around_dbi)
        self._paint_curve(painter, view.around_dbi)
        self._paint_neighbours(painter, view, view.around_dbi)
        painter.end()

    @property
    def _radius_px(self) -> float:
        return max(1.0, min(self.width(), self.height()) / 2.0 - _RIM_PX)

    def _at(self, bearing_deg: float, radius_px: float) -> QPointF:
        angle = radians(bearing_deg)
        middle = QPointF(self.width() / 2.0, self.height() / 2.0)
        return middle + QPointF(radius_px * sin(angle), -radius_px * cos(angle))

    def _out_px(self, gain_dbi: float, around_dbi: Numbers) -> float:
        below = float(np.ceil(around_dbi.max())) - gain_dbi
        return self._radius_px * min(max(1.0 - below / _DEPTH_DB, 0.0), 1.0)

    def _paint_rings(self, painter: QPainter, around_dbi: Numbers) -> None:
        theme = self._theme.value
        top = float(np.ceil(around_dbi.max()))
        painter.setFont(font(8.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for gain in np.arange(top, top - _DEPTH_DB, -_STEP_DB):
            out = self._out_px(float(gain), around_dbi)
            painter.setPen(QPen(QColor(theme.hairline), 1))
            painter.drawEllipse(self._at(0.0, 0.0), out, out)
            painter.setPen(QColor(theme.muted))
            painter.drawText(self._at(45.0, out) + QPointF(2.0, 0.0), f"{gain:.0f}")
        for bearing, letter in _QUARTERS:
            at = self._at(bearing, self._radius_px + 9.0)
            painter.setPen(QColor(theme.muted))
            box = QRectF(at.x() - 9.0, at.y() - 8.0, 18.0, 16.0)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, letter)

    def _paint_curve(self, painter: QPainter, around_dbi: Numbers) -> None:
        theme = self._theme.value
        curve = QPolygonF(
            [
                self._at(float(bearing), self._out_px(float(gain), around_dbi))
                for bearing, gain in enumerate(around_dbi)
            ]
        )
        painter.setPen(QPen(QColor(theme.lines[0]), 1.5))
        painter.drawPolygon(curve)

    def _paint_neighbours(self, painter: QPainter, view: PatternView, around_dbi: Numbers) -> None:
        """A ray to each neighbour with a dot at the gain that reaches it."""
        theme = self._theme.value
        painter.setFont(font(8.0, bold=True))
        metrics = QFontMetricsF(painter.font())
        taken: list[QRectF] = []
        for n in view.neighbours:
            painter.setPen(QPen(QColor(theme.ink), 1))
            painter.drawLine(self._at(0.0, 0.0), self._at(n.azimuth_deg, self._radius_px))
            painter.setBrush(QColor(theme.ink))
            dot = self._at(n.azimuth_deg, self._out_px(n.gain_dbi, around_dbi))
            painter.drawEllipse(dot, 3.0, 3.0)
            box = self._name_box(n.azimuth_deg, metrics.horizontalAdvance(n.site_id) + 2.0)
            if any(box.intersects(other) for other in taken):
                continue  # its name is in the tool tip and in the description
            taken.append(box)
            painter.fillRect(box, QColor(theme.paper))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, n.site_id)

    def _name_box(self, bearing_deg: float, width_px: float) -> QRectF:
        at = self._at(bearing_deg, self._radius_px + 12.0)
        left = at.x() - width_px / 2.0 + sin(radians(bearing_deg)) * width_px / 2.0
        left = min(max(left, 0.0), self.width() - width_px)
        return QRectF(left, at.y() - 8.0, width_px, 16.0)
