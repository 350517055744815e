"""A small bar of a value against its limit: one sees by how much."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.readiness import Gauge
from guyline.widgets.theme import GRID_PX, CurrentTheme

_BAR_PX = 8


class GaugeBar(QWidget):
    """Solid up to the value, a tall tick at the limit, hatched where the limit is missed."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._gauge: Gauge | None = None
        self._verdict = Verdict.NOT_ASSESSED
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(lambda theme: self.update())

    def show_gauge(self, gauge: Gauge, verdict: Verdict) -> None:
        self._gauge, self._verdict = gauge, verdict
        self.setAccessibleName(gauge.caption)
        self.setToolTip(gauge.caption)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(12 * GRID_PX, _BAR_PX + GRID_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        gauge = self._gauge
        if gauge is None:
            return
        theme = self._theme.value
        painter = QPainter(self)
        painter.setPen(QPen(QColor(theme.hairline)))
        painter.setBrush(QColor(theme.sunk))
        painter.drawRect(self._span(0.0, 1.0).adjusted(0, 0, -1, 0))
        dye = QColor(theme.verdict_color(self._verdict))
        painter.setPen(Qt.PenStyle.NoPen)
        if not gauge.is_kept:
            painter.setBrush(QBrush(dye, Qt.BrushStyle.BDiagPattern))
            painter.drawRect(self._span(gauge.value, gauge.limit))
        painter.setBrush(dye)
        painter.drawRect(self._span(gauge.zero, gauge.value))
        painter.setPen(QPen(QColor(theme.ink), 2))
        x = gauge.limit * self.width()
        painter.drawLine(round(x), 1, round(x), self.height() - 2)
        painter.end()

    def _span(self, start: float, end: float) -> QRectF:
        left, right = sorted((start * self.width(), end * self.width()))
        return QRectF(left, (self.height() - _BAR_PX) / 2, right - left, _BAR_PX)
