"""The page that holds what crews read on the links against what was planned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from guyline.core.network.link import LinkAssessment
from guyline.core.network.readings import BAND_90, HeldReading, agreement_of, held_readings
from guyline.core.plan import LinkReading, Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.documents.content import ReadingLine, ReadingsPage
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest
from guyline.services.wording import counted

TELLING_COUNT = 4  # our choice: fewer readings say nothing about a plan as a whole
TELLING_DB = 3.0  # our choice: a factor of two in power


def readings_page(plan: Plan, assessment: PlanAssessment, printing: Printing) -> ReadingsPage:
    """Every direction of every link, the one that fell shortest of its plan first."""
    lines = [line for link in assessment.links for line in reading_lines(plan, link)]
    page = ReadingsPage(
        imprint=imprint(plan, printing),
        summary=agreement_words(plan, assessment.links),
        lines=tuple(sorted(lines, key=_order)),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def agreement_words(plan: Plan, links: Iterable[LinkAssessment]) -> str:
    """Say how what was read lies to what was planned, and what that means for the plan."""
    links = list(links)
    held = [one for link in links for one in held_readings(plan, link)]
    ways = 2 * len(links)
    if not held:
        return f"None of {counted(ways, 'direction')} has been read yet."
    words = [f"{len(held)} of {counted(ways, 'direction')} read."]
    agreement = agreement_of(held)
    if agreement is None:
        return words[0]
    side = "stronger" if agreement.mean_db >= 0.0 else "weaker"
    words.append(f"On average {abs(agreement.mean_db):.1f} dB {side} than planned")
    if agreement.count > 1:
        words[-1] += f", standard deviation {agreement.sd_db:.1f} dB"
    if agreement.with_spread:
        words[-1] += (
            f"; {agreement.inside_90} of {agreement.with_spread} inside the band that should"
            " hold nine of ten"
        )
    words[-1] += "."
    if agreement.count >= TELLING_COUNT and agreement.mean_db <= -TELLING_DB:
        words.append(
            "The plan is too hopeful here: look for trees and houses it lacks, for bad"
            " connectors, for a wrong antenna."
        )
    elif agreement.count >= TELLING_COUNT and agreement.mean_db >= TELLING_DB:
        words.append("The plan is on the safe side here.")
    return " ".join(words)


def line_words(line: ReadingLine) -> tuple[str, str]:
    """Return the levels of a direction in words, and what else was written down of it."""
    planned = "unknown" if line.planned_dbm is None else f"{line.planned_dbm:.0f} dBm"
    if not line.is_read:
        return f"planned {planned}, not read yet", ""
    read = "no level" if line.level_dbm is None else f"{line.level_dbm:.0f} dBm"
    if line.level_dbm is not None and line.planned_dbm is not None:
        read += f", {round(line.level_dbm - line.planned_dbm):+d} dB"
    parts = [f"SNR {line.snr_db:.0f} dB"] if line.snr_db is not None else []
    parts += [f"{line.packets} packets"] if line.packets else []
    return f"planned {planned}, read {read}", ", ".join([*parts, line.signed or "not signed"])


def reading_lines(plan: Plan, link: LinkAssessment) -> list[ReadingLine]:
    """Return both directions of a link, as planned and as read."""
    held = {one.reading.talker_id: one for one in held_readings(plan, link)}
    ends = (link.link.from_id, link.link.to_id)
    return [
        _line(link, talker, listener, held.get(talker)) for talker, listener in (ends, ends[::-1])
    ]


def _line(
    link: LinkAssessment, talker: SiteId, listener: SiteId, held: HeldReading | None
) -> ReadingLine:
    budget, spread = link.budget, link.spread
    way = None
    if budget is not None:
        way = budget.forward if talker == link.link.from_id else budget.backward
    low = high = None
    if way is not None and spread is not None:
        expected = way.received_dbm + spread.mean_db - spread.nominal_db
        half = BAND_90 * spread.sd_db
        low, high = expected - half, expected + half
    reading = None if held is None else held.reading
    return ReadingLine(
        talker_id=talker,
        listener_id=listener,
        planned_dbm=None if way is None else way.received_dbm,
        low_dbm=low,
        high_dbm=high,
        sensitivity_dbm=None if way is None else way.sensitivity_dbm,
        level_dbm=None if reading is None else reading.level_dbm,
        snr_db=None if reading is None else reading.snr_db,
        packets=_packets(reading),
        signed=_signed(reading),
        deviations=None if held is None else held.deviations,
        is_read=held is not None,
    )


def _packets(reading: LinkReading | None) -> str:
    if reading is None or reading.delivered is None:
        return ""
    return f"{reading.packets_heard} of {reading.packets_sent}"


def _signed(reading: LinkReading | None) -> str:
    if reading is None:
        return ""
    day = "" if reading.read_on is None else f"{reading.read_on:%d %b %Y}"
    return ", ".join(part for part in (day, reading.read_by) if part)


def _order(line: ReadingLine) -> tuple[bool, float, SiteId, SiteId]:
    off = line.deviations if line.deviations is not None else 0.0
    return not line.is_read, off, line.talker_id, line.listener_id
