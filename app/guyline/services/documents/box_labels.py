"""Labels for the boxes left on site, for whoever finds them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from guyline.core.plan import Gate, Incident, Plan, Site
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.packing import Load, Packing, packing_of
from guyline.services.documents.content import BoxLabel, BoxLabels
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest


def box_labels(plan: Plan, assessment: PlanAssessment, printing: Printing) -> BoxLabels:
    """One label a box: purpose, whom to call, when it goes away, and what carriers must know."""
    page = BoxLabels(
        imprint=imprint(plan, printing),
        labels=tuple(
            _label(plan.incident, site, piece)
            for site in plan.sites
            for piece in _pieces(packing_of(plan, site))
        ),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _pieces(packing: Packing) -> tuple[str, ...]:
    """A line for each load; one empty line where there is none."""
    count = len(packing.loads)
    return tuple(_piece(n, count, load) for n, load in enumerate(packing.loads, 1)) or ("",)


def _piece(number: int, count: int, load: Load) -> str:
    words = [f"Load {number} of {count}", f"{load.mass_kg:.1f} kg"]
    if load.carriers > 1:
        words.append("two persons carry")
    energies = [line.battery_wh for line in load.lines if line.battery_wh is not None]
    words += [f"battery {wh:.0f} Wh" for wh in energies]
    return ", ".join(words)


def _label(incident: Incident, site: Site, piece: str) -> BoxLabel:
    contact = ", ".join(part for part in (incident.planner, incident.planner_phone) if part)
    return BoxLabel(
        site_id=site.site_id,
        name=site.name,
        piece=piece,
        purpose=f"Emergency radio, {incident.name}" if incident.name else "Emergency radio",
        contact=contact or None,
        remove_by=_remove_by(incident, site),
    )


def _remove_by(incident: Incident, site: Site) -> str | None:
    """The promised day of recovery, else the end of the mission."""
    due = site.record(Gate.RECOVERY).due_on
    if due is None and incident.start_on is not None and incident.mission_days is not None:
        due = incident.start_on + timedelta(days=incident.mission_days)
    return None if due is None else f"{due:%d %b %Y}"
