"""The chain from radio to antenna as a picture: parts as boxes, joints as marks between them."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from guyline.viewmodels.link_chain import ChainLine, ChainView
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

_PART_PX = 3 * GRID_PX
_LINE_PX = 1.6 * GRID_PX  # of the words of a joint
_BOX_PX = 11 * GRID_PX
_MARK_PX = 4.0


class LinkChain(QWidget):
    """From the radio at the top to the antenna; a joint that is not made is crossed and broken."""

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: ChainView | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        theme.changed.connect(lambda theme: self.update())

    def show_chain(self, view: ChainView) -> None:
        self._view = view
        self.setVisible(bool(view.lines))
        told = "; ".join(f"{'' if line.is_made else '✕ '}{line.words}" for line in view.lines)
        self.setAccessibleName(f"From radio to antenna at {view.site_id}")
        self.setAccessibleDescription(f"{told}. {view.sentence}")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        width = max(self.width(), 30 * GRID_PX)
        return QSize(40 * GRID_PX, self.heightForWidth(width))

    def heightForWidth(self, width: int) -> int:
        lines = () if self._view is None else self._view.lines
        return int(sum(self._height(line, width) for line in lines)) + 2

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._view is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top = 1.0
        for line in self._view.lines:
            height = self._height(line, self.width())
            paint = self._paint_part if line.is_part else self._paint_joint
            paint(painter, line, QRectF(1.0, top, self.width() - 2.0, height))
            top += height
        painter.end()

    def _height(self, line: ChainLine, width: int) -> float:
        if line.is_part:
            return _PART_PX
        words = self._words_beside(QRectF(1.0, 0.0, width - 2.0, 1000.0))
        metrics = QFontMetricsF(font(8.5, bold=not line.is_made))
        taken = metrics.boundingRect(words, Qt.TextFlag.TextWordWrap, line.words).height()
        return max(taken, _LINE_PX) + GRID_PX

    def _words_beside(self, row: QRectF) -> QRectF:
        return row.adjusted(_BOX_PX / 2 + 2 * GRID_PX, 0.0, 0.0, 0.0)

    def _paint_part(self, painter: QPainter, line: ChainLine, row: QRectF) -> None:
        theme = self._theme.value
        box = QRectF(row.left(), row.top(), _BOX_PX, row.height())
        painter.setPen(QPen(QColor(theme.ink), 1.2))
        painter.setBrush(QColor(theme.paper))
        painter.drawRoundedRect(box, 3.0, 3.0)
        painter.setFont(font(8.5, bold=True))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, line.words)

    def _paint_joint(self, painter: QPainter, line: ChainLine, row: QRectF) -> None:
        theme = self._theme.value
        color = QColor(theme.ink if line.is_made else theme.lines[1])
        x, middle = row.left() + _BOX_PX / 2, row.center().y()
        style = Qt.PenStyle.SolidLine if line.is_made else Qt.PenStyle.DotLine
        painter.setPen(QPen(color, 1.6, style))
        painter.drawLine(QPointF(x, row.top()), QPointF(x, middle - _MARK_PX - 1))
        painter.drawLine(QPointF(x, middle + _MARK_PX + 1), QPointF(x, row.bottom()))
        painter.setPen(QPen(color, 2.0))
        if line.is_made:
            painter.setBrush(color)
            painter.drawEllipse(QPointF(x, middle), _MARK_PX, _MARK_PX)
        else:
            for side in (-1.0, 1.0):
                painter.drawLine(
                    QPointF(x - _MARK_PX, middle - side * _MARK_PX),
                    QPointF(x + _MARK_PX, middle + side * _MARK_PX),
                )
        painter.setFont(font(8.5, bold=not line.is_made))
        painter.setPen(QColor(theme.ink))
        flags = int(Qt.AlignmentFlag.AlignVCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.drawText(self._words_beside(row), flags, line.words)
