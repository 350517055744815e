"""The mouse on a profile: taking a mast, panning along the path."""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt, Signal

from guyline.viewmodels.path_view_curves import Mast

REACH_PX = 12.0  # how near the pointer must come to take a mast


class ProfileViewBox(pg.ViewBox):  # type: ignore[misc]  # pyqtgraph ships no types
    """Tells of a drag that begins at a mast; any other drag pans along the path.

    `mast_dragged` carries the end and the height above the sea the top is drawn to. [m]
    """

    mast_taken = Signal(int)
    mast_dragged = Signal(int, float)
    mast_released = Signal()

    def __init__(self) -> None:
        super().__init__(enableMenu=False)
        self.setMouseEnabled(x=True, y=False)
        self.masts: tuple[Mast, ...] = ()
        self._taken: int | None = None
        self._grip_m = 0.0

    def mast_at(self, scene_pos: QPointF) -> int | None:
        """Return the end whose mast is within reach of a place in the scene."""
        for end, mast in enumerate(self.masts):
            top = self.mapViewToScene(QPointF(mast.distance_m, mast.top_m))
            foot = self.mapViewToScene(QPointF(mast.distance_m, mast.foot_m))
            is_beside = abs(scene_pos.x() - top.x()) <= REACH_PX
            lowest = max(foot.y(), top.y() + REACH_PX)
            if is_beside and top.y() - REACH_PX <= scene_pos.y() <= lowest:
                return end
        return None

    def mouseDragEvent(self, ev: Any, axis: int | None = None) -> None:
        if ev.isStart():
            self._take(ev)
        if self._taken is None:
            super().mouseDragEvent(ev, axis)
            return
        ev.accept()
        height = self.mapSceneToView(ev.scenePos()).y() - self._grip_m
        self.mast_dragged.emit(self._taken, height)
        if ev.isFinish():
            self._taken = None
            self.mast_released.emit()

    def _take(self, ev: Any) -> None:
        self._taken = None
        if ev.button() == Qt.MouseButton.LeftButton:
            self._taken = self.mast_at(ev.buttonDownScenePos())
        if self._taken is not None:
            grip = self.mapSceneToView(ev.buttonDownScenePos()).y()
            self._grip_m = grip - self.masts[self._taken].top_m
            self.mast_taken.emit(self._taken)
