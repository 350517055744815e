"""Writes the page of coverage to a file: a PDF for paper, a PNG with its key for a message."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QImage, QPainter

from guyline.core.plan import Plan, TerrainSource
from guyline.services.coverage import CoverageReport
from guyline.services.coverage_files import (
    ENDINGS,
    PAGE_ENDINGS,
    refuse_unknown_ending,
    write_for_gis,
)
from guyline.services.documents.coverage_page import coverage_page
from guyline.services.documents.imprint import Printing
from guyline.services.map_shapes import MapShape
from guyline.services.plan_files import plan_digest
from guyline.services.whole_files import write_whole
from guyline.viewmodels.paper.coverage_page import coverage_pages
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import page_size_named
from guyline.viewmodels.paper.painting import paint_page
from guyline.viewmodels.paper.pdf import write_pages
from guyline.viewmodels.paper.type import application

PICTURE_DPI = 200  # our choice: names stay readable when a telephone makes the picture small


def write_coverage(
    plan: Plan,
    report: CoverageReport,
    path: Path,
    *,
    sources: Sequence[TerrainSource] = (),
    shapes: tuple[MapShape, ...] = (),
    plan_name: str = "",
) -> None:
    """Write a page, a picture, a raster or areas, as the ending says.

    Raises
    ------
    InputError
        The ending is none of these.
    GuylineError
        The file cannot be written; what was there before is untouched.
    """
    refuse_unknown_ending(path, ENDINGS)
    if path.suffix.lower() in PAGE_ENDINGS:
        write_coverage_page(
            plan, report, path, sources=sources, shapes=shapes, plan_name=plan_name
        )
    else:
        write_for_gis(report.coverage, path)


def write_coverage_page(
    plan: Plan,
    report: CoverageReport,
    path: Path,
    *,
    sources: Sequence[TerrainSource] = (),
    shapes: tuple[MapShape, ...] = (),
    plan_name: str = "",
    page_size: str = "A4",
) -> None:
    """Write all pages as a PDF, or the one with the map as a PNG, as the ending says.

    Raises
    ------
    InputError
        The ending is another one.
    PlanFileError
        The file cannot be written; what was there before is untouched.
    """
    refuse_unknown_ending(path, PAGE_ENDINGS)
    application()
    size = page_size_named(page_size)
    printing = Printing(at=datetime.now(UTC), plan_name=plan_name, revision=plan_digest(plan))
    document = coverage_page(plan, report, printing, sources=sources, shapes=shapes)
    pages = coverage_pages(document, size)
    if path.suffix.lower() == ".pdf":
        write_pages(pages, path, size)
    else:
        write_whole(path, png_bytes(pages[0]))


def png_bytes(page: Page) -> bytes:
    """A page as a PNG."""
    dots_per_mm = PICTURE_DPI / 25.4
    image = QImage(
        round(page.width_mm * dots_per_mm),
        round(page.height_mm * dots_per_mm),
        QImage.Format.Format_Grayscale8,
    )
    image.fill(0xFFFFFFFF)
    image.setDotsPerMeterX(round(1000.0 * dots_per_mm))
    image.setDotsPerMeterY(round(1000.0 * dots_per_mm))
    painter = QPainter(image)
    paint_page(painter, page, dots_per_mm)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]  # the stub knows names of files only
    return bytes(buffer.data().data())
