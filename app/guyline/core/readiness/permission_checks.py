"""Did somebody who may say so say yes, and for long enough?"""

from __future__ import annotations

from datetime import date, timedelta

from guyline.core.plan import (
    Fact,
    Gate,
    Plan,
    Site,
)
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


def permission_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Findings about permission to use the site, how long it lasts, and who has the key."""
    granted = _granted(site)
    if site.permission.is_granted is not Fact.YES:
        return (granted,)
    return (granted, _expiry(plan, site), _key_holder(site))


def _granted(site: Site) -> Finding:
    permission = site.permission
    verdict = {
        Fact.NO: Verdict.NO_GO,
        Fact.UNKNOWN: Verdict.NOT_ASSESSED,
        Fact.YES: Verdict.GO if permission.is_written is Fact.YES else Verdict.CONDITIONS,
    }[permission.is_granted]
    what = (
        "the permission in writing"
        if permission.is_granted is Fact.YES
        else "permission from the owner"
    )
    return Finding(
        code=FindingCode.PERMISSION,
        gate=Gate.PERMISSION,
        site_id=site.site_id,
        verdict=verdict,
        quantity="permission",
        facts=(
            ("granted", str(permission.is_granted)),
            ("written", str(permission.is_written)),
            ("by", permission.granted_by),
        ),
        evidence=permission.granted_by,
        evidence_on=permission.granted_on,
        working=Working(
            formula="granted in writing: GO; by word of mouth: a condition; no answer: unknown",
            inputs=(
                Quantity(name="granted", value=str(permission.is_granted), source="plan"),
                Quantity(name="in writing", value=str(permission.is_written), source="plan"),
            ),
            source="common practice, no source",
        ),
        remedy=None
        if verdict is Verdict.GO
        else Remedy(action=RemedyAction.OBTAIN, site_id=site.site_id, what=what),
    )


def mission_end(plan: Plan) -> date | None:
    """Last day of the mission, None where start or length is unknown."""
    incident = plan.incident
    if incident.start_on is None or incident.mission_days is None:
        return None
    return incident.start_on + timedelta(days=incident.mission_days)


def _expiry(plan: Plan, site: Site) -> Finding:
    expires, end = site.permission.expires_on, mission_end(plan)
    start = plan.incident.start_on
    days = None if expires is None or start is None else float((expires - start).days)
    if days is None or end is None:
        verdict = Verdict.CONDITIONS
    elif days < 0:
        verdict = Verdict.NO_GO
    else:
        assert expires is not None
        verdict = Verdict.GO if expires >= end else Verdict.CONDITIONS
    needed = plan.incident.mission_days
    return Finding(
        code=FindingCode.PERMISSION_EXPIRY,
        gate=Gate.PERMISSION,
        site_id=site.site_id,
        verdict=verdict,
        quantity="permission lasts",
        value=days,
        limit=None if needed is None else float(needed),
        unit="days",
        comparison=Comparison.AT_LEAST,
        facts=(("expires", "" if expires is None else expires.isoformat()),),
        evidence=site.permission.granted_by,
        evidence_on=site.permission.granted_on,
        working=Working(
            formula="days from the start of the mission to the end of the permission",
            inputs=(
                Quantity(name="permission ends", value=None if expires is None else str(expires)),
                Quantity(name="mission starts", value=None if start is None else str(start)),
                Quantity(name="mission length", value=needed, unit="days"),
            ),
            source="plan",
        ),
        remedy=None
        if verdict is Verdict.GO
        else Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what="a permission that lasts to the end of the mission",
        ),
    )


def _key_holder(site: Site) -> Finding:
    holder = site.permission.key_holder.strip()
    return Finding(
        code=FindingCode.KEY_HOLDER,
        gate=Gate.PERMISSION,
        site_id=site.site_id,
        verdict=Verdict.GO if holder else Verdict.CONDITIONS,
        quantity="key or gate code",
        facts=(("holder", holder),),
        evidence="plan",
        working=Working(
            formula="somebody is named who lets the crew in, or that none is needed",
            inputs=(Quantity(name="key holder", value=holder or None, source="plan"),),
            source="common practice, no source",
        ),
        remedy=None
        if holder
        else Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="who has the key or the gate code, or that none is needed",
        ),
    )
