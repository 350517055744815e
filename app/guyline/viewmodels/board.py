"""The board of the deployment: what is met, what stops us, what gains most."""

from __future__ import annotations

from collections.abc import Iterable
from math import isinf

from guyline.core.network.effect import (
    NeedAssessment,
    NetworkAssessment,
    NextAction,
    WeakSpot,
)
from guyline.core.plan import Need, Plan
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.cure_words import MOST_CURES, cure_words
from guyline.services.practice import Lesson
from guyline.services.wording import counted, remedy_sentence, sentence
from guyline.services.wording.numbers import percent, span
from guyline.services.wording.traffic import (
    busiest_first,
    capacity_sentence,
    sent_words,
    worst_delivery_sentence,
)
from guyline.viewmodels.board_kit import configuration_section, kit_section
from guyline.viewmodels.board_practice import practice_section
from guyline.viewmodels.board_rows import MOST_LINES, BoardRow, BoardSection
from guyline.viewmodels.first_steps import first_steps
from guyline.viewmodels.site_summaries import power_text

MOST_ACTIONS = 3
MOST_SENDERS = 3


def board(
    assessment: PlanAssessment, lessons: tuple[Lesson, ...] = ()
) -> tuple[BoardSection, ...]:
    """Return the sections as a planner asks for them; the lessons of a practice first."""
    return (
        *practice_section(assessment, lessons),
        *_first_steps(assessment.plan),
        _next_actions(assessment),
        _blockers(assessment),
        lacking_power(assessment),
        _needs(assessment),
        _days(assessment),
        _weak_spots(assessment),
        kit_section(assessment),
        configuration_section(assessment),
        _traffic(assessment),
    )


def _first_steps(plan: Plan) -> tuple[BoardSection, ...]:
    """What is still to be done before a verdict can be given; () once all is."""
    steps = first_steps(plan)
    done = sum(step.is_done for step in steps)
    if done == len(steps):
        return ()
    return (
        BoardSection(
            title=f"First steps, {done} of {len(steps)} done",
            rows=tuple(
                BoardRow(
                    verdict=None,
                    head=f"{n}. {step.head}",
                    text=step.text,
                    entry=step.entry,
                    action=step.action,
                )
                for n, step in enumerate(steps, 1)
                if not step.is_done
            ),
            empty="",
        ),
    )


def _next_actions(assessment: PlanAssessment) -> BoardSection:
    actions = assessment.network.next_actions[:MOST_ACTIONS]
    return BoardSection(
        title="What gains most",
        rows=tuple(_action_row(assessment, action) for action in actions),
        empty="Nothing more is gained by mending single sites."
        if assessment.needs
        else "Enter who must reach whom: then this says what to mend first.",
    )


def _action_row(assessment: PlanAssessment, action: NextAction) -> BoardRow:
    gained = len(action.needs_gained)
    sites = ", ".join(action.site_ids)
    head = f"Make {sites} ready" if sites else "Mend the links"
    pairs = "; ".join(_pair(need) for need in action.needs_gained)
    return BoardRow(
        verdict=None,
        head=head,
        text=f"{counted(gained, 'need')} more: {pairs}{_first_mending(assessment, action)}",
        site_id=action.site_ids[0] if action.site_ids else None,
    )


def _first_mending(assessment: PlanAssessment, action: NextAction) -> str:
    """What mends the first blocker of the first of its sites, nothing where nobody knows."""
    if not action.site_ids:
        return ""
    site_id = action.site_ids[0]
    blocker = assessment.site(site_id).first_blocker
    remedy = "" if blocker is None else remedy_sentence(blocker)
    return f". First at {site_id}: {remedy[:1].lower()}{remedy[1:]}" if remedy else ""


def _blockers(assessment: PlanAssessment) -> BoardSection:
    blocked = [site for site in assessment.worst_first if site.first_blocker is not None]
    return BoardSection(
        title="First blocker of each site",
        rows=tuple(_blocker_row(assessment.plan, site) for site in blocked[:MOST_LINES]),
        more=max(0, len(blocked) - MOST_LINES),
        empty="Every site is GO.",
    )


def _blocker_row(plan: Plan, site: SiteAssessment) -> BoardRow:
    blocker = site.first_blocker
    assert blocker is not None
    record = plan.site(site.site_id).record(blocker.gate)
    owner = f" {record.owner} mends it" if record.owner else ""
    due = f" by {record.due_on:%d %b}" if record.due_on else ""
    charge = f"{owner}{due}." if owner or due else ""
    return BoardRow(
        verdict=site.verdict,
        head=site.site_id,
        text=f"{sentence(blocker)}{charge}",
        site_id=site.site_id,
    )


def lacking_power(assessment: PlanAssessment) -> BoardSection:
    """Sites that lack power or may, each with what is missing and its best cure."""
    return BoardSection(
        title="Sites that lack power",
        rows=tuple(_power_row(assessment.plan, site) for site in assessment.sites_lacking_power),
        empty="Every site has power for the mission.",
    )


