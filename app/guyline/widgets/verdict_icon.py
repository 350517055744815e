"""Paints the verdict marks on the screen."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QWidget

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.verdict_marks import mark_path
from guyline.widgets.theme import CurrentTheme, Theme


def paint_mark(painter: QPainter, verdict: Verdict, box: QRectF, theme: Theme) -> None:
    """Fill a verdict's mark into `box` in the theme's colour for it."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillPath(mark_path(verdict, box), QColor(theme.verdict_color(verdict)))
    painter.restore()


def mark_icon(verdict: Verdict, theme: Theme, size_px: int = 16) -> QIcon:
    pixmap = QPixmap(QSize(size_px, size_px) * 2)  # sharp at a scale of 200 % too
    pixmap.setDevicePixelRatio(2)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    paint_mark(painter, verdict, QRectF(1, 1, size_px - 2, size_px - 2), theme)
    painter.end()
    return QIcon(pixmap)


class VerdictMark(QWidget):
    """One mark; its word is the accessible name and stands beside it on screen."""

    def __init__(self, theme: CurrentTheme, size_px: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._verdict = Verdict.NOT_ASSESSED
        self.setFixedSize(size_px, size_px)
        self.setAccessibleName(self._verdict.value)
        theme.changed.connect(lambda theme: self.update())

    def show_verdict(self, verdict: Verdict) -> None:
        if verdict is not self._verdict:
            self._verdict = verdict
            self.setAccessibleName(verdict.value)
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_mark(
            painter, self._verdict, QRectF(self.rect()).adjusted(1, 1, -1, -1), self._theme.value
        )
        painter.end()
