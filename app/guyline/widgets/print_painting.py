"""Paints laid-out pages on a printer, which may be the one inside a preview."""

from __future__ import annotations

from PySide6.QtGui import QPainter
from PySide6.QtPrintSupport import QPrinter

from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.painting import paint_page
from guyline.viewmodels.paper.print_run import Leaves


def paint_leaves(printer: QPrinter, leaves: Leaves) -> None:
    """Paint all pages; on both sides of the paper each document begins on a leaf of its own."""
    sheets = _with_empty_backs(leaves) if _is_two_sided(printer) else _flat(leaves)
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


def _flat(leaves: Leaves) -> list[Page | None]:
    return [page for leaf in leaves for page in leaf]


def _with_empty_backs(leaves: Leaves) -> list[Page | None]:
    sheets: list[Page | None] = []
    for leaf in leaves:
        sheets += leaf
        if len(leaf) % 2:
            sheets.append(None)
    if sheets and sheets[-1] is None:
        sheets.pop()  # nothing follows: no leaf to keep apart
    return sheets
