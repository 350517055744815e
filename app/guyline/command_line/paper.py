"""The sheets as a PDF."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from guyline.command_line.printing import assess, no_site
from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.documents.content import Document
from guyline.services.documents.coverage_page import worked_out_page
from guyline.services.documents.imprint import Printing
from guyline.services.documents.map_extract import Ground
from guyline.services.opening import OpenedPlan, open_plan
from guyline.services.plan_files import plan_digest


def sheet(parsed: argparse.Namespace) -> int:
    """Write the sheets of a plan, or of some sites."""
    opened = open_plan(parsed.plan)
    wanted = tuple(SiteId(name) for name in parsed.site or ())
    for site_id in wanted:
        if not opened.plan.has_site(site_id):
            raise no_site(opened.plan, site_id)
    more = [_coverage_page(opened)] if parsed.coverage else []
    print_sheets(opened, assess(opened), parsed.out, parsed.paper, wanted or None, more)
    print(parsed.out.resolve())
    return 0


def print_sheets(
    opened: OpenedPlan,
    assessment: PlanAssessment,
    out: Path,
    paper: str = "A4",
    site_ids: tuple[SiteId, ...] | None = None,
    more: Sequence[Document] = (),
) -> None:
    """Write the site sheets as a PDF; the painter needs Qt, but no display."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from guyline.viewmodels.paper import write_plan_pdf

    write_plan_pdf(
        opened.plan,
        assessment,
        out,
        page_size=paper,
        site_ids=site_ids,
        plan_name=opened.path.name,
        more=more,
        ground=Ground(terrain=opened.terrain, layers=opened.assessor.layers),
    )


def _coverage_page(opened: OpenedPlan) -> Document:
    """The page of coverage, of the plan as its file holds it."""
    printing = Printing(
        at=datetime.now(UTC), plan_name=opened.path.name, revision=plan_digest(opened.plan)
    )
    return worked_out_page(opened.plan, opened.terrain, opened.assessor.layers, printing)
