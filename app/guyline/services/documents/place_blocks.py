"""Where the site is and who has to do with it."""

from __future__ import annotations

from guyline.core.plan import Fact, Permission, Plan, Site
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.services import geodesy
from guyline.services.documents import figures
from guyline.services.documents.content import Blank, Field, Neighbour

MOST_CONTACTS = 4  # our choice: more names than that belong in the comms plan
AGREED = tuple(Blank(label=label) for label in ("Crew", "Safety", "Retreat to", "Check-in"))
"""What is agreed on the day, by hand: names, safety contact, where to meet, when to call."""


def where_fields(plan: Plan, site: Site, assessment: SiteAssessment) -> tuple[Field, ...]:
    """The position in the ways in which different services read it."""
    position = site.position
    ground = Field(label="Ground", value=_ground(plan, site, assessment))
    if position is None:
        return (Field(label="Position", value=None), ground)
    here = (position.lat_deg, position.lon_deg)
    uncertainty = position.uncertainty_m
    return (
        Field(label="Position", value=geodesy.degrees_minutes(*here)),
        Field(label="UTM zone", value=geodesy.utm(*here) or "outside the UTM grid"),
        Field(label="MGRS", value=figures.grid_reference(geodesy.mgrs(*here))),
        Field(
            label="Uncertainty",
            value=None
            if uncertainty is None
            else f"± {figures.height(uncertainty, plan.incident.units)}",
            note=position.source,
        ),
        ground,
    )


def _ground(plan: Plan, site: Site, assessment: SiteAssessment) -> str | None:
    value = assessment.ground_amsl_m
    if value is None:
        return None
    source = site.ground_source if value == site.ground_amsl_m else "terrain data"
    words = f"{figures.height(value, plan.incident.units)} above sea level"
    return f"{words} ({source})" if source else words


def who_fields(plan: Plan, site: Site) -> tuple[Field, ...]:
    """People to ask and to tell, and what is needed when somebody is hurt."""
    incident = plan.incident
    contacts = tuple(
        Field(label=contact.role or "Contact", value=_named(contact.name, contact.phone))
        for contact in site.contacts[:MOST_CONTACTS]
    )
    return (
        Field(label="Permission", value=_permission(site.permission)),
        Field(label="Key holder", value=site.permission.key_holder or None),
        *(contacts or (Field(label="Contact", value=None),)),
        Field(label="Net control", value=incident.net_control or None),
        Field(
            label="Emergency",
            value=incident.emergency_phone or None,
            note="" if incident.emergency_phone else "ask net control",
        ),
        Field(label="Hospital", value=site.nearest_hospital or None),
    )


def _named(name: str, phone: str) -> str | None:
    return ", ".join(part for part in (name, phone) if part) or None


def _permission(permission: Permission) -> str | None:
    if permission.is_granted is Fact.UNKNOWN:
        return None
    if permission.is_granted is Fact.NO:
        return "NOT GRANTED: do not enter"
    form = {
        Fact.YES: "granted in writing",
        Fact.NO: "granted by word of mouth only",
        Fact.UNKNOWN: "granted, in what form is unknown",
    }[permission.is_written]
    by = f" by {permission.granted_by}" if permission.granted_by else ""
    until = (
        f", until {permission.expires_on:%d %b %Y}"
        if permission.expires_on
        else ", end date unknown"
    )
    return form + by + until


def neighbours(plan: Plan, site: Site, assessment: PlanAssessment) -> tuple[Neighbour, ...]:
    """The other sites as seen from this one, for the locator sketch."""
    if site.position is None:
        return ()
    frame = geodesy.LocalFrame(site.position.lat_deg, site.position.lon_deg)
    linked = {link.other(site.site_id) for link in plan.links_of(site.site_id)}
    found = []
    for other in plan.sites:
        if other.site_id == site.site_id or other.position is None:
            continue
        east, north = frame.to_xy(other.position.lat_deg, other.position.lon_deg)
        found.append(
            Neighbour(
                site_id=other.site_id,
                east_m=float(east),
                north_m=float(north),
                is_linked=other.site_id in linked,
            )
        )
    return tuple(found)
