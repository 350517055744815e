"""The forms of incident command about radio, as pages to sign."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.comms_forms import comms_forms
from guyline.services.documents.content import FormsPage
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest

_ANY_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands for the time of preparing in the digest: printed again, a form is still the same."""


def forms_page(plan: Plan, assessment: PlanAssessment, printing: Printing) -> FormsPage:
    """Return the radio plan, the communications list and the worksheet of resources."""
    page = FormsPage(imprint=imprint(plan, printing), forms=comms_forms(plan, printing.at))
    timeless = replace(page, forms=comms_forms(plan, _ANY_TIME))
    return replace(page, imprint=replace(page.imprint, digest=content_digest(timeless)))
