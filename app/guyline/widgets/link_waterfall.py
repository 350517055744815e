"""The budget of one direction as a waterfall: each step a bar from level to level."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.core.network.budget_steps import BudgetStep
from guyline.viewmodels.link_view import DirectionView
from guyline.widgets.theme import GRID_PX, CurrentTheme, Theme, font

_ROW_PX = 3 * GRID_PX
_BAR_PX = 10
_NAME_SHARE = 0.5  # of the width, at most
_NUMBER_PX = 8 * GRID_PX


class LinkWaterfall(QWidget):
    """Steps from top to bottom; the last line shows what is received against what is needed."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: DirectionView | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(lambda theme: self.update())

    def show_direction(self, view: DirectionView) -> None:
        self._view = view
        steps = "; ".join(f"{s.name} {s.change_db:+.1f} dB" for s in view.steps[1:])
        self.setAccessibleName(f"Budget from {view.talker} to {view.listener}")
        self.setAccessibleDescription(f"{steps}. {view.sentence}")
        self.setToolTip("\n".join(f"{s.name}: {s.source}" for s in view.steps))
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        rows = 0 if self._view is None else len(self._view.steps) + 2
        return QSize(40 * GRID_PX, rows * _ROW_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        view = self._view
        if view is None or not view.steps:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(8.5))
        self._paint_needed(painter, view)
        for row, step in enumerate(view.steps):
            before = view.steps[max(0, row - 1)].level_dbm
            self._paint_step(painter, row, step, before)
        self._paint_margin(painter, view)
        painter.end()

    def _name_px(self) -> float:
        """Room of the names: what the longest of them takes."""
        assert self._view is not None
        metrics = QFontMetricsF(font(8.5))
        widest = max(metrics.horizontalAdvance(step.name) for step in self._view.steps)
        return min(widest + 2 * GRID_PX, _NAME_SHARE * self.width())

    def _x(self, level_dbm: float) -> float:
        assert self._view is not None
        levels = [step.level_dbm for step in self._view.steps]
        low = min(*levels, self._view.sensitivity_dbm) - 5.0
        high = max(levels) + 3.0
        left = self._name_px()
        room = self.width() - left - _NUMBER_PX
        return left + room * (level_dbm - low) / (high - low)

    def _paint_needed(self, painter: QPainter, view: DirectionView) -> None:
        """A line through all rows at the level that the listener needs."""
        theme = self._theme.value
        x = self._x(view.sensitivity_dbm)
        painter.setPen(QPen(QColor(theme.ink), 1, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(x, 2), QPointF(x, (len(view.steps) + 1) * _ROW_PX))

    def _paint_step(
        self, painter: QPainter, row: int, step: BudgetStep, before_dbm: float
    ) -> None:
        theme = self._theme.value
        top = row * _ROW_PX
        number = f"{step.change_db:+.1f} dB" if row else f"{step.level_dbm:.1f} dBm"
        self._write(painter, row, step.name, number)
        x1, x2 = sorted((self._x(before_dbm), self._x(step.level_dbm)))
        bar = QRectF(x1, top + (_ROW_PX - _BAR_PX) / 2, max(x2 - x1, 2.0), _BAR_PX)
        painter.setPen(QPen(QColor(theme.ink), 0.8))
        painter.setBrush(_step_brush(theme, step.change_db))
        painter.drawRect(bar)
        painter.setPen(QPen(QColor(theme.hairline), 1))
        x = self._x(step.level_dbm)
        painter.drawLine(QPointF(x, bar.bottom()), QPointF(x, bar.bottom() + _ROW_PX - _BAR_PX))

    def _paint_margin(self, painter: QPainter, view: DirectionView) -> None:
        theme, row = self._theme.value, len(view.steps)
        color = QColor(theme.lines[2] if view.is_kept else theme.lines[1])
        self._write(
            painter,
            row,
            "Margin ✓" if view.is_kept else "Margin ✕",
            f"{view.margin_db:+.1f} dB",
            bold=True,
        )
        x1, x2 = sorted((self._x(view.sensitivity_dbm), self._x(view.received_dbm)))
        bar = QRectF(x1, row * _ROW_PX + (_ROW_PX - _BAR_PX) / 2, max(x2 - x1, 2.0), _BAR_PX)
        painter.setPen(QPen(QColor(theme.ink), 0.8))
        pattern = Qt.BrushStyle.SolidPattern if view.is_kept else Qt.BrushStyle.BDiagPattern
        painter.setBrush(QBrush(color, pattern))
        painter.drawRect(bar)
        self._write(painter, row + 1, "", f"needs {view.sensitivity_dbm:.0f} dBm")

    def _write(
        self, painter: QPainter, row: int, name: str, number: str, *, bold: bool = False
    ) -> None:
        painter.setFont(font(8.5, bold=bold))
        painter.setPen(QColor(self._theme.value.ink))
        top = row * _ROW_PX
        room = self._name_px() - GRID_PX
        shown = QFontMetricsF(painter.font()).elidedText(name, Qt.TextElideMode.ElideRight, room)
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(0, top, room, _ROW_PX), middle, shown)
        painter.drawText(
            QRectF(0, top, self.width(), _ROW_PX), middle | Qt.AlignmentFlag.AlignRight, number
        )


def _step_brush(theme: Theme, change_db: float) -> QBrush:
    """Gains solid, losses hatched: told apart without colour."""
    if change_db > 0:
        return QBrush(QColor(theme.lines[0]))
    return QBrush(QColor(theme.ground_line), Qt.BrushStyle.Dense4Pattern)
