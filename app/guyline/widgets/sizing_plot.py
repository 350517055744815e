"""Panel against battery at equal reliability, with what the site has."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.core.power.sizing import SizingChart
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 16, 12, 34
_TICKS = (5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


class SizingPlot(QWidget):
    """Both axes in equal ratios; above and right of the line is enough."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._chart: SizingChart | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Panel against battery")
        theme.changed.connect(lambda theme: self.update())

    def show_chart(self, chart: SizingChart | None) -> None:
        self._chart = chart
        self.setVisible(chart is not None)
        if chart is not None:
            self.setAccessibleDescription(sizing_sentence(chart))
            self.setToolTip(sizing_sentence(chart))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40 * GRID_PX, 26 * GRID_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        chart = self._chart
        if chart is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(8.0))
        self._paint_axes(painter, chart)
        self._paint_line(painter, chart)
        self._paint_site(painter, chart)
        painter.end()

    def _range(self, values: list[float]) -> tuple[float, float]:
        return min(values) / 1.4, max(values) * 1.4

    def _point(self, chart: SizingChart, battery_wh: float, panel_w: float) -> QPointF:
        low_x, high_x = self._range([wh for wh, _ in chart.points] + [chart.battery_wh])
        known = [w for _, w in chart.points if w is not None]
        low_y, high_y = self._range([*known, chart.panel_w])
        across = math.log(battery_wh / low_x) / math.log(high_x / low_x)
        up = math.log(panel_w / low_y) / math.log(high_y / low_y)
        return QPointF(
            _LEFT + across * (self.width() - _LEFT - _RIGHT),
            self.height() - _BOTTOM - up * (self.height() - _TOP - _BOTTOM),
        )

    def _paint_axes(self, painter: QPainter, chart: SizingChart) -> None:
        theme = self._theme.value
        area = QRectF(_LEFT, _TOP, self.width() - _LEFT - _RIGHT, self.height() - _TOP - _BOTTOM)
        for tick in _TICKS:
            at = self._point(chart, tick, tick)
            if area.left() <= at.x() <= area.right():
                painter.setPen(QPen(QColor(theme.hairline), 1))
                painter.drawLine(QPointF(at.x(), area.top()), QPointF(at.x(), area.bottom()))
                painter.setPen(QColor(theme.muted))
                box = QRectF(at.x() - 24, area.bottom() + 1, 48, 14)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, f"{tick}")
            if area.top() <= at.y() <= area.bottom():
                painter.setPen(QPen(QColor(theme.hairline), 1))
                painter.drawLine(QPointF(area.left(), at.y()), QPointF(area.right(), at.y()))
                painter.setPen(QColor(theme.muted))
                box = QRectF(0, at.y() - 8, _LEFT - 4, 16)
                painter.drawText(box, _RIGHT_MIDDLE, f"{tick} W")
        painter.setPen(QColor(theme.ink))
        foot = QRectF(_LEFT, self.height() - 18, area.width(), 16)
        painter.drawText(foot, Qt.AlignmentFlag.AlignCenter, "battery, Wh on the label")

    def _paint_line(self, painter: QPainter, chart: SizingChart) -> None:
        theme = self._theme.value
        points = [self._point(chart, wh, w) for wh, w in chart.points if w is not None]
        painter.setPen(QPen(QColor(theme.lines[0]), 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(points))
        painter.setBrush(QColor(theme.lines[0]))
        for point in points:
            painter.drawEllipse(point, 3.0, 3.0)

    def _paint_site(self, painter: QPainter, chart: SizingChart) -> None:
        """A square where the site stands: filled where that is enough, crossed where not."""
        theme = self._theme.value
        at = self._point(chart, chart.battery_wh, chart.panel_w)
        box = QRectF(at.x() - 6, at.y() - 6, 12, 12)
        painter.setPen(QPen(QColor(theme.ink), 1.5))
        painter.setBrush(QColor(theme.lines[2]) if chart.is_enough else QColor(theme.paper))
        painter.drawRect(box)
        if not chart.is_enough:
            painter.drawLine(box.topLeft(), box.bottomRight())
            painter.drawLine(box.topRight(), box.bottomLeft())


def sizing_sentence(chart: SizingChart) -> str:
    """The chart in words, for those who cannot see it."""
    has = f"The site has {chart.panel_w:g} W and {chart.battery_wh:g} Wh"
    state = "enough" if chart.is_enough else "not enough"
    pairs = ", ".join(f"{w:g} W with {wh:g} Wh" for wh, w in _corners(chart))
    sure = 100.0 * chart.survival_for_go
    return f"{has}: {state}. For {sure:g} % of missions: {pairs or 'no size of the list'}."


def _corners(chart: SizingChart) -> list[tuple[float, float]]:
    """The smallest battery for each size of panel."""
    least: dict[float, float] = {}
    for battery_wh, panel_w in chart.points:
        if panel_w is not None:
            least.setdefault(panel_w, battery_wh)
    return [(battery_wh, panel_w) for panel_w, battery_wh in least.items()]


_RIGHT_MIDDLE = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
