"""What people read of a finding: core gives codes and numbers, here they become sentences."""

from __future__ import annotations

from collections.abc import Callable, Sized

from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.services.wording import equipment, kit, links, power, site_facts
from guyline.services.wording.numbers import counted, percent
from guyline.services.wording.remedies import REMEDIES

__all__ = [
    "SENTENCES",
    "counted",
    "decision_line",
    "percent",
    "remedy_sentence",
    "sentence",
    "title",
]

SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    **links.SENTENCES,
    **equipment.SENTENCES,
    **kit.SENTENCES,
    **site_facts.SENTENCES,
    **power.SENTENCES,
}


def sentence(finding: Finding) -> str:
    """The finding in one plain sentence with its numbers."""
    return SENTENCES[finding.code](finding)


def remedy_sentence(finding: Finding) -> str:
    """What would mend the finding, or nothing where nothing needs mending."""
    remedy = finding.remedy
    if remedy is None:
        return ""
    return power.REMEDIES.get(finding.code, REMEDIES[remedy.action])(remedy)


def title(finding: Finding) -> str:
    """A few words that name the finding, for lists and headings."""
    name = finding.quantity[:1].upper() + finding.quantity[1:]
    return name if finding.far_id is None else f"{name}, to {finding.far_id}"


def decision_line(assessment: PlanAssessment) -> str:
    """The whole deployment in one line: needs met, power lacking, first blocker."""
    if not assessment.sites:
        return "No sites yet. Add the first place that must be reached."
    needs = assessment.needs
    met = sum(need.is_met for need in needs)
    parts = [
        f"If we go today: {met} of {counted(len(needs), 'need')} met."
        if needs
        else "If we go today: no needs are entered yet."
    ]
    lacking = [s for s in assessment.sites if s.power.lacks_power]
    unknown = [s for s in assessment.sites if s.power.lacks_power is None]
    if lacking:
        parts.append(f"{counted(len(lacking), 'site')} {_verb(lacking)} power.")
    if unknown:
        parts.append(f"Power of {counted(len(unknown), 'site')} is unknown.")
    blocked = [s for s in assessment.worst_first if s.verdict is not Verdict.GO]
    if blocked and (blocker := blocked[0].first_blocker) is not None:
        parts.append(f"First blocker: {blocked[0].site_id}: {sentence(blocker)}")
    elif not blocked:
        parts.append("Every site is GO.")
    return " ".join(parts)


def _verb(sites: Sized) -> str:
    return "lacks" if len(sites) == 1 else "lack"
