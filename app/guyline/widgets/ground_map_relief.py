"""Colours and contours of the ground."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from guyline.core.units import Numbers
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.ground_view_grid import GridLine
from guyline.viewmodels.ground_view_relief import (
    FIRST_LAND,
    SHADES,
    TINTS,
    WATER,
    Level,
    Relief,
    contour_levels,
)
from guyline.widgets.ground_map_text import HaloText, hairline
from guyline.widgets.theme import Theme

# Low ground, middle, high ground: greys warm enough to look like paper, told apart by lightness.
LIGHT_TINTS = ("#DCDFD0", "#E7DFC9", "#F4EFE4")
DARK_TINTS = ("#4B5450", "#666154", "#8F8878")
LIGHT_SHADE = (0.50, 0.71)  # factor in full shadow, and what full light adds
DARK_SHADE = (0.28, 1.02)
LEVEL_SPACING_PX = 150.0
MIDDLE_OF_LAND = FIRST_LAND + SHADES * (TINTS // 2) + round(0.7 * SHADES)


def relief_colors(theme: Theme) -> NDArray[np.uint8]:
    """Colour of every index of a relief image as RGBA; a void is clear."""
    tints = DARK_TINTS if theme.is_dark else LIGHT_TINTS
    dark, lit = DARK_SHADE if theme.is_dark else LIGHT_SHADE
    anchors = np.array([_rgb(c) for c in tints], dtype=np.float64)
    steps = np.linspace(0.0, 1.0, TINTS)
    tint = np.stack([np.interp(steps, (0.0, 0.5, 1.0), anchors[:, c]) for c in range(3)], axis=1)
    factor = dark + lit * (np.arange(SHADES) + 0.5) / SHADES
    land = np.clip(tint[:, None, :] * factor[None, :, None], 0, 255).reshape(-1, 3)
    colors = np.zeros((256, 4), dtype=np.uint8)
    colors[FIRST_LAND : FIRST_LAND + len(land), :3] = land.astype(np.uint8)
    colors[WATER, :3] = _rgb(theme.water)
    colors[WATER:, 3] = 255
    return colors


class ContourDrawing(pg.GraphicsObject):  # type: ignore[misc]  # pyqtgraph ships no types
    """Contours, shore and the lines of a grid, in metres of the local frame."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._relief: Relief | None = None
        self._bounds = QRectF()
        self._minor, self._index, self._shore = (QPainterPath() for _ in range(3))
        self.grid_lines: tuple[GridLine, ...] = ()
        self._text = HaloText()
        self._kept_levels: dict[int, tuple[Level, ...]] = {}

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self._text.clear()
        self.update()

    def show_relief(self, relief: Relief | None, area: Area) -> None:
        self.prepareGeometryChange()
        self._relief, self._kept_levels = relief, {}
        self._bounds = QRectF(
            QPointF(area.west_m, area.south_m), QPointF(area.east_m, area.north_m)
        )
        self._minor, self._index, self._shore = (QPainterPath() for _ in range(3))
        for contour in () if relief is None else relief.contours:
            path = self._index if contour.is_index else self._minor
            path.addPolygon(_polygon(contour.points_m))
        for line in () if relief is None else relief.shore:
            self._shore.addPolygon(_polygon(line))
        self.update()

    def boundingRect(self) -> QRectF:
        return self._bounds.adjusted(-1e6, -1e6, 1e6, 1e6)  # grid lines go on beyond the data

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        faint, strong = QColor(self._theme.ground_line), QColor(self._theme.ground_line)
        faint.setAlphaF(self._minor_strength(painter))
        strong.setAlphaF(0.7)
        painter.setPen(hairline(faint))
        painter.drawPath(self._minor)
        painter.setPen(hairline(strong))
        painter.drawPath(self._index)
        painter.setPen(hairline(QColor(self._theme.ink)))
        painter.drawPath(self._shore)
        self._paint_grid(painter)
        self._paint_levels(painter)

    def _minor_strength(self, painter: QPainter) -> float:
        """Opacity of the lesser contours: seen from afar they would only darken the ground."""
        if self._relief is None:
            return 0.0
        seen = painter.worldTransform().inverted()[0].mapRect(QRectF(painter.viewport()))
        share = seen.width() * seen.height() / max(self._bounds.width() * self._bounds.height(), 1)
        return float(np.interp(share, (0.1, 0.7), (0.5, 0.16)))

    def _paint_grid(self, painter: QPainter) -> None:
        color = QColor(self._theme.accent)
        color.setAlphaF(0.55)
        painter.setPen(hairline(color))
        for line in self.grid_lines:
            painter.drawPolyline(
                QPolygonF([QPointF(x, y) for x, y in zip(line.x_m, line.y_m, strict=True)])
            )

    def _paint_levels(self, painter: QPainter) -> None:
        to = painter.worldTransform()
        pixel = QLineF(to.map(QPointF(0, 0)), to.map(QPointF(1, 0))).length()
        if self._relief is None or pixel <= 0.0:
            return
        view = QRectF(painter.viewport())
        paper = QColor(*relief_colors(self._theme)[MIDDLE_OF_LAND, :3]).name()
        for level in self._levels(self._relief, LEVEL_SPACING_PX / pixel):
            at = to.map(QPointF(level.x_m, level.y_m))
            if view.contains(at):
                words, angle = f"{level.height_m:.0f}", -level.angle_deg
                self._text.draw(
                    painter, at, words, self._theme.muted, paper, points=7.5, angle_deg=angle
                )

    def _levels(self, relief: Relief, spacing_m: float) -> tuple[Level, ...]:
        """Heights on the contours; they stay where they are until the zoom has changed much."""
        step = round(2.0 * np.log2(spacing_m))
        if step not in self._kept_levels:
            self._kept_levels = {step: contour_levels(relief.contours, float(2.0 ** (step / 2)))}
        return self._kept_levels[step]


def _rgb(color: str) -> tuple[int, int, int]:
    made = QColor(color)
    return made.red(), made.green(), made.blue()


def _polygon(points_m: Numbers) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in points_m.tolist()])
