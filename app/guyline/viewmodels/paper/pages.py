"""The pages of any document."""

from __future__ import annotations

from guyline.services.documents.content import (
    BenchRecords,
    BoxLabels,
    CommsPlan,
    CoveragePage,
    Document,
    FormsPage,
    PackingList,
    PowerPage,
    ReadingsPage,
    ReviewPage,
    SiteSheet,
    VoiceBrief,
)
from guyline.viewmodels.paper.bench_pages import bench_pages
from guyline.viewmodels.paper.brief_pages import comms_pages, label_pages, voice_pages
from guyline.viewmodels.paper.coverage_page import coverage_pages
from guyline.viewmodels.paper.forms_pages import forms_pages
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.packing_pages import packing_pages
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.readings_pages import readings_pages
from guyline.viewmodels.paper.review_pages import review_pages
from guyline.viewmodels.paper.site_sheet_pages import site_sheet_pages
from guyline.viewmodels.paper.table_pages import power_pages


def pages_of(document: Document, size: PageSize) -> tuple[Page, ...]:
    """Lay a document out on paper of a size."""
    match document:
        case SiteSheet():
            return site_sheet_pages(document, size)
        case PowerPage():
            return power_pages(document, size)
        case ReviewPage():
            return review_pages(document, size)
        case CommsPlan():
            return comms_pages(document, size)
        case VoiceBrief():
            return voice_pages(document, size)
        case BoxLabels():
            return label_pages(document, size)
        case PackingList():
            return packing_pages(document, size)
        case BenchRecords():
            return bench_pages(document, size)
        case FormsPage():
            return forms_pages(document, size)
        case ReadingsPage():
            return readings_pages(document, size)
        case CoveragePage():
            return coverage_pages(document, size)
