"""Collects Python's garbage on the GUI thread only."""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

LOOK_EVERY_MS = 2_000


class GarbageOnGuiThread(QObject):
    """Takes over from the automatic collector.

    That one runs on whichever thread allocates, and would destroy Qt objects on a thread
    that is not theirs, or amid the delivery of an event; either ends the program.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thresholds = gc.get_threshold()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self.collect_due)
        self._timer.start(LOOK_EVERY_MS)

    def collect_due(self) -> None:
        """Collect the generations whose thresholds are passed, as the automatic one would."""
        for generation in (2, 1, 0):
            if gc.get_count()[generation] > self._thresholds[generation]:
                gc.collect(generation)
                return

    def give_back(self) -> None:
        """Let the automatic collector work again."""
        self._timer.stop()
        gc.enable()
