"""Where a day's energy comes from and goes to, as bars."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.viewmodels.power_view import EnergyBar
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_ROW_PX = 3 * GRID_PX
_BAR_PX = 10
_NAME_SHARE = 0.56
_NUMBER_PX = 11 * GRID_PX


class EnergyBars(QWidget):
    """One row a draw; what the panel brings is solid, what is drawn is hatched."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._bars: tuple[EnergyBar, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Energy of a day")
        theme.changed.connect(lambda theme: self.update())

    def show_bars(self, bars: tuple[EnergyBar, ...]) -> None:
        self._bars = bars
        self.setAccessibleDescription(
            "; ".join(f"{bar.name} {bar.wh_per_day:.1f} Wh a day" for bar in bars)
        )
        self.setToolTip("\n".join(f"{bar.name}: {bar.source}" for bar in bars))
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(40 * GRID_PX, len(self._bars) * _ROW_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(8.5))
        for row, bar in enumerate(self._bars):
            self._paint_row(painter, row * _ROW_PX, bar)
        painter.end()

    def _paint_row(self, painter: QPainter, top: float, bar: EnergyBar) -> None:
        theme = self._theme.value
        left = _NAME_SHARE * self.width()
        room = max(self.width() - left - _NUMBER_PX, 1.0)
        painter.setPen(QColor(theme.ink))
        middle = Qt.AlignmentFlag.AlignVCenter
        metrics = QFontMetricsF(painter.font())
        name = metrics.elidedText(bar.name, Qt.TextElideMode.ElideRight, left - GRID_PX)
        painter.drawText(QRectF(0, top, left - GRID_PX, _ROW_PX), middle, name)
        painter.drawText(
            QRectF(0, top, self.width(), _ROW_PX),
            middle | Qt.AlignmentFlag.AlignRight,
            f"{bar.wh_per_day:.1f} Wh/day",
        )
        color = QColor(theme.lines[2] if bar.is_gain else theme.lines[0])
        pattern = Qt.BrushStyle.SolidPattern if bar.is_gain else Qt.BrushStyle.BDiagPattern
        painter.setPen(QPen(QColor(theme.ink), 0.8))
        painter.setBrush(QBrush(color, pattern))
        width = max(room * bar.share, 2.0)
        painter.drawRect(QRectF(left, top + (_ROW_PX - _BAR_PX) / 2, width, _BAR_PX))
