"""What all commands share: statuses, JSON, refusals, sites by name."""

from __future__ import annotations

import json
import sys

from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.errors import GuylineError, InputError
from guyline.services.answers import Json
from guyline.services.opening import OpenedPlan

ALL_GO, NOT_ALL_GO, CANNOT_READ = 0, 1, 2


def print_json(content: Json) -> None:
    """Print JSON that every reader takes: no NaN, no infinity."""
    print(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))


def refuse(error: GuylineError) -> int:
    """Say what was wrong and what to do, and return the exit status for it."""
    print(f"guyline: {error}", file=sys.stderr)
    if error.advice:
        print(f"         {error.advice}", file=sys.stderr)
    return CANNOT_READ


def no_site(plan: Plan, name: str) -> InputError:
    """The refusal of a site that the plan does not have."""
    return InputError(
        f"The plan has no site {name}.",
        advice="Sites are: " + ", ".join(site.site_id for site in plan.sites),
    )


def assess(opened: OpenedPlan) -> PlanAssessment:
    """Judge a plan, having said what beside it could not be read."""
    for problem in opened.problems:
        print(f"guyline: {problem}", file=sys.stderr)
    return opened.assessor.assess(opened.plan)
