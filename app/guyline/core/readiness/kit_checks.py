"""Is the hardware there?"""

from __future__ import annotations

from collections.abc import Sequence

from guyline.core.plan import (
    ChecklistItem,
    Gate,
    Plan,
    Roof,
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
from guyline.core.readiness.stock_checks import spare_fuse_findings


def kit_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Findings about the hardware checklist and the radio's identifier."""
    return (
        *_checklist(site),
        *spare_fuse_findings(site),
        *_tape(site),
        _identifier(plan, site),
    )


def _tape(site: Site) -> tuple[Finding, ...]:
    """Whether tape for the joints goes along; () where they stay dry or no kit is listed."""
    if not site.checklist or site.roof is not Roof.NONE:
        return ()
    tape = [item for item in site.checklist if "tape" in item.name.casefold().replace(":", " ")]
    return (
        Finding(
            code=FindingCode.CONNECTOR_TAPE,
            gate=Gate.KIT,
            site_id=site.site_id,
            verdict=Verdict.GO if tape else Verdict.CONDITIONS,
            quantity="tape for connectors outdoors",
            evidence="checklist of the plan",
            working=Working(
                formula="the checklist of a site under open sky has tape for the connectors",
                inputs=tuple(Quantity(name=item.name, value=str(item.state)) for item in tape),
                source="industrial telemetry manual, antenna and cable page",
            ),
            remedy=None
            if tape
            else Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what="connector tape (PVC, self-amalgamating, UV-proof PVC), and list it",
            ),
        ),
    )


def _checklist(site: Site) -> tuple[Finding, ...]:
    if not site.checklist:
        return (
            Finding(
                code=FindingCode.KIT_LIST,
                gate=Gate.KIT,
                site_id=site.site_id,
                verdict=Verdict.NOT_ASSESSED,
                quantity="hardware checklist",
                remedy=Remedy(
                    action=RemedyAction.ENTER, site_id=site.site_id, what="the hardware checklist"
                ),
            ),
        )
    critical = [item for item in site.checklist if item.is_critical]
    other = [item for item in site.checklist if not item.is_critical]
    return (
        _held(site, critical, FindingCode.CRITICAL_KIT, "critical items in hand", Verdict.NO_GO),
        _held(site, other, FindingCode.OTHER_KIT, "other items in hand", Verdict.CONDITIONS),
    )


def _held(
    site: Site, items: Sequence[ChecklistItem], code: FindingCode, quantity: str, bad: Verdict
) -> Finding:
    lacking = [item for item in items if not item.state.is_held]
    names = ", ".join(f"{item.quantity} x {item.name}" for item in lacking)
    return Finding(
        code=code,
        gate=Gate.KIT,
        site_id=site.site_id,
        verdict=bad if lacking else Verdict.GO,
        quantity=quantity,
        value=float(len(items) - len(lacking)),
        limit=float(len(items)),
        unit="items",
        comparison=Comparison.AT_LEAST,
        facts=(("lacking", names),),
        evidence="checklist of the plan",
        working=Working(
            formula="items whose state is in hand, packed or fitted",
            inputs=tuple(
                Quantity(
                    name=item.name, value=str(item.state), unit=f"x {item.quantity}", source="plan"
                )
                for item in items
            ),
            source="plan",
        ),
        remedy=Remedy(action=RemedyAction.OBTAIN, site_id=site.site_id, what=names)
        if lacking
        else None,
    )


def _identifier(plan: Plan, site: Site) -> Finding:
    own = site.radio.identifier.strip().casefold()
    twins = tuple(
        s.site_id
        for s in plan.sites
        if own and s.site_id != site.site_id and s.radio.identifier.strip().casefold() == own
    )
    verdict = Verdict.NO_GO if twins else Verdict.GO if own else Verdict.CONDITIONS
    remedy = None
    if twins:
        remedy = Remedy(
            action=RemedyAction.ENTER, site_id=site.site_id, what="a radio identifier of its own"
        )
    elif not own:
        remedy = Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="the identifier read from the radio on the bench",
        )
    return Finding(
        code=FindingCode.RADIO_IDENTIFIER,
        gate=Gate.KIT,
        site_id=site.site_id,
        verdict=verdict,
        quantity="radio identifier",
        facts=(("identifier", site.radio.identifier), ("twins", ", ".join(twins))),
        evidence="plan",
        working=Working(
            formula="differs from every other radio of the plan, upper and lower case alike",
            inputs=(Quantity(name="identifier", value=site.radio.identifier or None),),
            source="plan",
        ),
        remedy=remedy,
    )
