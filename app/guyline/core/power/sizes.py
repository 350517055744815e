"""Sizes of panels and batteries that a volunteer can expect to find."""

from __future__ import annotations

# Common practice, no source: rated power of small framed and folding panels.
PANEL_SIZES_W = (5, 10, 20, 30, 40, 50, 60, 80, 100, 120, 150, 200, 250, 300, 400)
# Common practice, no source: 12.8 V blocks of 3, 6, 12, 20, 30, 50, 75, 100, 150, 200, 300 Ah.
BATTERY_SIZES_WH = (38, 77, 154, 256, 384, 640, 960, 1280, 1920, 2560, 3840)
# Common practice, no source: rated power of plug-in battery chargers and supplies.
CHARGER_SIZES_W = (5, 10, 20, 30, 60, 120, 240, 500)


def next_size(sizes: tuple[int, ...], needed: float) -> float | None:
    """Return the smallest size that is no less than `needed`, None beyond the largest."""
    return next((float(size) for size in sizes if size >= needed), None)
