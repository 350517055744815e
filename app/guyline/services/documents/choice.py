"""Which documents a plan has, and making one of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.bench_records import bench_records
from guyline.services.documents.box_labels import box_labels
from guyline.services.documents.comms_plan import comms_plan
from guyline.services.documents.content import Document
from guyline.services.documents.forms_page import forms_page
from guyline.services.documents.imprint import Printing
from guyline.services.documents.map_extract import Ground
from guyline.services.documents.packing_list import packing_list
from guyline.services.documents.power_page import power_page
from guyline.services.documents.readings_page import readings_page
from guyline.services.documents.review_page import review_page
from guyline.services.documents.site_sheet import site_sheet
from guyline.services.documents.voice_brief import voice_brief

Make = Callable[[Plan, PlanAssessment, Printing], Document]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A document that can be printed; `site_id` is None for those about the whole plan."""

    key: str
    title: str
    verdict: Verdict | None = None
    site_id: SiteId | None = None


REVIEW = Choice(key="review", title="Readiness review")
LACKING_POWER = Choice(key="lacking power", title="Sites still lacking power")
COMMS_PLAN = Choice(key="comms plan", title="Communications plan")
VOICE_BRIEF = Choice(key="voice brief", title="To read out by voice")
BOX_LABELS = Choice(key="box labels", title="Labels for the boxes")
PACKING = Choice(key="packing list", title="Packing list")
COVERAGE = Choice(key="coverage", title="Coverage")
"""Beside the others: it must be worked out over the terrain, which takes a while."""
FORMS = Choice(key="ICS forms", title="Forms ICS 205, 205A, 217A")
READINGS = Choice(key="readings", title="Planned against read")
BENCH = Choice(key="bench records", title="Bench records")
ON_REQUEST = (PACKING, BENCH, COMMS_PLAN, VOICE_BRIEF, BOX_LABELS, READINGS, FORMS)
"""Not printed unless somebody asks: they are for others than the crew, or hold telephones."""
_MAKE: dict[str, Make] = {
    REVIEW.key: review_page,
    LACKING_POWER.key: power_page,
    PACKING.key: packing_list,
    BENCH.key: bench_records,
    COMMS_PLAN.key: comms_plan,
    VOICE_BRIEF.key: voice_brief,
    BOX_LABELS.key: box_labels,
    READINGS.key: readings_page,
    FORMS.key: forms_page,
}


def choices(assessment: PlanAssessment) -> tuple[Choice, ...]:
    """All documents of a plan in the order in which they are printed."""
    plan = assessment.plan
    sheets = tuple(
        Choice(
            key=f"site {judged.site_id}",
            title=f"{judged.site_id}  {plan.site(judged.site_id).name}".strip(),
            verdict=judged.verdict,
            site_id=judged.site_id,
        )
        for judged in assessment.sites
    )
    return (REVIEW, LACKING_POWER, *sheets, *ON_REQUEST)


def document(
    assessment: PlanAssessment,
    choice: Choice,
    printing: Printing,
    ground: Ground | None = None,
) -> Document:
    """Make a document of the plan that was assessed; maps are drawn from `ground`."""
    plan = assessment.plan
    if choice.site_id is not None:
        return site_sheet(plan, assessment, choice.site_id, printing, ground)
    return _MAKE[choice.key](plan, assessment, printing)
