"""Sites in words that can be read out by voice: letters spelled, figures one by one."""

from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.services import geodesy
from guyline.services.documents.content import LeadLine, VoiceBrief
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.power_blocks import power_verdict
from guyline.services.documents.revision import content_digest
from guyline.services.wording import decision_line, sentence

# ITU Radio Regulations, appendix 14: the spelling alphabet; figures as plain English words.
_SPELLING = """
    Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike November
    Oscar Papa Quebec Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu
"""
LETTERS = {word[0]: word for word in _SPELLING.split()}
_COUNTING = "zero one two three four five six seven eight nine"
FIGURES = {str(n): word for n, word in enumerate(_COUNTING.split())}
_SIGNS = {"-": "dash", ".": "decimal", "/": "slash", "_": "underscore", " ": "space"}
_HEMISPHERES = {"N": "north", "S": "south", "E": "east", "W": "west"}


def voice_brief(plan: Plan, assessment: PlanAssessment, printing: Printing) -> VoiceBrief:
    """Verdict, place and power of each site, to be dictated over a radio."""
    page = VoiceBrief(
        imprint=imprint(plan, printing),
        opening=f"{decision_line(assessment)} Plan revision {spelled(printing.revision)}.",
        sites=tuple(_site(plan, judged) for judged in assessment.sites),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def spelled(words: str) -> str:
    """Letters by the international spelling alphabet, figures one by one."""
    known = {**LETTERS, **FIGURES, **_SIGNS}
    return " ".join(known.get(sign, sign) for sign in words.upper())


def spoken_position(lat_deg: float, lon_deg: float) -> str:
    """Degrees and decimal minutes, figure by figure, hemisphere last."""
    parts = geodesy.degrees_minutes(lat_deg, lon_deg).split(" ")
    return ", ".join(_spoken_angle(part) for part in parts)


def _spoken_angle(written: str) -> str:
    degrees, _, rest = written.partition("°")
    minutes, _, hemisphere = rest.partition("′")
    return (
        f"{_by_figures(degrees)} degrees {_by_figures(minutes)} minutes {_HEMISPHERES[hemisphere]}"
    )


def _by_figures(number: str) -> str:
    return " ".join({**FIGURES, **_SIGNS}[sign] for sign in number)


def _site(plan: Plan, judged: SiteAssessment) -> LeadLine:
    site = plan.site(judged.site_id)
    place = (
        "position unknown"
        if site.position is None
        else f"position {spoken_position(site.position.lat_deg, site.position.lon_deg)}"
    )
    power = power_verdict(plan, judged.power) or "unknown"
    blocker = judged.first_blocker
    why = "" if blocker is None else f" {sentence(blocker)}"
    return LeadLine(
        lead=f"{site.site_id}: {spelled(site.site_id)}.",
        line=f"{site.name + ', ' if site.name else ''}{site.function}. Verdict {judged.verdict}."
        f"{why} {place[0].upper()}{place[1:]}. Power: {power}. Over.",
    )
