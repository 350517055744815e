"""Paints the skyline round a place with the sun above it."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QWidget

from guyline.core.units import Numbers
from guyline.viewmodels.ground_view_skyline import Skyline, SunTrack
from guyline.widgets.theme import GRID_PX, Theme, font

FIRST_STEP = "Select a site, or click a place, to see its skyline and the sun."
LOWEST_DEG = -4.0
COMPASS = (
    (0, "N"),
    (45, "NE"),
    (90, "E"),
    (135, "SE"),
    (180, "S"),
    (225, "SW"),
    (270, "W"),
    (315, "NW"),
)
FOOT_PX, HEAD_PX = 14.0, 16.0


class SkylineStrip(QWidget):
    """All directions side by side; the side where the sun stands at noon in the middle."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._skyline: Skyline | None = None
        self._words = FIRST_STEP
        self.setAccessibleName("Skyline and sun")
        self.setFixedHeight(112)
        self.hide()

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def show_skyline(self, skyline: Skyline | None) -> None:
        self._skyline = skyline
        self.tell(FIRST_STEP if skyline is None else skyline.summary)

    def tell(self, words: str) -> None:
        self._words = words
        self.setAccessibleDescription(words)
        self.setToolTip(words)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(400, 112)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(GRID_PX, HEAD_PX, -GRID_PX, -FOOT_PX)
        if self._skyline is not None:
            painter.fillRect(box, QColor(self._theme.sunk))
            self._paint_sky(painter, self._skyline, box)
        painter.setFont(font(8.0, bold=True))
        painter.setPen(QColor(self._theme.ink))
        measure = QFontMetricsF(painter.font())
        words = measure.elidedText(self._words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(QPointF(box.left(), 12), words)
        painter.end()

    def _paint_sky(self, painter: QPainter, skyline: Skyline, box: QRectF) -> None:
        shown = _Directions(skyline, box)
        painter.save()
        painter.setClipRect(box)
        for n, track in enumerate(skyline.tracks):
            self._paint_track(painter, track, shown, is_first=n == 0)
        self._paint_ground(painter, skyline, shown)
        painter.restore()
        painter.setFont(font(7.5))
        painter.setPen(QColor(self._theme.muted))
        for azimuth, name in COMPASS:
            x = shown.x(np.array([float(azimuth)]))[0]
            width = QFontMetricsF(painter.font()).horizontalAdvance(name)
            left = min(max(x - width / 2, box.left()), box.right() - width)
            painter.drawText(QPointF(left, box.bottom() + 11), name)
        for elevation in range(10, int(shown.top_deg), 20 if shown.top_deg > 45 else 10):
            y = shown.y(np.array([float(elevation)]))[0]
            painter.drawText(QPointF(box.left() + 2, y + 4), f"{elevation}°")

    def _paint_track(
        self, painter: QPainter, track: SunTrack, shown: _Directions, *, is_first: bool
    ) -> None:
        color = QColor(self._theme.lines[1] if is_first else self._theme.muted)
        style = Qt.PenStyle.SolidLine if is_first else Qt.PenStyle.DashLine
        painter.setPen(QPen(color, 2.0 if is_first else 1.0, style))
        up = track.elevation_deg > LOWEST_DEG
        x, y = shown.x(track.azimuth_deg[up]), shown.y(track.elevation_deg[up])
        order = np.argsort(x)
        jump = np.flatnonzero(np.diff(x[order]) > shown.width / 4) + 1
        for part in np.split(order, jump):
            painter.drawPolyline(QPolygonF([QPointF(x[i], y[i]) for i in part]))
        if up.any():
            # each name on another stretch of its line, or June would lie on May
            at = order[round((0.5 if is_first else 0.62) * (order.size - 1))]
            painter.setFont(font(7.5, bold=is_first))
            painter.drawText(QPointF(x[at] + 3, y[at] - 3), track.name)

    def _paint_ground(self, painter: QPainter, skyline: Skyline, shown: _Directions) -> None:
        azimuth = shown.ordered_azimuths()
        elevation = np.asarray(skyline.horizon.at(azimuth))
        known = ~np.isnan(elevation) & skyline.is_known(azimuth)
        x, y = shown.x(azimuth), shown.y(np.nan_to_num(elevation, nan=LOWEST_DEG))
        x[-1] = shown.right
        foot = shown.y(np.array([LOWEST_DEG]))[0]
        body = QPolygonF([QPointF(x[0], foot)])
        for a, b in zip(x.tolist(), y.tolist(), strict=True):
            body.append(QPointF(a, b))
        body.append(QPointF(x[-1], foot))
        painter.setPen(QPen(QColor(self._theme.ground_line), 1.0))
        painter.setBrush(QColor(self._theme.ground_fill))
        painter.drawPolygon(body)
        hatch = QBrush(QColor(self._theme.muted), Qt.BrushStyle.BDiagPattern)
        step = shown.width / azimuth.size
        for left in x[~known].tolist():
            painter.fillRect(QRectF(left, shown.top, step + 1, shown.height), hatch)


class _Directions:
    """Where a direction is in the strip."""

    def __init__(self, skyline: Skyline, box: QRectF) -> None:
        self._box = box
        self._first = 0.0 if skyline.lat_deg >= 0.0 else 180.0
        highest = [float(track.elevation_deg.max()) for track in skyline.tracks]
        known = skyline.horizon.elevation_deg[~np.isnan(skyline.horizon.elevation_deg)]
        self.top_deg = min(90.0, 1.15 * max([12.0, *highest, *known.tolist()]))
        self.width, self.height = box.width(), box.height()
        self.top, self.right = box.top(), box.right()

    def x(self, azimuth_deg: Numbers) -> Numbers:
        share = ((azimuth_deg - self._first) % 360.0) / 360.0
        return np.asarray(self._box.left() + share * self._box.width())

    def y(self, elevation_deg: Numbers) -> Numbers:
        share = (elevation_deg - LOWEST_DEG) / (self.top_deg - LOWEST_DEG)
        return np.asarray(self._box.bottom() - share * self._box.height())

    def ordered_azimuths(self) -> Numbers:
        """All directions from the left edge to the right one, the last one at the edge."""
        return self._first + np.append(np.arange(0.0, 360.0), 359.999)
