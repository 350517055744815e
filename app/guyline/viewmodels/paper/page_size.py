"""Sizes of paper and the room inside the margins."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QPageSize

from guyline.errors import DocumentError

INCH_MM = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSize:
    """A sheet of paper upright, and what printers and clips need at its edges."""

    name: str
    width_mm: float
    height_mm: float
    qt_id: QPageSize.PageSizeId
    side_mm: float = 12.0
    """Margin at the left and right: room for a clip or a punch."""
    end_mm: float = 8.5
    """Margin at the top and bottom."""

    @property
    def inner_width_mm(self) -> float:
        return self.width_mm - 2.0 * self.side_mm

    @property
    def bottom_mm(self) -> float:
        return self.height_mm - self.end_mm


A4 = PageSize(name="A4", width_mm=210.0, height_mm=297.0, qt_id=QPageSize.PageSizeId.A4)
LETTER = PageSize(
    name="Letter",
    width_mm=8.5 * INCH_MM,
    height_mm=11.0 * INCH_MM,
    qt_id=QPageSize.PageSizeId.Letter,
)
PAGE_SIZES = (A4, LETTER)


def page_size_named(name: str) -> PageSize:
    """The size of that name, upper and lower case alike.

    Raises
    ------
    DocumentError
        There is no such size.
    """
    for size in PAGE_SIZES:
        if size.name.casefold() == name.casefold():
            return size
    raise DocumentError(f"There is no paper size {name}.", advice="Choose A4 or Letter.")
