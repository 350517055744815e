"""The line under a site's name: which incident, how urgent, good until when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from guyline.core.plan import Plan, Site
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.permission_checks import mission_end


def stamp(plan: Plan, assessment: PlanAssessment, site: Site) -> tuple[str, ...]:
    """Short statements in the order in which they are read."""
    return (
        plan.incident.name or "incident unknown",
        _priority(assessment, site),
        _valid_until(plan, site),
    )


def _priority(assessment: PlanAssessment, site: Site) -> str:
    priority = most_urgent(assessment, site)
    return "serves no need yet" if priority is None else f"priority {priority}"


def most_urgent(assessment: PlanAssessment, site: Site) -> int | None:
    """Priority of the most urgent need that ends here or passes through, 1 the highest."""
    return min(
        (
            known.need.priority
            for known in assessment.needs
            if site.site_id in (known.need.from_id, known.need.to_id, *known.route)
        ),
        default=None,
    )


def _valid_until(plan: Plan, site: Site) -> str:
    """The first day on which something that the sheet stands on runs out."""
    first = min(_ends(plan, site), default=None)
    return "end unknown" if first is None else f"valid until {first[0]:%d %b %Y} ({first[1]})"


def _ends(plan: Plan, site: Site) -> Iterator[tuple[date, str]]:
    end = mission_end(plan)
    if end is not None:
        yield end, "mission ends"
    if site.permission.expires_on is not None:
        yield site.permission.expires_on, "permission ends"
    for record in site.gate_records:
        if record.expires_on is not None:
            yield record.expires_on, f"evidence on {record.gate} ends"
