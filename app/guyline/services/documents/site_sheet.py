"""The sheet with which a crew builds one site."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Plan, Site, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Finding, Verdict
from guyline.services.declination import Declination, declination
from guyline.services.documents import figures
from guyline.services.documents.cautions import (
    MOST_ON_FIRST_SIDE,
    caution_lines,
    stop_lines,
)
from guyline.services.documents.content import Blank, LeadLine, SiteSheet
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.kit_block import kit_lines
from guyline.services.documents.map_extract import Ground, credits_of_ground, map_extract
from guyline.services.documents.place_blocks import (
    AGREED,
    neighbours,
    where_fields,
    who_fields,
)
from guyline.services.documents.power_blocks import measured_blanks, power_chain, power_fields
from guyline.services.documents.radio_blocks import (
    antenna_fields,
    connector_chain,
    link_lines,
    radio_fields,
)
from guyline.services.documents.revision import content_digest
from guyline.services.documents.stamp import stamp
from guyline.services.documents.steps import LEFT_BEHIND, PHOTOS, steps
from guyline.services.geodesy import geo_uri
from guyline.services.wording import remedy_sentence, sentence

AS_BUILT = (
    Blank(label="Position"),
    Blank(label="On the air since"),
    Blank(label="Changed"),
)
"""Identifier, heights and angles are written down beside what was planned."""


def site_sheet(
    plan: Plan,
    assessment: PlanAssessment,
    site_id: SiteId,
    printing: Printing,
    ground: Ground | None = None,
) -> SiteSheet:
    """The sheet of one site, made from the findings that every other view shows.

    Parameters
    ----------
    ground : Ground or None
        What its map is drawn from; without it the map shows the other sites only.
    """
    site, judged = plan.site(site_id), assessment.site(site_id)
    turn = _declination(site, judged, printing)
    cautions = caution_lines(plan, site)
    others = neighbours(plan, site, assessment)
    sheet = SiteSheet(
        site_id=site_id,
        name=site.name,
        function=str(site.function),
        verdict=judged.verdict,
        stamp=stamp(plan, assessment, site),
        reasons=_reasons(site, judged),
        imprint=imprint(plan, printing),
        stop=stop_lines(plan, site),
        where=where_fields(plan, site, judged),
        geo_uri=None
        if site.position is None
        else geo_uri(site.position.lat_deg, site.position.lon_deg, site.position.uncertainty_m),
        access=site.access,
        who=who_fields(plan, site),
        agreed=AGREED,
        cautions=cautions[:MOST_ON_FIRST_SIDE],
        beyond=cautions[MOST_ON_FIRST_SIDE:],
        take=kit_lines(plan, site),
        band_plan="" if plan.radio_rule is None else plan.radio_rule.name,
        radio=radio_fields(plan, site, judged),
        declination="" if turn is None else figures.declination_words(turn),
        antenna=antenna_fields(plan, site, judged, turn),
        connectors=connector_chain(site),
        links=link_lines(plan, site, judged, turn),
        power=power_fields(plan, site, judged.power, turn, judged.ground_amsl_m),
        power_chain=power_chain(site, judged.power),
        measured=measured_blanks(site),
        steps=steps(plan, site, judged, turn),
        as_built=AS_BUILT,
        photos=PHOTOS,
        left_behind=LEFT_BEHIND,
        neighbours=others,
        extract=map_extract(plan, site, ground, others),
        credits=credits_of_ground(plan),
        notes=site.notes,
    )
    return replace(sheet, imprint=replace(sheet.imprint, digest=content_digest(sheet)))


def _declination(site: Site, judged: SiteAssessment, printing: Printing) -> Declination | None:
    if site.position is None:
        return None
    height = judged.ground_amsl_m or 0.0  # sea level where unknown: 100 m are under 0.01°
    return declination(site.position.lat_deg, site.position.lon_deg, height, printing.at.date())


_LEADS = {
    Verdict.NO_GO: "NO-GO:",
    Verdict.NOT_ASSESSED: "Not assessed:",
    Verdict.CONDITIONS: "Condition:",
}


def _reasons(site: Site, judged: SiteAssessment) -> tuple[LeadLine, ...]:
    """What keeps the site from GO, what mends it, and who does that by when."""
    return tuple(
        LeadLine(lead=_LEADS[finding.verdict], line=_reason(site, finding))
        for finding in judged.findings
        if finding.verdict is not Verdict.GO
    )


def _reason(site: Site, finding: Finding) -> str:
    record = site.record(finding.gate)
    due = "" if record.due_on is None else f" by {record.due_on:%d %b}"
    owner = f"({record.owner}{due})" if record.owner else ""
    return " ".join(part for part in (sentence(finding), remedy_sentence(finding), owner) if part)
