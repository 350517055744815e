"""Writes documents to a PDF file, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import DocumentError
from guyline.services.documents.choice import ON_REQUEST, choices, document
from guyline.services.documents.content import Document
from guyline.services.documents.imprint import Printing
from guyline.services.documents.map_extract import Ground
from guyline.services.plan_files import plan_digest
from guyline.services.whole_files import write_whole
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import PageSize, page_size_named
from guyline.viewmodels.paper.pages import pages_of
from guyline.viewmodels.paper.painting import paint_page
from guyline.viewmodels.paper.type import application

RESOLUTION_DPI = 1200
_UNITS_PER_MM = RESOLUTION_DPI / 25.4


def write_plan_pdf(
    plan: Plan,
    assessment: PlanAssessment,
    path: Path,
    *,
    page_size: str = "A4",
    site_ids: Sequence[SiteId] | None = None,
    plan_name: str = "",
    printed_at: datetime | None = None,
    more: Sequence[Document] = (),
    ground: Ground | None = None,
) -> None:
    """Write the site sheets of a plan; a whole plan begins with its overview pages.

    Parameters
    ----------
    assessment : PlanAssessment
        Of that plan.
    site_ids : sequence of SiteId or None
        The sheets wanted; None means readiness review, sites lacking power and all sheets.
    printed_at : datetime or None
        With its time zone; None is now.
    more : sequence of Document
        What else is wanted, made already.
    ground : Ground or None
        What the maps on the sheets are drawn from.
    """
    printing = Printing(
        at=printed_at or datetime.now(UTC), plan_name=plan_name, revision=plan_digest(plan)
    )
    wanted = None if site_ids is None else set(site_ids)
    documents = [
        document(assessment, choice, printing, ground)
        for choice in choices(assessment)
        if (choice not in ON_REQUEST if wanted is None else choice.site_id in wanted)
    ]
    write_pdf([*documents, *more], path, page_size_named(page_size))


def write_pdf(documents: Sequence[Document], path: Path, page_size: PageSize) -> None:
    """Write documents to a PDF.

    Raises
    ------
    DocumentError
        There is nothing to write.
    PlanFileError
        The file cannot be written; what was there before is untouched.
    """
    application()
    write_pages([p for d in documents for p in pages_of(d, page_size)], path, page_size)


def write_pages(pages: Sequence[Page], path: Path, page_size: PageSize) -> None:
    """Write pages that are laid out already."""
    if not pages:
        raise DocumentError("There is nothing to print.", advice="Choose a site or a page.")
    write_whole(path, pdf_bytes(pages, page_size, path.stem))


def pdf_bytes(pages: Sequence[Page], page_size: PageSize, title: str) -> bytes:
    """The pages as a PDF file."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator("Guyline")
    writer.setResolution(RESOLUTION_DPI)
    writer.setPageLayout(page_layout(page_size))
    painter = QPainter(writer)
    for n, page in enumerate(pages):
        if n:
            writer.newPage()
        paint_page(painter, page, _UNITS_PER_MM)
    painter.end()
    buffer.close()
    return bytes(buffer.data().data())


def page_layout(page_size: PageSize) -> QPageLayout:
    """The whole sheet of paper; the margins are part of the layout of the page."""
    return QPageLayout(
        QPageSize(page_size.qt_id), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)
    )
