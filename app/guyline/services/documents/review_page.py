"""The readiness review: the whole network on one page, worst site first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from guyline.core.network.effect import NextAction, WeakSpot
from guyline.core.plan import Gate, Need, Plan
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.content import LeadLine, ReviewLine, ReviewPage
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.review_rollups import rollups
from guyline.services.documents.revision import content_digest
from guyline.services.documents.stamp import most_urgent
from guyline.services.wording import counted, decision_line, remedy_sentence, sentence
from guyline.services.wording.traffic import capacity_sentence

MOST_WEAK_SPOTS = 3  # our choice: the page must stay one that is read


def review_page(plan: Plan, assessment: PlanAssessment, printing: Printing) -> ReviewPage:
    """One row a site with its gates, first blocker and remedy; then the network."""
    page = ReviewPage(
        imprint=imprint(plan, printing),
        decision=decision_line(assessment),
        gates=tuple(str(gate) for gate in Gate),
        lines=tuple(_line(plan, assessment, site) for site in assessment.worst_first),
        network=(*_network(assessment), *rollups(plan, assessment)),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _line(plan: Plan, assessment: PlanAssessment, judged: SiteAssessment) -> ReviewLine:
    site = plan.site(judged.site_id)
    blocker = judged.first_blocker
    record = None if blocker is None else site.record(blocker.gate)
    return ReviewLine(
        site_id=site.site_id,
        name=site.name,
        function=str(site.function),
        verdict=judged.verdict,
        gates=tuple(judged.gate_verdict(gate) for gate in Gate),
        blocker="" if blocker is None else sentence(blocker),
        more=max(0, sum(f.verdict is not Verdict.GO for f in judged.findings) - 1),
        remedy="" if blocker is None else remedy_sentence(blocker),
        owner="" if record is None else record.owner,
        due_on=None if record is None else record.due_on,
        priority=most_urgent(assessment, site),
    )


def _network(assessment: PlanAssessment) -> Iterable[LeadLine]:
    network = assessment.network
    if network.needs:
        met = sum(need.is_met for need in network.needs)
        yield LeadLine(
            lead="Needs",
            line=f"{met} of {len(network.needs)} are met if only the ready sites are built.",
        )
    unmet = [_need(known.need) for known in network.needs if not known.is_met]
    if unmet:
        yield LeadLine(lead="Not met", line="; ".join(unmet) + ".")
    if network.next_actions:
        yield LeadLine(lead="Next", line=_next(network.next_actions[0]))
    for spot in network.weak_spots[:MOST_WEAK_SPOTS]:
        yield LeadLine(lead="Weak spot", line=_weak(spot))
    traffic = assessment.traffic
    growth = "" if traffic is None else capacity_sentence(assessment.plan, traffic)
    if growth:
        yield LeadLine(lead="Traffic", line=growth)
    hops = [len(need.route) - 1 for need in network.needs if need.is_met]
    limit = assessment.plan.radio_profile.hop_limit
    if hops:
        allowed = "no hop limit entered" if limit is None else f"{limit} allowed"
        yield LeadLine(lead="Hops", line=f"{max(hops)} on the longest route, {allowed}.")
    if network.cut_off:
        yield LeadLine(
            lead="Cut off",
            line=f"{', '.join(network.cut_off)}: ready, but no ready gateway in reach.",
        )


def _need(need: Need) -> str:
    words = f"{need.from_id} to {need.to_id}"
    return f"{words} ({need.description})" if need.description else words


def _next(action: NextAction) -> str:
    gained = counted(len(action.needs_gained), "more need")
    return f"make {' and '.join(action.site_ids)} ready: {gained} met."


def _weak(spot: WeakSpot) -> str:
    lost = counted(len(spot.needs_lost), "need")
    return f"without {spot.site_id}, {lost} met today would not be."
