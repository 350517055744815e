"""What every page says of its origin."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from guyline.core.plan import Plan
from guyline.services.documents.content import Imprint


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """The occasion: when, from which file, in which revision of the plan."""

    at: datetime
    """With its time zone."""
    plan_name: str
    revision: str


def imprint(plan: Plan, printing: Printing) -> Imprint:
    """The origin of a page; its digest is put in when the page stands."""
    incident = plan.incident
    utc = printing.at.astimezone(UTC)
    local = utc.astimezone(_zone(incident.time_zone))
    return Imprint(
        plan_name=printing.plan_name or "unsaved plan",
        incident=incident.name,
        revision=printing.revision,
        digest="",
        printed=_both_times(utc, local),
        printed_on=local.date(),
        planner=", ".join(part for part in (incident.planner, incident.planner_phone) if part),
    )


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def _both_times(utc: datetime, local: datetime) -> str:
    """Local time with its offset, which needs no table of abbreviations to read, and UTC."""
    offset = local.strftime("%z")
    if offset == "+0000":
        return f"{utc:%d %b %Y %H:%M} UTC, which is local time"
    return f"{local:%d %b %Y %H:%M} local (UTC{offset[:3]}:{offset[3:]}), {utc:%d %b %H:%M} UTC"
