"""Is anything promised twice, and are there spares of what breaks?"""

from __future__ import annotations

from collections.abc import Iterable

from guyline.core.plan import Gate, Plan, Site, SiteId
from guyline.core.readiness.bill_of_materials import (
    FUSE_SPARES,
    BillLine,
    Share,
    is_fuse,
    is_spare,
    item_kind,
    promised_serials,
    serial_key,
    spare_fuses_listed,
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


def stock_findings(plan: Plan, bill: Iterable[BillLine]) -> tuple[Finding, ...]:
    """What is promised twice, one finding for each site concerned; () where nothing is."""
    if not plan.stock:
        return ()
    return (*_serials(plan), *_promised(bill))


def _serials(plan: Plan) -> Iterable[Finding]:
    known = {site.site_id for site in plan.sites}
    for (kind, serial), sites in promised_serials(plan).items():
        for site_id in sites:
            if site_id in known:
                yield _serial(kind, _written(plan, serial), site_id, sites)


def _written(plan: Plan, serial: str) -> str:
    """A serial number as the store has it."""
    return next(row.serial for row in plan.stock if serial_key(row.serial) == serial)


def _serial(kind: str, serial: str, site_id: SiteId, sites: tuple[SiteId, ...]) -> Finding:
    return Finding(
        code=FindingCode.PROMISED_SERIAL,
        gate=Gate.KIT,
        site_id=site_id,
        verdict=Verdict.NO_GO,
        quantity="sites that one serial number is promised to",
        value=float(len(sites)),
        limit=1.0,
        unit="sites",
        comparison=Comparison.AT_MOST,
        facts=(
            ("item", kind),
            ("serial", serial),
            ("others", ", ".join(s for s in sites if s != site_id)),
        ),
        evidence="store of the plan",
        working=Working(
            formula="sites that rows of the store with this serial number are put aside for",
            inputs=tuple(Quantity(name="put aside for", value=s) for s in sites),
            source="plan",
        ),
        remedy=Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site_id,
            what=f"another {kind}, or put {serial} aside for one site only",
        ),
    )


def _promised(bill: Iterable[BillLine]) -> Iterable[Finding]:
    for line in bill:
        if line.promised_twice:
            yield from (_short(line, share) for share in line.shares if share.held)


def _short(line: BillLine, share: Share) -> Finding:
    assert line.in_stock is not None
    return Finding(
        code=FindingCode.PROMISED_STOCK,
        gate=Gate.KIT,
        site_id=share.site_id,
        verdict=Verdict.NO_GO if share.is_critical else Verdict.CONDITIONS,
        quantity=f"pieces promised: {line.kind}",
        value=float(line.held),
        limit=float(line.in_stock),
        unit="pieces",
        comparison=Comparison.AT_MOST,
        facts=(
            ("item", line.kind),
            ("shares", ", ".join(f"{s.site_id} {s.held}" for s in line.shares if s.held)),
        ),
        evidence="checklists and store of the plan",
        working=Working(
            formula="what sites hold or have put aside, against what the store lists",
            inputs=(
                *(
                    Quantity(name=s.site_id, value=float(s.held), unit="pieces", source="plan")
                    for s in line.shares
                ),
                Quantity(name="in the store", value=float(line.in_stock), source="plan"),
            ),
            source="plan",
        ),
        remedy=Remedy(
            action=RemedyAction.OBTAIN,
            site_id=share.site_id,
            what=f"{line.promised_twice} x {line.kind} more, or count them again",
        ),
    )


def spare_fuse_findings(site: Site) -> tuple[Finding, ...]:
    """Whether two spares of each form of fuse go along; () for a site without a battery."""
    forms = {item_kind(item.name): item.name for item in site.checklist}
    fuses = [kind for kind in forms if is_fuse(kind) and not is_spare(kind)]
    if not site.checklist or (site.power.battery is None and not fuses):
        return ()
    listed = {kind: spare_fuses_listed(site.checklist, kind) for kind in fuses or ["fuse"]}
    worst = min(listed, key=lambda kind: listed[kind])
    few = listed[worst] < FUSE_SPARES
    return (
        Finding(
            code=FindingCode.SPARE_FUSES,
            gate=Gate.KIT,
            site_id=site.site_id,
            verdict=Verdict.CONDITIONS if few else Verdict.GO,
            quantity="spares of each form of fuse",
            value=float(listed[worst]),
            limit=float(FUSE_SPARES),
            unit="fuses",
            facts=(("form", worst),),
            evidence="checklist of the plan",
            working=Working(
                formula="spares in the checklist by form; the form with the fewest counts",
                inputs=tuple(
                    Quantity(name=f"spares of {kind}", value=float(n), source="plan")
                    for kind, n in listed.items()
                ),
                source="common practice, no source: two of each form of fuse",
            ),
            remedy=Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what=f"{FUSE_SPARES - listed[worst]} x spare {worst}, and list them",
            )
            if few
            else None,
        ),
    )
