"""Paints the days: one thin band a site, the needs below, the days above."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPen

from guyline.core.readiness.site_verdict import UP_PROBABILITY
from guyline.viewmodels.days_view import UNKNOWN, DayBand, DaysView
from guyline.widgets.theme import GRID_PX, Theme, font

NAME_PX, END_PX = 80.0, 72.0
LEAST_ROW_PX, MOST_ROW_PX = 9.0, 22.0
ROOMY_ROW_PX = 12.0
TICK_PX = 40.0  # a figure for a day needs that much room


@dataclass(frozen=True, slots=True)
class DayScale:
    """Where the days lie across the strip."""

    width_px: float
    days: int

    @property
    def left_px(self) -> float:
        return NAME_PX

    @property
    def day_px(self) -> float:
        return max(1.0, (self.width_px - NAME_PX - END_PX) / max(self.days, 1))

    def span(self, day: int) -> tuple[float, float]:
        """Left edge and width of a day, on whole pixels so that no seam is seen."""
        left = round(self.left_px + day * self.day_px)
        right = round(self.left_px + (day + 1) * self.day_px)
        return float(left), float(right - left)

    def day_at(self, x_px: float) -> int | None:
        day = int((x_px - self.left_px) // self.day_px)
        return day if 0 <= day < self.days else None


def paint_axis(painter: QPainter, theme: Theme, view: DaysView, scale: DayScale) -> None:
    """Day numbers along the top."""
    painter.setFont(font(8.0))
    painter.setPen(QColor(theme.muted))
    every = next(
        n for n in (1, 2, 5, 7, 10, 14, 30, 60, 100, 365, 10**9) if n * scale.day_px >= TICK_PX
    )
    for day in range(0, view.days, every):
        left, _ = scale.span(day)
        words = view.day_text(day) if every * scale.day_px > 3 * TICK_PX else f"{day}"
        painter.drawText(QPointF(left + 1, 11), f"day {day}" if day == 0 else words)


def paint_band(
    painter: QPainter, theme: Theme, band: DayBand, scale: DayScale, row: QRectF, *, selected: bool
) -> None:
    """Write the name, draw the band, write how far it lasts."""
    if selected:
        painter.fillRect(row, QColor(theme.selection))
    points = 8.5 if row.height() >= ROOMY_ROW_PX else 7.5
    face = font(points, bold=selected)
    _write(painter, band.site_id, face, theme.ink, row.adjusted(GRID_PX, 0, 0, 0), NAME_PX - 12)
    track = row.adjusted(NAME_PX, 1, -END_PX, -1)
    painter.fillRect(track, QColor(theme.sunk))
    if band.is_known:
        _paint_chances(painter, theme, band, scale, track)
    else:
        _paint_unknown(painter, theme, track)
    is_bad = not band.is_known or band.first_bad_day is not None
    ink = theme.ink if is_bad else theme.muted
    end = QRectF(row.right() - END_PX + 6, row.top(), END_PX - 6, row.height())
    _write(painter, band.end_text, font(points - 0.5, bold=is_bad), ink, end, END_PX - 8)


def paint_needs(
    painter: QPainter, theme: Theme, view: DaysView, scale: DayScale, row: QRectF
) -> None:
    """How many needs are met each day, as steps with their figure where they change."""
    face = font(8.5, bold=True)
    _write(painter, "needs met", face, theme.ink, row.adjusted(GRID_PX, 0, 0, 0), NAME_PX - 10)
    track = row.adjusted(NAME_PX, 2, -END_PX, -2)
    painter.fillRect(track, QColor(theme.sunk))
    end = QRectF(row.right() - END_PX + 6, row.top(), END_PX - 6, row.height())
    _write(painter, view.needs_end_text, face, theme.ink, end, END_PX - 8)
    if not view.met_by_day:
        if view.needs:
            _paint_unknown(painter, theme, track)
        return
    for day, met in enumerate(view.met_by_day):
        left, width = scale.span(day)
        height = round(track.height() * met / view.needs)
        painter.fillRect(QRectF(left, track.bottom() - height, width, height), _calm(theme))
    for day, met in enumerate(view.met_by_day):
        if day == 0 or met != view.met_by_day[day - 1]:
            _paint_step(painter, theme, scale.span(day)[0], track, f"{met}")


def paint_sites_up(
    painter: QPainter, theme: Theme, view: DaysView, scale: DayScale, row: QRectF
) -> None:
    """Solid as many sites as are up in nine cases of ten, hatched as may be in the best tenth."""
    face = font(8.0)
    _write(painter, "sites up", face, theme.ink, row.adjusted(GRID_PX, 0, 0, 0), NAME_PX - 10)
    track = row.adjusted(NAME_PX, 2, -END_PX, -2)
    painter.fillRect(track, QColor(theme.sunk))
    end = QRectF(row.right() - END_PX + 6, row.top(), END_PX - 6, row.height())
    _write(painter, view.up_end_text, face, theme.ink, end, END_PX - 8)
    if view.up is None:
        _paint_unknown(painter, theme, track)
        return
    doubt = QBrush(QColor(theme.ink), Qt.BrushStyle.BDiagPattern)
    for day in range(view.days):
        left, width = scale.span(day)
        low = round(track.height() * view.up.low[day] / len(view.bands))
        high = round(track.height() * view.up.high[day] / len(view.bands))
        painter.fillRect(QRectF(left, track.bottom() - high, width, high), doubt)
        painter.fillRect(QRectF(left, track.bottom() - low, width, low), _calm(theme))


def _paint_chances(
    painter: QPainter, theme: Theme, band: DayBand, scale: DayScale, track: QRectF
) -> None:
    """Height is the chance; below even chances the bar is hatched too, not only dyed."""
    likely = QBrush(_calm(theme))
    unlikely = QBrush(QColor(theme.lines[1]), Qt.BrushStyle.Dense4Pattern)
    for day, chance in enumerate(band.chances):
        left, width = scale.span(day)
        height = round(track.height() * chance)
        bar = QRectF(left, track.bottom() - height, width, height)
        painter.fillRect(bar, likely if chance >= UP_PROBABILITY else unlikely)
    bad = band.first_bad_day
    if bad is not None:  # the day it fails is a line, seen without any colour
        left, _ = scale.span(bad)
        painter.setPen(QPen(QColor(theme.ink), 2.0))
        painter.drawLine(QPointF(left, track.top()), QPointF(left, track.bottom()))


def _calm(theme: Theme) -> QColor:
    """The accent half way to the track: what goes well must not shout."""
    accent, sunk = QColor(theme.accent), QColor(theme.sunk)
    share = 0.62

    def mixed(strong: int, weak: int) -> int:
        return round(share * strong + (1.0 - share) * weak)

    return QColor(
        mixed(accent.red(), sunk.red()),
        mixed(accent.green(), sunk.green()),
        mixed(accent.blue(), sunk.blue()),
    )


def _paint_unknown(painter: QPainter, theme: Theme, track: QRectF) -> None:
    painter.fillRect(track, QBrush(QColor(theme.muted), Qt.BrushStyle.BDiagPattern))
    face = font(8.0, bold=True)
    measure = QFontMetricsF(face)
    box = QRectF(0, 0, measure.horizontalAdvance(UNKNOWN) + GRID_PX, track.height())
    box.moveCenter(track.center())
    painter.fillRect(box, QColor(theme.paper))
    _write(painter, UNKNOWN, face, theme.ink, box.adjusted(GRID_PX / 2, 0, 0, 0), box.width())


def _paint_step(painter: QPainter, theme: Theme, left: float, track: QRectF, words: str) -> None:
    painter.setPen(QPen(QColor(theme.paper), 1.0))
    painter.drawLine(QPointF(left, track.top()), QPointF(left, track.bottom()))
    face = font(8.0, bold=True)
    width = QFontMetricsF(face).horizontalAdvance(words) + 6
    box = QRectF(left + 2, track.top() + 1, width, track.height() - 2)
    painter.fillRect(box, QColor(theme.paper))
    _write(painter, words, face, theme.ink, box.adjusted(3, 0, 0, 0), width)


def _write(
    painter: QPainter, words: str, face: QFont, ink: str, box: QRectF, room_px: float
) -> None:
    """Write in the middle of a thin row; capitals may fill it to its edges."""
    measure = QFontMetricsF(face)
    painter.setFont(face)
    painter.setPen(QColor(ink))
    base = box.center().y() + measure.capHeight() / 2
    elided = measure.elidedText(words, Qt.TextElideMode.ElideRight, room_px)
    painter.drawText(QPointF(box.left(), base), elided)
