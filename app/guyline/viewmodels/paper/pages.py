"""The pages of any document."""

from __future__ import annotations

from guyline.services.documents.content import Document
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.site_sheet_pages import site_sheet_pages


def pages_of(document: Document, size: PageSize) -> tuple[Page, ...]:
    """Lay a document out on paper of a size."""
    return site_sheet_pages(document, size)
