"""The days from the first to the end of the mission, along the bottom of the window."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QToolTip, QVBoxLayout, QWidget

from guyline.core.plan import SiteId
from guyline.viewmodels.days_view import DayBand, DaysModel, DaysView
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection
from guyline.widgets.days_strip_bands import (
    LEAST_ROW_PX,
    MOST_ROW_PX,
    DayScale,
    paint_axis,
    paint_band,
    paint_needs,
    paint_sites_up,
)
from guyline.widgets.theme import CurrentTheme, Theme

AXIS_PX, UP_PX, NEEDS_PX = 15, 16, 20


class DaysStrip(QWidget):
    """Shows how likely each site is on the air each day; a click selects the site."""

    def __init__(
        self,
        live: LiveAssessment,
        selection: Selection,
        theme: CurrentTheme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._selection = selection
        self.model = DaysModel(live, self)
        self.bands = DayBands(theme.value)
        self.bands.setAccessibleName("Days of the mission")
        self._axis = _Painted(AXIS_PX, self._paint_axis)
        self._up = _Painted(UP_PX, self._paint_up)
        self._needs = _Painted(NEEDS_PX, self._paint_needs)
        self._empty = QLabel()
        self._empty.setObjectName("muted")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._theme = theme
        self._lay_out()
        self.model.changed.connect(self._show)
        selection.site_changed.connect(self.bands.select)
        self.bands.site_chosen.connect(lambda site: selection.select_site(SiteId(site)))
        self._up.pointed_at.connect(self._tell_up)
        self._needs.pointed_at.connect(self._tell_needs)
        theme.changed.connect(self._use_theme)
        self._show(self.model.view)
        self.bands.select(selection.site_id)

    def _lay_out(self) -> None:
        self._scroll = QScrollArea()
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setWidgetResizable(True)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setWidget(self.bands)
        self.bands.setAutoFillBackground(False)  # the paper behind shows through
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 4, 0, 4)
        rows.setSpacing(0)
        for part in (self._axis, self._scroll, self._up, self._needs, self._empty):
            rows.addWidget(part, 1 if part in (self._scroll, self._empty) else 0)

    def _show(self, view: DaysView) -> None:
        self.bands.show_view(view)
        self._empty.setText(view.problem)
        for part in (self._axis, self._scroll, self._up, self._needs):
            part.setVisible(not view.problem)
        self._empty.setVisible(bool(view.problem))
        self.bands.setAccessibleDescription(view.summary)
        self._fit_rows()
        for part in (self._axis, self._up, self._needs):
            part.update()

    def _use_theme(self, theme: Theme) -> None:
        self.bands.use_theme(theme)
        for part in (self._axis, self._up, self._needs):
            part.update()

    def _scale(self) -> DayScale:
        return DayScale(float(self.bands.width()), self.model.view.days)

    def _paint_axis(self, painter: QPainter, box: QRectF) -> None:
        paint_axis(painter, self._theme.value, self.model.view, self._scale())

    def _paint_up(self, painter: QPainter, box: QRectF) -> None:
        row = QRectF(0, 0, self.bands.width(), box.height())
        paint_sites_up(painter, self._theme.value, self.model.view, self._scale(), row)

    def _paint_needs(self, painter: QPainter, box: QRectF) -> None:
        row = QRectF(0, 0, self.bands.width(), box.height())
        paint_needs(painter, self._theme.value, self.model.view, self._scale(), row)

    def _tell_needs(self, at: QPoint) -> None:
        day = self._scale().day_at(at.x())
        if day is not None:
            QToolTip.showText(
                self._needs.mapToGlobal(at), self.model.view.needs_text(day), self._needs
            )

    def _tell_up(self, at: QPoint) -> None:
        day = self._scale().day_at(at.x())
        if day is not None:
            QToolTip.showText(self._up.mapToGlobal(at), self.model.view.up_text(day), self._up)

    def _fit_rows(self) -> None:
        self.bands.fit(self.height() - AXIS_PX - UP_PX - NEEDS_PX - 8)

    def sizeHint(self) -> QSize:
        return QSize(600, 150)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_rows()


class DayBands(QWidget):
    """The bands one below the other.

    `site_chosen` carries a site's identifier, `told` what is said of the day the keys went to.
    """

    site_chosen = Signal(str)
    told = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._view = DaysView()
        self._selected: SiteId | None = None
        self._row_px = MOST_ROW_PX
        self._day = 0
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def show_view(self, view: DaysView) -> None:
        self._view = view
        self._day = min(self._day, max(view.days - 1, 0))
        self.update()

    def select(self, site_id: SiteId | None) -> None:
        self._selected = site_id
        self.update()

    def fit(self, height_px: float) -> None:
        """Make the rows as high as the room allows; below ten pixels the strip scrolls."""
        count = max(len(self._view.bands), 1)
        self._row_px = min(max(height_px / count, LEAST_ROW_PX), MOST_ROW_PX)
        self.setMinimumHeight(round(self._row_px * len(self._view.bands)))
        self.update()

    def row(self, n: int) -> QRectF:
        top = round(n * self._row_px)
        return QRectF(0, top, self.width(), round((n + 1) * self._row_px) - top)

    def band_at(self, at: QPoint) -> DayBand | None:
        n = int(at.y() // self._row_px)
        return self._view.bands[n] if 0 <= n < len(self._view.bands) else None

    def text_at(self, at: QPoint) -> str:
        """What is under the pointer, in numbers."""
        band, day = self.band_at(at), self._scale().day_at(at.x())
        return "" if band is None or day is None else self._view.chance_text(band, day)

    def _scale(self) -> DayScale:
        return DayScale(float(self.width()), self._view.days)

    def _step(self, by: int) -> None:
        ids = [band.site_id for band in self._view.bands]
        if ids:
            now = ids.index(self._selected) if self._selected in ids else -1
            self.site_chosen.emit(ids[min(max(now + by, 0), len(ids) - 1)])

    def _step_day(self, by: int) -> None:
        self._day = min(max(self._day + by, 0), max(self._view.days - 1, 0))
        for n, band in enumerate(self._view.bands):
            if band.site_id == self._selected:
                left, width = self._scale().span(self._day)
                at = QPoint(round(left + width / 2), round(self.row(n).center().y()))
                words = self._view.chance_text(band, self._day)
                QToolTip.showText(self.mapToGlobal(at), words, self)
                self.told.emit(words)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        for n, band in enumerate(self._view.bands):
            row = self.row(n)
            if row.intersects(QRectF(event.rect())):
                is_selected = band.site_id == self._selected
                paint_band(painter, self._theme, band, self._scale(), row, selected=is_selected)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.position().toPoint()
        QToolTip.showText(event.globalPosition().toPoint(), self.text_at(at), self)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        band = self.band_at(event.position().toPoint())
        if band is not None:
            self.site_chosen.emit(band.site_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps: dict[int, Callable[[], None]] = {
            Qt.Key.Key_Up: lambda: self._step(-1),
            Qt.Key.Key_Down: lambda: self._step(1),
            Qt.Key.Key_Left: lambda: self._step_day(-1),
            Qt.Key.Key_Right: lambda: self._step_day(1),
        }
        step = steps.get(event.key())
        if step is None:
            super().keyPressEvent(event)
        else:
            step()


class _Painted(QWidget):
    """A strip of fixed height painted by somebody else."""

    pointed_at = Signal(QPoint)

    def __init__(self, height_px: int, paint: Callable[[QPainter, QRectF], None]) -> None:
        super().__init__()
        self.setFixedHeight(height_px)
        self.setMouseTracking(True)
        self._paint = paint

    def paintEvent(self, event: QPaintEvent) -> None:
        self._paint(QPainter(self), QRectF(self.rect()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointed_at.emit(event.position().toPoint())

    def leaveEvent(self, event: QEvent) -> None:
        QToolTip.hideText()
