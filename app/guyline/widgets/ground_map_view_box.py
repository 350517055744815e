"""The mouse on the map: taking sites and ends, picking, panning, zooming."""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QLineF, QPointF, Qt, Signal

from guyline.core.plan import Link, SiteId
from guyline.viewmodels.ground_view_marks import LinkLine, SiteMark

REACH_PX = 12.0  # how near the pointer must come to take something
LINK_REACH_PX = 6.0


class GroundViewBox(pg.ViewBox):  # type: ignore[misc]  # pyqtgraph ships no types
    """Tells what the mouse wants; places are in metres of the local frame.

    `clicked` carries what was hit (SiteId, Link or None), the place and whether Shift was held.
    """

    drag_started = Signal()
    site_dragged = Signal(str, float, float)
    end_dragged = Signal(int, float, float)
    drag_ended = Signal()
    clicked = Signal(object, float, float, bool)

    def __init__(self) -> None:
        super().__init__(enableMenu=False, lockAspect=True)
        self.marks: tuple[SiteMark, ...] = ()
        self.lines: tuple[LinkLine, ...] = ()
        self.loose_ends: dict[int, tuple[float, float]] = {}
        self.can_move = True
        self._taken: SiteId | int | None = None
        self._grip = QPointF()

    def site_at(self, scene_pos: QPointF) -> SiteMark | None:
        """Return the nearest site within reach of a place in the scene."""
        near = [
            (QLineF(self.mapViewToScene(QPointF(m.x_m, m.y_m)), scene_pos).length(), i)
            for i, m in enumerate(self.marks)
        ]
        distance, which = min(near, default=(float("inf"), -1))
        return self.marks[which] if distance <= REACH_PX else None

    def link_at(self, scene_pos: QPointF) -> Link | None:
        """Return the link whose line passes within reach of a place in the scene."""
        for line in self.lines:
            a = self.mapViewToScene(QPointF(line.x1_m, line.y1_m))
            b = self.mapViewToScene(QPointF(line.x2_m, line.y2_m))
            if _distance_to_segment(scene_pos, a, b) <= LINK_REACH_PX:
                return line.link
        return None

    def loose_end_at(self, scene_pos: QPointF) -> int | None:
        for end, place in self.loose_ends.items():
            if QLineF(self.mapViewToScene(QPointF(*place)), scene_pos).length() <= REACH_PX:
                return end
        return None

    def mouseDragEvent(self, ev: Any, axis: int | None = None) -> None:
        if ev.isStart():
            self._take(ev)
        if self._taken is None:
            super().mouseDragEvent(ev, axis)
            return
        ev.accept()
        to = self.mapSceneToView(ev.scenePos()) - self._grip
        if isinstance(self._taken, int):
            self.end_dragged.emit(self._taken, to.x(), to.y())
        else:
            self.site_dragged.emit(self._taken, to.x(), to.y())
        if ev.isFinish():
            self._taken = None
            self.drag_ended.emit()

    def mouseClickEvent(self, ev: Any) -> None:
        if ev.button() != Qt.MouseButton.LeftButton:
            return
        ev.accept()
        at = self.mapSceneToView(ev.scenePos())
        site = self.site_at(ev.scenePos())
        hit = self.link_at(ev.scenePos()) if site is None else site.site_id
        shift = bool(ev.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.clicked.emit(hit, at.x(), at.y(), shift)

    def _take(self, ev: Any) -> None:
        self._taken = None
        if ev.button() != Qt.MouseButton.LeftButton or not self.can_move:
            return
        start = ev.buttonDownScenePos()
        end, site = self.loose_end_at(start), self.site_at(start)
        if end is not None:
            self._taken, place = end, self.loose_ends[end]
        elif site is not None:
            self._taken, place = site.site_id, (site.x_m, site.y_m)
        else:
            return
        self._grip = self.mapSceneToView(start) - QPointF(*place)
        self.drag_started.emit()


def _distance_to_segment(at: QPointF, a: QPointF, b: QPointF) -> float:
    along = b - a
    square = QPointF.dotProduct(along, along)
    if square == 0.0:
        return QLineF(at, a).length()
    share = min(max(QPointF.dotProduct(at - a, along) / square, 0.0), 1.0)
    return QLineF(at, a + along * share).length()
