"""Axes of the profile plot: round steps, the unit said once on the last tick."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg

from guyline.viewmodels.path_view_curves import round_step

PX_PER_TICK = {"left": 40, "bottom": 90}
UNIT_ROOM = 0.05  # a label nearer to the end of the axis would be left out


class UnitAxis(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph ships no types
    """An axis in metres whose ticks are written in another unit."""

    def __init__(self, orientation: str) -> None:
        super().__init__(orientation)
        self.enableAutoSIPrefix(False)
        self._unit, self._unit_m = "m", 1.0

    def use_unit(self, unit: str, unit_m: float) -> None:
        self._unit, self._unit_m = unit, unit_m
        self.picture = None
        self.update()

    def ticks_m(self, low_m: float, high_m: float, size_px: float) -> list[float]:
        """Where the ticks are, in metres. [m]."""
        low, high = low_m / self._unit_m, high_m / self._unit_m
        if not high > low:
            return []
        step = round_step(high - low, max(2, int(size_px / PX_PER_TICK[self.orientation])))
        first, last = np.ceil(low / step), np.floor(high / step)
        return [float(n * step * self._unit_m) + 0.0 for n in np.arange(first, last + 1)]

    def tickValues(  # noqa: N802 - pyqtgraph's spelling
        self, low_m: float, high_m: float, size_px: float
    ) -> list[tuple[float, list[float]]]:
        ticks = self.ticks_m(low_m, high_m, size_px)
        return [(ticks[1] - ticks[0] if len(ticks) > 1 else 1.0, ticks)]

    def tickStrings(  # noqa: N802
        self, values: list[float], scale: float, spacing: float
    ) -> list[str]:
        step = spacing / self._unit_m
        decimals = max(0, int(-np.floor(np.log10(step) + 1e-9))) if step > 0 else 0
        words = [f"{value / self._unit_m:.{decimals}f}" for value in values]
        low, high = self.range
        room = high - UNIT_ROOM * (high - low)
        inside = [i for i, value in enumerate(values) if value <= room]
        if inside:
            words[inside[-1]] += f" {self._unit}"
        return words
