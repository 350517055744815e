"""The plot of a path: takes mouse and keys, shows what `ProfileDrawing` paints."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QFrame

from guyline.core.plan import Units
from guyline.core.units import FOOT_M
from guyline.viewmodels.path_view import FAR, NEAR, PathView
from guyline.viewmodels.path_view_curves import curves_of, height_range_m, masts
from guyline.viewmodels.path_view_words import MILE_M
from guyline.widgets.profile_plot_axes import UnitAxis
from guyline.widgets.profile_plot_drawing import ProfileDrawing
from guyline.widgets.profile_plot_view_box import ProfileViewBox
from guyline.widgets.theme import Theme, font

SIDE_ROOM = 0.03  # share of the path left free beyond each mast
STEP_M, FINE_STEP_M, COARSE_STEP_M = 0.5, 0.1, 5.0
POINTER_STEP = 0.005  # share of the path that one key moves the pointer
CLOSEST_M = 200.0  # nobody needs to see less of a path than that


class ProfileCanvas(pg.PlotWidget):  # type: ignore[misc]  # pyqtgraph ships no types
    """Draws one PathView and says what hand and pointer want of it.

    `antenna_wanted` carries the end and its height above ground [m];
    `pointed_at` the distance along the path, or None when the pointer leaves. [m]
    """

    drag_started = Signal()
    antenna_wanted = Signal(int, float, bool)
    pointed_at = Signal(object)

    def __init__(self, theme: Theme) -> None:
        self._box = ProfileViewBox()
        self._axes = {side: UnitAxis(side) for side in ("left", "bottom")}
        super().__init__(viewBox=self._box, axisItems=self._axes)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(120)
        self.hideButtons()
        self.setMenuEnabled(False)
        self._view: PathView | None = None
        self._is_dragging = False
        self._drawing = ProfileDrawing(theme)
        self._box.addItem(self._drawing, ignoreBounds=True)
        self._box.sigXRangeChanged.connect(self._redraw)
        self._box.mast_taken.connect(self._take_mast)
        self._box.mast_dragged.connect(self._drag_mast)
        self._box.mast_released.connect(self._release_mast)
        self.scene().sigMouseMoved.connect(self._follow_pointer)
        self.use_theme(theme)

    @property
    def selected_end(self) -> int | None:
        """The end whose antenna the keys raise and lower."""
        return self._drawing.selected_end

    @property
    def pointer_m(self) -> float | None:
        """Where the pointer is shown along the path. [m]."""
        return self._drawing.pointer_m

    def use_theme(self, theme: Theme) -> None:
        self.setBackground(QColor(theme.paper))
        for axis in self._axes.values():
            axis.setPen(QColor(theme.hairline))
            axis.setTextPen(QColor(theme.muted))
            axis.setTickFont(font(8.0))
            axis.setStyle(tickLength=4, tickTextOffset=4)
        self._axes["left"].setWidth(52)
        self._drawing.use_theme(theme)

    def show_path(self, view: PathView | None) -> None:
        """Draw a path; another stretch of ground is shown whole, a changed antenna in place."""
        is_new = _ground_key(view) != _ground_key(self._view)
        self._view = view
        self._box.masts = () if view is None else masts(view)
        if view is not None:
            self._use_units(view.plan.incident.units)
        if is_new:
            self.selects(None)
            self.show_whole()
        self._redraw()

    def show_whole(self) -> None:
        """Show the path from mast to mast."""
        if self._view is not None and self._view.profile is not None:
            length = self._view.profile.length_m
            room = SIDE_ROOM * length
            self._box.setLimits(xMin=-room, xMax=length + room, minXRange=min(CLOSEST_M, length))
            self._box.setXRange(-room, length + room, padding=0.0)

    def selects(self, end: int | None) -> None:
        self._drawing.selected_end = end
        self._drawing.update()

    def point_at(self, distance_m: float | None) -> None:
        """Show the pointer at a distance along the path."""
        if distance_m != self._drawing.pointer_m:
            self._drawing.pointer_m = distance_m
            self._drawing.update()

    def _use_units(self, units: Units) -> None:
        is_imperial = units is Units.IMPERIAL
        self._axes["left"].use_unit(*(("ft", FOOT_M) if is_imperial else ("m", 1.0)))
        self._axes["bottom"].use_unit(*(("mi", MILE_M) if is_imperial else ("km", 1000.0)))

    def _redraw(self) -> None:
        view, size = self._view, self._box.size()
        (low, high), _ = self._box.viewRange()
        curves = None if view is None else curves_of(view, max(int(size.width()), 2), (low, high))
        if view is None or curves is None:
            self._drawing.show_curves(None, None, QRectF())
            return
        bottom, top = height_range_m(view, curves)
        if self._is_dragging:  # the ground must not move under the hand; air may grow
            _, (old_bottom, old_top) = self._box.viewRange()
            bottom, top = min(bottom, old_bottom), max(top, old_top)
        self._box.setYRange(bottom, top, padding=0.0)
        self._drawing.guides_m = tuple(self._axes["left"].ticks_m(bottom, top, size.height()))
        self._drawing.show_curves(view, curves, QRectF(low, bottom, high - low, top - bottom))

    def _take_mast(self, end: int) -> None:
        self._is_dragging = True
        self.selects(end)
        self.drag_started.emit()

    def _drag_mast(self, end: int, top_amsl_m: float) -> None:
        shift = QApplication.keyboardModifiers() & Qt.KeyboardModifier.ShiftModifier
        step = FINE_STEP_M if shift else STEP_M
        agl = round((top_amsl_m - self._box.masts[end].foot_m) / step) * step
        self.antenna_wanted.emit(end, agl, True)

    def _release_mast(self) -> None:
        self._is_dragging = False
        self._redraw()

    def _follow_pointer(self, scene_pos: QPointF) -> None:
        view = self._view
        if view is None or view.profile is None:
            return
        over_mast = self._box.mast_at(scene_pos) is not None
        self.setCursor(Qt.CursorShape.SizeVerCursor if over_mast else Qt.CursorShape.CrossCursor)
        x = self._box.mapSceneToView(scene_pos).x()
        self.pointed_at.emit(min(max(x, 0.0), view.profile.length_m))

    def _move_pointer(self, share: float) -> None:
        if self._view is not None and self._view.profile is not None:
            length = self._view.profile.length_m
            x = self._drawing.pointer_m
            x = length / 2 if x is None else x + share * length
            self.pointed_at.emit(min(max(x, 0.0), length))

    def _raise_antenna(self, by_m: float) -> None:
        end = self.selected_end
        if end is None or self._view is None:
            return
        agl = self._view.ends[end].antenna_agl_m or 0.0
        self.antenna_wanted.emit(end, max(0.0, agl + by_m), False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, modifiers = event.key(), event.modifiers()
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        along = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        step = FINE_STEP_M if shift else STEP_M
        actions = {
            Qt.Key.Key_Up: lambda: self._raise_antenna(step),
            Qt.Key.Key_Down: lambda: self._raise_antenna(-step),
            Qt.Key.Key_PageUp: lambda: self._raise_antenna(COARSE_STEP_M),
            Qt.Key.Key_PageDown: lambda: self._raise_antenna(-COARSE_STEP_M),
            Qt.Key.Key_Left: lambda: (
                self._move_pointer(-POINTER_STEP) if along else self.selects(NEAR)
            ),
            Qt.Key.Key_Right: lambda: (
                self._move_pointer(POINTER_STEP) if along else self.selects(FAR)
            ),
            Qt.Key.Key_Escape: lambda: self.pointed_at.emit(None),
            Qt.Key.Key_0: self.show_whole,
        }
        action = actions.get(Qt.Key(key))
        if action is None or self._view is None:
            super().keyPressEvent(event)
            return
        action()
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.show_whole()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        super().resizeEvent(event)
        if hasattr(self, "_drawing"):  # Qt resizes once before our constructor has come so far
            self._redraw()

    def leaveEvent(self, event: QEvent) -> None:
        self.pointed_at.emit(None)
        super().leaveEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if self.selected_end is None and self._view is not None:
            self.selects(NEAR)


def _ground_key(view: PathView | None) -> tuple[float, ...] | None:
    """Differs where other ground is to be drawn."""
    return None if view is None or view.profile is None else view.key
