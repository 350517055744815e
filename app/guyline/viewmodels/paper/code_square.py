"""The QR code of a place, as one outline that stays sharp on every printer."""

from __future__ import annotations

from functools import lru_cache

import segno
from PySide6.QtGui import QPainterPath

from guyline.viewmodels.paper.marks import Block, Shape

QUIET_MODULES = 4  # ISO/IEC 18004: quiet zone of a QR code
MODULE_MM = 0.6  # our choice: 0.5 mm and more is read from worn paper


def modules(words: str) -> tuple[tuple[bool, ...], ...]:
    """Dark modules row by row, without the quiet zone, at error correction M."""
    code = segno.make(words, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


@lru_cache(maxsize=256)
def code_square(words: str) -> Block:
    """The code with its quiet zone around it."""
    rows = modules(words)
    path = QPainterPath()
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                path.addRect(
                    (QUIET_MODULES + x) * MODULE_MM,
                    (QUIET_MODULES + y) * MODULE_MM,
                    (run - x) * MODULE_MM,
                    MODULE_MM,
                )
            x = max(run, x + 1)
    side = (len(rows) + 2 * QUIET_MODULES) * MODULE_MM
    return Block(side, side, (Shape(path=path, is_filled=True),))
