"""What lies over the ground: a grid, coverage; and the key to it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Signal, SignalInstance
from PySide6.QtGui import (
    QActionGroup,
    QBrush,
    QColor,
    QFontMetricsF,
    QImage,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QMenu, QToolButton, QWidget

from guyline.viewmodels.ground_view_coverage import CoverageKind, Reach
from guyline.viewmodels.ground_view_grid import GridKind
from guyline.widgets.theme import GRID_PX, Theme, font

# Shadow where nobody hears, striped where the margin falls short, a tint where it is kept:
# told apart by darkness and stripes on any printer. Opacity of each, light and dark.
SHADOWS = {
    Reach.OUT: (0.42, 0.60),
    Reach.SHORT: (0.12, 0.20),
    Reach.SHORT_STRIPE: (0.42, 0.60),
}
TINTS = {Reach.ONE: (0.18, 0.20), Reach.SEVERAL: (0.34, 0.40)}
KEY = (
    (Reach.SEVERAL, "served by several"),
    (Reach.ONE, "by one"),
    (Reach.SHORT, "margin short"),
    (Reach.OUT, "out of reach"),
)
SWATCH_PX = 14.0


def coverage_colors(theme: Theme) -> NDArray[np.uint8]:
    """Colour of every index of a coverage picture as RGBA."""
    colors = np.zeros((256, 4), dtype=np.uint8)
    which = 1 if theme.is_dark else 0
    for shades, color in ((SHADOWS, QColor("#000000")), (TINTS, QColor(theme.lines[2]))):
        for reach, opacity in shades.items():
            alpha = round(255 * opacity[which])
            colors[reach.value] = (color.red(), color.green(), color.blue(), alpha)
    return colors


class LayersButton(QToolButton):
    """A menu of what can lie over the ground."""

    grid_chosen = Signal(GridKind)
    coverage_chosen = Signal(CoverageKind)
    skyline_toggled = Signal(bool)
    shapes_wanted = Signal()
    shapes_dropped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setText("Layers")
        self.setAccessibleName("Layers over the ground")
        self.setToolTip("Grid, coverage, skyline")
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self)
        self.grid_actions = self._choices(menu, GridKind, self.grid_chosen)
        menu.addSeparator()
        self.coverage_actions = self._choices(menu, CoverageKind, self.coverage_chosen)
        menu.addSeparator()
        self.skyline_action = menu.addAction("Skyline and sun of the selected site")
        self.skyline_action.setCheckable(True)
        self.skyline_action.toggled.connect(self.skyline_toggled)
        menu.addSeparator()
        menu.setToolTipsVisible(True)
        shapes = menu.addAction("Areas and tracks from a file …")
        shapes.setToolTip("GeoJSON: flood, fire, access; seen until the program ends")
        shapes.triggered.connect(self.shapes_wanted)
        self.drop_action = menu.addAction("Take areas and tracks away")
        self.drop_action.triggered.connect(self.shapes_dropped)
        self.drop_action.setEnabled(False)
        self.setMenu(menu)

    def _choices(
        self, menu: QMenu, kinds: type[GridKind] | type[CoverageKind], chosen: SignalInstance
    ) -> QActionGroup:
        group = QActionGroup(self)
        for n, kind in enumerate(kinds):
            action = menu.addAction(kind.value[:1].upper() + kind.value[1:])
            action.setCheckable(True)
            action.setChecked(n == 0)
            action.setData(kind)
            group.addAction(action)
        group.triggered.connect(lambda action: chosen.emit(action.data()))
        return group


class CoverageKey(QWidget):
    """What the shades of coverage mean, and how much is served."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._words = ""
        self.setAccessibleName("Coverage")
        self.setFixedHeight(2 * 18)
        self.hide()

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def tell(self, words: str) -> None:
        self._words = words
        self.setAccessibleDescription(words)
        self.setToolTip(words)
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(400, 36)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        face = font(8.0)
        painter.setFont(face)
        measure = QFontMetricsF(face)
        x = float(GRID_PX)
        for reach, words in KEY:
            self._paint_swatch(painter, QRectF(x, 2, SWATCH_PX, SWATCH_PX), reach)
            x += SWATCH_PX + 4
            painter.setPen(QColor(self._theme.ink))
            painter.drawText(QPointF(x, 13), words)
            x += measure.horizontalAdvance(words) + 1.5 * GRID_PX
        painter.setFont(font(8.0, bold=True))
        painter.setPen(QColor(self._theme.ink))
        painter.drawText(QPointF(GRID_PX, 30), self._words)
        painter.end()

    def _paint_swatch(self, painter: QPainter, box: QRectF, reach: Reach) -> None:
        painter.fillRect(box, QColor(self._theme.ground_fill))
        colors = coverage_colors(self._theme)
        painter.fillRect(box, _color(colors[reach.value]))
        if reach is Reach.SHORT:
            painter.fillRect(box, QBrush(_stripes(_color(colors[Reach.SHORT_STRIPE.value]))))
        painter.setPen(QPen(QColor(self._theme.muted), 1.0))
        painter.drawRect(box)


def _color(rgba: NDArray[np.uint8]) -> QColor:
    return QColor(*(int(part) for part in rgba))


def _stripes(color: QColor) -> QImage:
    """The stripes of the picture, as large as an eye sees them there."""
    tile = QImage(6, 6, QImage.Format.Format_ARGB32)
    tile.fill(QColor(0, 0, 0, 0))
    for x in range(6):
        for y in range(6):
            if (x + y) // 3 % 2 == 0:
                tile.setPixelColor(x, y, color)
    return tile
