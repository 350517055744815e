"""Does a link that was built do what was planned, as its crews read it?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from guyline.core.network.link import LinkAssessment
from guyline.core.network.readings import LEAST_DELIVERED, HeldReading, held_readings
from guyline.core.plan import Gate, Plan, Site, SiteId
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)


def reading_findings(
    plan: Plan, site: Site, link: LinkAssessment, has_other: bool
) -> tuple[Finding, ...]:
    """The finding about what was read on a link of the site; () where nothing was.

    A direction that was read and does not suffice is NO-GO for an end without another working
    link, and a condition for one that has some.
    """
    held = held_readings(plan, link)
    if not held:
        return ()
    far_id = link.link.other(site.site_id)
    required = plan.radio_profile.required_margin_db
    told = [reading.suffices(required) for reading in held]
    verdict = _verdict(told, has_other)
    margins = [h.margin_db for h in held if h.margin_db is not None]
    days = [h.reading.read_on for h in held if h.reading.read_on is not None]
    return (
        Finding(
            code=FindingCode.LINK_READING,
            gate=Gate.RADIO,
            site_id=site.site_id,
            far_id=far_id,
            verdict=verdict,
            quantity="link margin as read on site",
            value=min(margins, default=None),
            limit=required,
            unit="dB",
            comparison=Comparison.AT_LEAST,
            facts=_facts(link, held),
            evidence="read on site",
            evidence_on=max(days, default=None),
            working=_working(held, max(days, default=None)),
            remedy=None if verdict is Verdict.GO else _remedy(site, far_id, told),
        ),
    )


def _verdict(told: Sequence[bool | None], has_other: bool) -> Verdict:
    if False in told:
        return Verdict.CONDITIONS if has_other else Verdict.NO_GO
    return Verdict.GO if True in told else Verdict.CONDITIONS


def _remedy(site: Site, far_id: SiteId, told: Sequence[bool | None]) -> Remedy:
    again = f"the link to {far_id} again, after connectors, aim and polarisation were checked"
    level = f"the level that was read on the link to {far_id}"
    return (
        Remedy(action=RemedyAction.MEASURE, site_id=site.site_id, what=again)
        if False in told
        else Remedy(action=RemedyAction.ENTER, site_id=site.site_id, what=level)
    )


def _facts(link: LinkAssessment, held: Sequence[HeldReading]) -> tuple[tuple[str, str], ...]:
    """What the sentence needs of each direction, numbered from 0, and what is not read yet."""
    facts: list[tuple[str, str]] = [("count", str(len(held)))]
    for i, one in enumerate(held):
        reading, difference = one.reading, one.difference_db
        packets = (
            "" if reading.delivered is None else f"{reading.packets_heard}/{reading.packets_sent}"
        )
        facts += [
            (f"talker{i}", str(reading.talker_id)),
            (f"listener{i}", str(reading.listener_id)),
            (f"level{i}", "" if reading.level_dbm is None else f"{reading.level_dbm:.0f}"),
            (f"snr{i}", "" if reading.snr_db is None else f"{reading.snr_db:.0f}"),
            (f"difference{i}", "" if difference is None else f"{round(difference):+d}"),
            (f"packets{i}", packets),
            (f"enough{i}", "no" if _loses_too_many(one) else "yes"),
        ]
    read = {one.reading.talker_id for one in held}
    missing = [end for end in (link.link.from_id, link.link.to_id) if end not in read]
    unsigned = any(not one.reading.is_signed for one in held)
    return (*facts, ("unread", " ".join(missing)), ("unsigned", "yes" if unsigned else "no"))


def _loses_too_many(held: HeldReading) -> bool:
    delivered = held.reading.delivered
    return delivered is not None and delivered < LEAST_DELIVERED


def _working(held: Sequence[HeldReading], newest: date | None) -> Working:
    return Working(
        formula=(
            "margin = the lower of level - sensitivity and signal-to-noise ratio - that needed;"
            f" {LEAST_DELIVERED:.0%} of the packets must arrive"
        ),
        inputs=tuple(quantity for one in held for quantity in _inputs(one)),
        source="readings of the crew; sensitivity and planned level of the link budget",
        confidence="one reading is one moment: rain, leaves and noise come and go"
        if newest is not None
        else "nobody has said when this was read",
    )


def _inputs(held: HeldReading) -> tuple[Quantity, ...]:
    reading = held.reading
    way = f"{reading.talker_id} to {reading.listener_id}"
    source = " ".join(
        part
        for part in (reading.read_by, "" if reading.read_on is None else str(reading.read_on))
        if part
    )
    return (
        Quantity(name=f"level, {way}", value=reading.level_dbm, unit="dBm", source=source),
        Quantity(name=f"planned level, {way}", value=held.planned_dbm, unit="dBm"),
        Quantity(name=f"sensitivity, {way}", value=held.sensitivity_dbm, unit="dBm"),
        Quantity(
            name=f"signal-to-noise ratio, {way}", value=reading.snr_db, unit="dB", source=source
        ),
        Quantity(
            name=f"packets that arrived, {way}",
            value=None
            if reading.delivered is None
            else f"{reading.packets_heard} of {reading.packets_sent}",
            source=source,
        ),
    )
