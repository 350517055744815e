"""The communications plan: channel, stations, who hears whom, and the separate contact list."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from guyline.core.plan import Incident, Plan, Site, SiteId
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services import geodesy
from guyline.services.documents.content import (
    CommsPlan,
    DiagramEdge,
    DiagramNode,
    Field,
    LeadLine,
    Station,
)
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.power_blocks import power_verdict
from guyline.services.documents.radio_blocks import PASS_WITHIN_DB
from guyline.services.documents.revision import content_digest

READY = (Verdict.GO, Verdict.CONDITIONS)


def comms_plan(plan: Plan, assessment: PlanAssessment, printing: Printing) -> CommsPlan:
    """The communications plan as the radio plan form of incident command asks for it.

    Notes
    -----
    One channel: receive and transmit frequency are the same, the mode is digital. Keys are named
    and never printed.
    """
    nodes, unplaced = _nodes(plan, assessment)
    page = CommsPlan(
        imprint=imprint(plan, printing),
        period=_period(plan.incident),
        channel=_channel(plan),
        nodes=nodes,
        edges=tuple(
            DiagramEdge(
                ends=(known.link.from_id, known.link.to_id),
                is_kept=_is_kept(plan, known.margin_db),
            )
            for known in assessment.links
        ),
        unplaced=unplaced,
        needs=_needs(assessment),
        alarms=tuple(_alarms(plan)),
        stations=tuple(_station(plan, assessment, judged) for judged in assessment.sites),
        contacts=tuple(
            (site.site_id, contact.name, contact.role, contact.phone)
            for site in plan.sites
            for contact in sorted(site.contacts, key=lambda c: c.name)
        ),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _period(incident: Incident) -> str | None:
    if incident.start_on is None:
        return None
    start = f"{incident.start_on:%d %b %Y}"
    if incident.mission_days is None:
        return f"from {start}, end unknown"
    end = incident.start_on + timedelta(days=incident.mission_days)
    return f"{start} to {end:%d %b %Y}"


def _channel(plan: Plan) -> tuple[Field, ...]:
    profile, rule = plan.radio_profile, plan.radio_rule
    megahertz = f"{profile.frequency_hz / 1e6:.3f} MHz"
    limit = (
        None
        if rule is None
        else f"{rule.limit_dbm:g} dBm {rule.limit_kind}"
        + ("" if rule.duty_fraction is None else f", duty cycle {100 * rule.duty_fraction:g} %")
    )
    return (
        Field(label="Channel", value=profile.channel_name or None),
        Field(label="Function", value="data, all sites"),
        Field(label="Receive and transmit", value=megahertz),
        Field(label="Occupied bandwidth", value=f"{profile.bandwidth_hz / 1e3:g} kHz"),
        Field(label="Mode", value="digital"),
        Field(label="Key", value=profile.key_identifier or None, note="never the key itself"),
        Field(
            label="Spreading factor",
            value=f"{profile.spreading_factor}, coding rate 4/{profile.coding_rate}",
        ),
        Field(
            label="Hop limit",
            value=None if profile.hop_limit is None else str(profile.hop_limit),
        ),
        Field(label="Limit entered", value=limit, note="confirm with your regulator"),
        Field(label="Net control", value=plan.incident.net_control or None),
        Field(label="Emergency", value=plan.incident.emergency_phone or None),
    )


def _nodes(
    plan: Plan, assessment: PlanAssessment
) -> tuple[tuple[DiagramNode, ...], tuple[SiteId, ...]]:
    """Sites that have a position, in local metres, and the others by name."""
    placed = [site for site in plan.sites if site.position is not None]
    unplaced = tuple(site.site_id for site in plan.sites if site.position is None)
    if not placed:
        return (), unplaced
    assert placed[0].position is not None
    frame = geodesy.LocalFrame(placed[0].position.lat_deg, placed[0].position.lon_deg)
    return tuple(_node(frame, site, assessment) for site in placed), unplaced


def _node(frame: geodesy.LocalFrame, site: Site, assessment: PlanAssessment) -> DiagramNode:
    assert site.position is not None
    east, north = frame.to_xy(site.position.lat_deg, site.position.lon_deg)
    return DiagramNode(
        site_id=site.site_id,
        function=site.function,
        is_ready=assessment.site(site.site_id).verdict in READY,
        east_m=float(east),
        north_m=float(north),
    )


def _is_kept(plan: Plan, margin_db: float | None) -> bool | None:
    return None if margin_db is None else margin_db >= plan.radio_profile.required_margin_db


def _needs(assessment: PlanAssessment) -> tuple[LeadLine, ...]:
    return tuple(
        LeadLine(
            lead=f"{known.need.from_id} to {known.need.to_id}",
            line=("over " + ", ".join(known.route) if known.is_met else "NOT MET today")
            + (f": {known.need.description}" if known.need.description else ""),
        )
        for known in sorted(assessment.needs, key=lambda known: known.need.priority)
    )


def _alarms(plan: Plan) -> Iterator[LeadLine]:
    """Voltages at which a battery is on its way out; levels and silences that are no accident."""
    by_volts: dict[float, list[SiteId]] = {}
    for site in plan.sites:
        battery = site.power.battery
        if battery is not None and battery.reconnect_v is not None:
            by_volts.setdefault(battery.reconnect_v, []).append(site.site_id)
    told = [f"{volts:g} V or less at {', '.join(ids)}" for volts, ids in sorted(by_volts.items())]
    if told:
        yield LeadLine(
            lead="Battery", line="; ".join(told) + ": it will soon cut off. Send power."
        )
    yield LeadLine(
        lead="Link",
        line=f"{PASS_WITHIN_DB:.0f} dB or more under the level on the site's sheet: something"
        " moved, got wet or grew. Send somebody before it fails.",
    )
    yield LeadLine(
        lead="Silence",
        line="Two check-ins of a site missed: an outage. A crew's call missed by 30 minutes:"
        " raise the alarm.",
    )


def _station(plan: Plan, assessment: PlanAssessment, judged: SiteAssessment) -> Station:
    site = plan.site(judged.site_id)
    outlook = power_verdict(plan, judged.power) or "unknown"
    return Station(
        site_id=site.site_id,
        name=site.name,
        function=str(site.function),
        verdict=judged.verdict,
        identifier=site.radio.identifier or None,
        heard=tuple(
            known.link.other(site.site_id)
            for known in judged.links
            if _is_kept(plan, known.margin_db)
        ),
        power=f"{site.power.source}: {outlook}",
    )
