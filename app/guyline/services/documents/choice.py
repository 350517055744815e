"""Which documents a plan has, and making one of them."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.content import Document
from guyline.services.documents.imprint import Printing
from guyline.services.documents.power_page import power_page
from guyline.services.documents.review_page import review_page
from guyline.services.documents.site_sheet import site_sheet

REVIEW, LACKING_POWER = "review", "lacking power"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A document that can be printed; `site_id` is None for those about the whole plan."""

    key: str
    title: str
    verdict: Verdict | None = None
    site_id: SiteId | None = None


def choices(assessment: PlanAssessment) -> tuple[Choice, ...]:
    """All documents of a plan in the order in which they are printed."""
    plan = assessment.plan
    return (
        Choice(key=REVIEW, title="Readiness review", verdict=assessment.verdict),
        Choice(key=LACKING_POWER, title="Sites still lacking power"),
        *(
            Choice(
                key=f"site {judged.site_id}",
                title=f"{judged.site_id}  {plan.site(judged.site_id).name}".strip(),
                verdict=judged.verdict,
                site_id=judged.site_id,
            )
            for judged in assessment.sites
        ),
    )


def document(assessment: PlanAssessment, choice: Choice, printing: Printing) -> Document:
    """Make a document of the plan that was assessed."""
    plan = assessment.plan
    if choice.site_id is not None:
        return site_sheet(plan, assessment, choice.site_id, printing)
    if choice.key == REVIEW:
        return review_page(plan, assessment, printing)
    return power_page(plan, assessment, printing)
