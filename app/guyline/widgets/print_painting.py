"""Paints laid-out pages on a printer, which may be the one inside a preview."""

from __future__ import annotations

from PySide6.QtGui import QPainter
from PySide6.QtPrintSupport import QPrinter

from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.painting import paint_page
from guyline.viewmodels.paper.print_run import Leaves


def paint_leaves(printer: QPrinter, leaves: Leaves) -> None:
    """Paint all pages; on both sides of the paper each document begins on a leaf of its own."""
    sheets = on_both_sides(leaves) if _is_two_sided(printer) else on_one_side(leaves)
    if not sheets:
        return
    printer.setFullPage(True)
    units_per_mm = printer.resolution() / 25.4
    painter = QPainter(printer)
    for n, page in enumerate(sheets):
        if n:
            printer.newPage()
        if page is not None:
            paint_page(painter, page, units_per_mm)
    painter.end()


def _is_two_sided(printer: QPrinter) -> bool:
    return printer.duplex() in (
        QPrinter.DuplexMode.DuplexAuto,
        QPrinter.DuplexMode.DuplexLongSide,
        QPrinter.DuplexMode.DuplexShortSide,
    )


def on_one_side(leaves: Leaves) -> list[Page | None]:
    """The pages of all documents one after the other."""
    return [page for leaf in leaves for page in leaf]


def on_both_sides(leaves: Leaves) -> list[Page | None]:
    """The pages with an empty back, None, where a document would begin on another's."""
    sheets: list[Page | None] = []
    for leaf in leaves:
        if len(sheets) % 2:
            sheets.append(None)
        sheets += leaf
    return sheets
