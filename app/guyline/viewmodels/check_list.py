"""The check catalogue over the plan as people read it: what goes wrong, how it is met, where."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.check_catalogue import CatalogueCheck
from guyline.core.readiness.check_states import CheckState, check_states
from guyline.core.readiness.finding import Verdict

HEADINGS = ("", "What goes wrong", "How it is met", "Open at")
MOST_NAMED = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One line; choosing it shows `site_id`, the first where it is open."""

    verdict: Verdict
    complaint: str
    how: str
    where: str
    site_id: SiteId | None


def check_rows(assessment: PlanAssessment) -> tuple[CheckRow, ...]:
    """Return a row for each check of the catalogue."""
    return tuple(map(_row, check_states(assessment)))


def _row(state: CheckState) -> CheckRow:
    named = ", ".join(state.open[:MOST_NAMED])
    more = len(state.open) - MOST_NAMED
    good = f"as it should be at {len(state.good)}" if state.good else _nowhere(state)
    return CheckRow(
        verdict=_verdict(state),
        complaint=f"{state.check.number}. {state.check.complaint}",
        how=_how(state),
        where=f"{named} and {more} more" if more > 0 else named or good,
        site_id=state.open[0] if state.open else None,
    )


def _verdict(state: CheckState) -> Verdict:
    """GO where nothing is open; how bad an open line is, its site tells."""
    if state.open:
        return Verdict.CONDITIONS
    return Verdict.GO if state.good or state.check.elsewhere else Verdict.NOT_ASSESSED


def _nowhere(state: CheckState) -> str:
    return "on paper" if state.check.elsewhere else "nothing entered that tells"


def _how(state: CheckState) -> str:
    return "; ".join(part for part in (_computed(state.check), _asked(state)) if part)


def _computed(check: CatalogueCheck) -> str:
    if check.codes:
        names = ", ".join(str(code).replace("-", " ") for code in check.codes)
        return f"Computed: {names}"
    return str(check.elsewhere or "").capitalize()


def _asked(state: CheckState) -> str:
    if not state.check.question:
        return ""
    by = f" Answered by {', '.join(state.answered_by)}." if state.answered_by else ""
    return f"Asked: {state.check.question}{by}"
