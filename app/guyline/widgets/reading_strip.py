"""One direction of a link as planned and as read: a strip of levels."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.services.documents.content import ReadingLine
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_HEIGHT_PX = 6 * GRID_PX
_BAND_PX = 12
_HALF_PX = 7.0
_EDGE_PX = 12
_ROOM_DB = 8.0


class ReadingStrip(QWidget):
    """The band that should hold nine of ten, the planned tick, the diamond that was read."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._line: ReadingLine | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(lambda theme: self.update())

    def show_line(self, line: ReadingLine, words: str) -> None:
        self._line = line
        self.setAccessibleName(f"Read at {line.listener_id} from {line.talker_id}")
        self.setAccessibleDescription(words)
        self.setToolTip(words)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(36 * GRID_PX, _HEIGHT_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        line = self._line
        levels = () if line is None else _levels(line)
        if line is None or len(levels) < 2:
            return
        low, high = min(levels) - _ROOM_DB, max(levels) + _ROOM_DB
        room = self.width() - 2 * _EDGE_PX

        def x_px(level_dbm: float) -> float:
            return _EDGE_PX + room * (level_dbm - low) / (high - low)

        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(8.5))
        ink, middle = QColor(self._theme.value.ink), _BAND_PX / 2 + 4.0
        painter.setPen(QPen(QColor(self._theme.value.hairline), 1))
        painter.drawLine(QPointF(_EDGE_PX, middle), QPointF(self.width() - _EDGE_PX, middle))
        if line.low_dbm is not None and line.high_dbm is not None:
            painter.setPen(QPen(ink, 1))
            painter.setBrush(QBrush(QColor(self._theme.value.muted), Qt.BrushStyle.BDiagPattern))
            left, right = x_px(line.low_dbm), x_px(line.high_dbm)
            painter.drawRect(QRectF(left, middle - _BAND_PX / 2, right - left, _BAND_PX))
        named = []
        if line.sensitivity_dbm is not None:
            x = x_px(line.sensitivity_dbm)
            painter.setPen(QPen(ink, 3))
            painter.drawLine(QPointF(x, 1), QPointF(x, middle + _BAND_PX / 2 + 3))
            named.append((x, f"needs {line.sensitivity_dbm:.0f}"))
        if line.planned_dbm is not None:
            x = x_px(line.planned_dbm)
            painter.setPen(QPen(ink, 2))
            half = _BAND_PX / 2
            painter.drawLine(QPointF(x, middle - half), QPointF(x, middle + half))
            named.append((x, f"plan {line.planned_dbm:.0f}"))
        if line.level_dbm is not None:
            x = x_px(line.level_dbm)
            painter.setPen(QPen(QColor(self._theme.value.paper), 1))
            painter.setBrush(ink)
            painter.drawPolygon(_diamond(x, middle))
        _name(painter, named, self.width(), middle + _BAND_PX / 2 + 4.0, ink)
        painter.end()


def _levels(line: ReadingLine) -> tuple[float, ...]:
    levels = (
        line.planned_dbm,
        line.low_dbm,
        line.high_dbm,
        line.sensitivity_dbm,
        line.level_dbm,
    )
    return tuple(level for level in levels if level is not None)


def _diamond(x: float, y: float) -> QPolygonF:
    corners = ((x, y - _HALF_PX), (x + _HALF_PX, y), (x, y + _HALF_PX), (x - _HALF_PX, y))
    return QPolygonF([QPointF(*corner) for corner in corners])


def _name(
    painter: QPainter, named: list[tuple[float, str]], width: int, top: float, ink: QColor
) -> None:
    """Write what the ticks are below them, the second left out where it would run into another."""
    painter.setPen(ink)
    taken = -1.0
    for x, words in sorted(named):
        room = painter.fontMetrics().horizontalAdvance(words)
        left = min(max(0.0, x - room / 2), float(width - room))
        if left > taken:
            painter.drawText(QPointF(left, top + painter.fontMetrics().ascent()), words)
            taken = left + room + GRID_PX
