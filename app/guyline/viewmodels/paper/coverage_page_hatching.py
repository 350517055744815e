"""Classes of coverage as patterns of black on white, told apart by texture and by darkness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

from guyline.core.network.coverage import Coverage
from guyline.viewmodels.ground_view_coverage import Reach, reach_index

DPI = 400  # our choice: lines of two dots stay even on an office printer
DOTS_PER_MM = DPI / 25.4
_LINE_MM, _LINES_APART_MM = 0.17, 1.1
_DOT_MM, _DOTS_APART_MM, _SPARSE_APART_MM = 0.26, 0.85, 1.6
_RIM_MM = 0.3

Classes = NDArray[np.uint8]
Dots = NDArray[np.bool_]

# Blank where all is well, so that the map can be read there; the worse, the darker.
PRINTED = (
    (Reach.SEVERAL, "served by two or more"),
    (Reach.ONE, "served by one"),
    (Reach.SHORT, "heard, but the margin falls short"),
    (Reach.OUT, "out of reach"),
    (Reach.UNKNOWN, "unknown"),
)


def service_classes(coverage: Coverage) -> Classes:
    """Index of `Reach` of every cell, without the stripes that only a screen needs."""
    index = reach_index(coverage)
    index[index == Reach.SHORT_STRIPE.value] = Reach.SHORT.value
    return index


def hatched(classes: Classes, width_mm: float, height_mm: float) -> QImage:
    """Cells as patterns on white, with a rim round all that is served.

    Parameters
    ----------
    classes : uint8 array (rows, columns)
        Values of `Reach`, rows from the north.
    """
    dots = stretched(classes, width_mm, height_mm)
    ink = _rim(dots)
    for reach, _ in PRINTED:
        ink |= (dots == reach.value) & pattern(reach, *dots.shape)
    grey = np.where(ink, np.uint8(0), np.uint8(255))
    rows, columns = grey.shape
    kept = grey.tobytes()  # the picture only borrows it, until its copy is made
    return QImage(kept, columns, rows, columns, QImage.Format.Format_Grayscale8).copy()


def black_and_white(image: QImage) -> QImage:
    """One bit a dot, in the order in which a PDF takes them as they are."""
    made = image.convertToFormat(QImage.Format.Format_Mono, Qt.ImageConversionFlag.ThresholdDither)
    black, white = 0xFF000000, 0xFFFFFFFF
    if made.color(0) != black:
        made.invertPixels()
        made.setColorTable([black, white])
    return made


def stretched(classes: Classes, width_mm: float, height_mm: float) -> Classes:
    """The class of every dot of the paper."""
    rows, columns = classes.shape
    high, wide = max(1, round(height_mm * DOTS_PER_MM)), max(1, round(width_mm * DOTS_PER_MM))
    row = ((np.arange(high) + 0.5) * rows / high).astype(int)
    column = ((np.arange(wide) + 0.5) * columns / wide).astype(int)
    return np.asarray(classes[row[:, None], column])


def pattern(reach: Reach, high: int, wide: int) -> Dots:
    """Where a class is black: the pattern runs on from cell to cell."""
    y, x = np.arange(high)[:, None], np.arange(wide)[None, :]
    if reach is Reach.OUT:
        return np.asarray((x + y) % _dots(_LINES_APART_MM) < _dots(_LINE_MM))
    if reach is Reach.SHORT:
        return _spotted(y, x, _dots(_DOTS_APART_MM))
    if reach is Reach.ONE:
        return _spotted(y, x, _dots(_SPARSE_APART_MM))
    if reach is Reach.UNKNOWN:
        apart = _dots(2.0 * _LINES_APART_MM)
        return np.asarray((y % apart < 2) | (x % apart < 2))
    return np.zeros((high, wide), dtype=bool)


def _spotted(y: NDArray[np.int_], x: NDArray[np.int_], apart: int) -> Dots:
    """Dots in rows, every other row between the dots of its neighbours."""
    size = _dots(_DOT_MM)
    shifted = x + (y // apart % 2) * (apart // 2)
    return np.asarray((y % apart < size) & (shifted % apart < size))


def _rim(dots: Classes) -> Dots:
    """The edge of what is served, thick enough to be followed by a finger."""
    served = (dots == Reach.ONE.value) | (dots == Reach.SEVERAL.value)
    reach = max(1, _dots(_RIM_MM) // 2)
    rim = np.zeros_like(served)
    rim[:, :-reach] |= served[:, :-reach] != served[:, reach:]
    rim[:-reach, :] |= served[:-reach, :] != served[reach:, :]
    return np.asarray(rim)


def _dots(length_mm: float) -> int:
    return max(1, round(length_mm * DOTS_PER_MM))