def _power_row(plan: Plan, site: SiteAssessment) -> BoardRow:
    lacks = site.power.lacks_power
    words = " or ".join(cure_words(cure) for cure in site.power.cures[:MOST_CURES])
    hours = site.power.hours_to_outage
    after = "" if hours is None or isinf(hours) else f"; first outage after {span(hours)}"
    cures = f"{after}. {words[:1].upper()}{words[1:]}" if words else after
    return BoardRow(
        verdict=Verdict.NOT_ASSESSED if lacks is None else Verdict.NO_GO,
        head=site.site_id,
        text=f"{power_text(site.power, plan)}{cures}",
        site_id=site.site_id,
    )


def _needs(assessment: PlanAssessment) -> BoardSection:
    needs = sorted(assessment.needs, key=lambda known: (known.is_met, known.need.priority))
    served = assessment.network.served_fraction
    share = "" if served is None else f", {served:.0%} by priority"
    return BoardSection(
        title=f"Needs{share}",
        rows=tuple(map(_need_row, needs)),
        empty="No needs are entered yet. They stand under Plan.",
    )


def _need_row(known: NeedAssessment) -> BoardRow:
    need = known.need
    over = known.route[1:-1]
    way = f"over {', '.join(over)}" if over else "directly"
    odds = "" if known.probability is None else f", works with {percent(known.probability)}"
    state = f"met {way}{odds}" if known.is_met else "not met with the sites that are ready"
    what = f"{need.description}: " if need.description else ""
    return BoardRow(
        verdict=Verdict.GO if known.is_met else Verdict.NO_GO,
        head=f"{_pair(need)}, priority {need.priority}",
        text=f"{what}{state}",
        site_id=need.from_id,
    )


def _days(assessment: PlanAssessment) -> BoardSection:
    """When the network changes: the day, who goes off the air, and who no longer reaches whom."""
    network = assessment.network
    if not network.days or not network.needs:
        return BoardSection(
            title="Day by day",
            rows=(),
            empty="Enter needs, and how many days the network must last: then this says who still"
            " reaches whom.",
        )
    rows = [_change(assessment, day) for day in range(1, len(network.days))]
    least = (
        f"Nobody knows how long the power lasts at {', '.join(network.power_unknown)}: counted as"
        " off the air."
        if network.power_unknown
        else ""
    )
    last = len(network.days) - 1
    first = BoardRow(
        verdict=None,
        head=f"Day 0: {network.days[0].needs_met} of {counted(len(network.needs), 'need')} met",
        text=least,
    )
    return BoardSection(
        title=f"Day by day, to day {last}",
        rows=(first, *(row for row in rows if row is not None)),
        empty="",
    )


def _change(assessment: PlanAssessment, day: int) -> BoardRow | None:
    network = assessment.network
    before, now = network.days[day - 1], network.days[day]
    if before == now:
        return None
    gone = [site_id for site_id in before.up if site_id not in now.up]
    back = [site_id for site_id in now.up if site_id not in before.up]
    lost = _pairs_where(network, before.met, now.met)
    won = _pairs_where(network, now.met, before.met)
    parts = (
        f"off the air: {', '.join(gone)}" if gone else "",
        f"back: {', '.join(back)}" if back else "",
        f"lost: {lost}" if lost else "",
        f"met again: {won}" if won else "",
    )
    text = "; ".join(part for part in parts if part)
    return BoardRow(
        verdict=Verdict.NO_GO if lost else Verdict.CONDITIONS,
        head=f"Day {day}: {now.needs_met} of {counted(len(network.needs), 'need')} met",
        text=f"{text[:1].upper()}{text[1:]}.",
        site_id=next(iter((*gone, *back)), None),
    )


def _pairs_where(network: NetworkAssessment, yes: Iterable[bool], no: Iterable[bool]) -> str:
    """The needs that are met in one and not in the other."""
    return "; ".join(
        _pair(known.need)
        for known, is_met, is_not in zip(network.needs, yes, no, strict=True)
        if is_met and not is_not
    )


def _weak_spots(assessment: PlanAssessment) -> BoardSection:
    return BoardSection(
        title="What hangs on one site",
        rows=tuple(map(_spot_row, assessment.network.weak_spots)),
        empty="No met need hangs on a single relay.",
    )


def _spot_row(spot: WeakSpot) -> BoardRow:
    pairs = "; ".join(_pair(need) for need in spot.needs_lost)
    return BoardRow(
        verdict=Verdict.CONDITIONS,
        head=spot.site_id,
        text=f"If it fails: {pairs}",
        site_id=spot.site_id,
    )


def _traffic(assessment: PlanAssessment) -> BoardSection:
    traffic = assessment.traffic
    empty = "Enter packets an hour with the needs: then this says what the relays must carry."
    if traffic is None or not busiest_first(traffic):
        return BoardSection(title="Traffic", rows=(), empty=empty)
    growth, worst = capacity_sentence(assessment.plan, traffic), worst_delivery_sentence(traffic)
    heads = (("Room to grow", growth), ("Collisions", worst))
    return BoardSection(
        title="Traffic",
        rows=(
            *(BoardRow(verdict=None, head=head, text=text) for head, text in heads if text),
            *(
                BoardRow(
                    verdict=None, head=sent.site_id, text=sent_words(sent), site_id=sent.site_id
                )
                for sent in busiest_first(traffic)[:MOST_SENDERS]
            ),
        ),
        empty=empty,
    )


def _pair(need: Need) -> str:
    return f"{need.from_id} to {need.to_id}"
