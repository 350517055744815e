"""What the whole network still lacks, subject by subject, in a line or two each."""

from __future__ import annotations

from collections.abc import Iterator

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Gate, Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.bill_of_materials import bill_of_materials
from guyline.core.readiness.finding import FindingCode, Verdict, severity
from guyline.services.documents.content import LeadLine
from guyline.services.documents.cure_words import cure_words
from guyline.services.wording import counted

_C = FindingCode
RULES = frozenset(
    (
        _C.RADIATED_POWER,
        _C.RULE_LIMIT,
        _C.LISTENING,
        _C.DUTY_CYCLE,
        _C.BUSY_HOUR,
        _C.ROUTED_TRAFFIC,
        _C.EXPOSURE,
    )
)
CONFIGURATION = frozenset(
    (_C.RADIO_IDENTIFIER, _C.RADIO_ALIKE, _C.SITE_ALIKE, _C.READ_BACK, _C.VSWR, _C.SOAK)
)
PERMISSION = frozenset(
    (_C.PERMISSION, _C.PERMISSION_EXPIRY, _C.KEY_HOLDER, _C.HAZARD_AREA, _C.FLOOD_LEVEL)
)
ASKED = (Gate.NEED, Gate.SAFETY, Gate.BENCH_TEST, Gate.RECOVERY)
_WORDS = {
    Verdict.NO_GO: "NO-GO",
    Verdict.NOT_ASSESSED: "not known",
    Verdict.CONDITIONS: "with conditions",
}


def rollups(plan: Plan, assessment: PlanAssessment) -> tuple[LeadLine, ...]:
    """Power, links, rules, kit, configuration, permission, evidence; nothing of what is well."""
    lines = (
        LeadLine(lead="Power", line=_power(assessment)),
        LeadLine(lead="Links", line=_links(plan, assessment)),
        LeadLine(lead="Rules", line=_open(assessment, RULES)),
        LeadLine(lead="Kit", line=_kit(plan)),
        LeadLine(lead="Configuration", line=_open(assessment, CONFIGURATION)),
        LeadLine(lead="Permission", line=_open(assessment, PERMISSION)),
        LeadLine(lead="Evidence", line=_evidence(assessment)),
    )
    return tuple(line for line in lines if line.line)


def _power(assessment: PlanAssessment) -> str:
    """Every site that lacks power, with what it lacks and the least effort to mend it."""
    return "; ".join(_lacks(site) for site in assessment.sites_lacking_power)


def _lacks(site: SiteAssessment) -> str:
    power = site.power
    if power.lacks_power is None:
        return f"{site.site_id} not known"
    short = power.shortfall_wh_per_day
    lack = "lacks power" if short is None else f"lacks {short:.1f} Wh/day"
    cure = f" ({cure_words(power.cures[0])})" if power.cures else ""
    return f"{site.site_id} {lack}{cure}"


def _links(plan: Plan, assessment: PlanAssessment) -> str:
    """Links below the margin with both directions, the weaker one first; then unknown ones."""
    required = plan.radio_profile.required_margin_db
    weak = [k for k in assessment.links if k.margin_db is not None and k.margin_db < required]
    unknown = [k for k in assessment.links if k.margin_db is None]
    told = [_weak(link) for link in sorted(weak, key=lambda k: k.margin_db or 0.0)]
    if told:
        told[-1] += f"; {required:.0f} dB are asked for"
    if unknown:
        ends = [f"{k.link.from_id}–{k.link.to_id}" for k in unknown]
        told.append(f"margin not known: {', '.join(ends)}")
    return "; ".join(told)


def _weak(known: LinkAssessment) -> str:
    budget = known.budget
    assert budget is not None
    ways = [
        (budget.forward.margin_db, known.link.to_id),
        (budget.backward.margin_db, known.link.from_id),
    ]
    (low, at), (high, other) = sorted(ways)
    ends = f"{known.link.from_id}–{known.link.to_id}"
    return f"{ends} {low:.1f} dB at {at}, which limits it, {high:.1f} dB at {other}"


def _kit(plan: Plan) -> str:
    """What is short over all sites, and what is promised twice."""
    short = [f"{line.lacking} × {line.name}" for line in bill_of_materials(plan) if line.lacking]
    twice = [line.name for line in bill_of_materials(plan) if line.promised_twice]
    parts = [f"lacking {', '.join(short)}"] if short else []
    if twice:
        parts.append(f"promised twice: {', '.join(twice)}")
    return "; ".join(parts)


def _open(assessment: PlanAssessment, codes: frozenset[FindingCode]) -> str:
    """The sites at which something of that subject is not GO, by the worst of it."""
    worst: dict[Verdict, list[SiteId]] = {}
    for site in assessment.sites:
        found = [f.verdict for f in site.findings if f.code in codes]
        verdict = min(found, key=severity, default=Verdict.GO)
        if verdict is not Verdict.GO:
            worst.setdefault(verdict, []).append(site.site_id)
    return "; ".join(
        f"{_WORDS[verdict]}: {', '.join(worst[verdict])}" for verdict in _WORDS if verdict in worst
    )


def _evidence(assessment: PlanAssessment) -> str:
    """Questions that only people answer and nobody has, or whose answer is too old."""
    return "; ".join(_unanswered(assessment))


def _unanswered(assessment: PlanAssessment) -> Iterator[str]:
    for gate in ASKED:
        sites = [s.site_id for s in assessment.sites if s.gate_verdict(gate) is not Verdict.GO]
        if len(sites) > _MANY:
            yield f"{gate}: {counted(len(sites), 'site')}"
        elif sites:
            yield f"{gate}: {', '.join(sites)}"


_MANY = 6  # our choice: more names than that are a number
