"""The packing list: what is still lacking, and what each crew carries, load by load."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from guyline.core.plan import ItemState, Plan, Site
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.bill_of_materials import BillLine, bill_of_materials
from guyline.core.readiness.packing import Load, Packed, Packing, air_class, packing_of
from guyline.services.documents.content import (
    PackedLine,
    PackedLoad,
    PackingList,
    ShortLine,
    SitePacking,
)
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest
from guyline.services.wording import counted

PACKED = (ItemState.PACKED, ItemState.FITTED)


def packing_list(plan: Plan, assessment: PlanAssessment, printing: Printing) -> PackingList:
    """What must still be got over all sites, then the loads of each site."""
    bill = bill_of_materials(plan)
    short = tuple(_short(line) for line in bill if line.lacking or line.spares_lacking)
    page = PackingList(
        imprint=imprint(plan, printing),
        summary=_summary(plan, bill),
        short=short,
        sites=tuple(_site(plan, site) for site in plan.sites if site.checklist),
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _summary(plan: Plan, bill: Iterable[BillLine]) -> str:
    lines = tuple(bill)
    bare = [site.site_id for site in plan.sites if not site.checklist]
    lacking = sum(line.lacking for line in lines)
    spares = sum(line.spares_lacking for line in lines)
    if not lines:
        return "No site has a checklist yet."
    parts = [
        f"{counted(lacking, 'piece')} lacking"
        if lacking
        else "Everything the sites need is in hand or in the store"
    ]
    parts.append(f"{counted(spares, 'spare')} lacking" if spares else "spares are complete")
    if bare:
        parts.append(f"no checklist: {', '.join(bare)}")
    return "; ".join(parts) + "."


def _short(line: BillLine) -> ShortLine:
    why = []
    if line.lacking:
        open_at = [f"{s.site_id} {s.open}" for s in line.shares if s.open]
        twice = f"{line.promised_twice} promised twice" if line.promised_twice else ""
        where = ", ".join([*open_at, *([twice] if twice else [])])
        why.append(f"{line.lacking} for sites ({where})")
    if line.spares_lacking:
        why.append(counted(line.spares_lacking, "spare"))
    return ShortLine(
        name=line.name,
        needed=line.needed,
        held=line.held,
        in_stock=None if line.in_stock is None else str(line.in_stock),
        to_get=", ".join(why),
    )


def _site(plan: Plan, site: Site) -> SitePacking:
    packing = packing_of(plan, site)
    count = len(packing.loads)
    loads = [_load(n, count, load) for n, load in enumerate(packing.loads, 1)]
    if packing.unweighed:
        title = "Not weighed yet: weigh them, then share them out"
        loads.append(PackedLoad(title=title, lines=tuple(map(_line, packing.unweighed))))
    return SitePacking(
        site_id=site.site_id, name=site.name, summary=_carriers(packing), loads=tuple(loads)
    )


def _carriers(packing: Packing) -> str:
    words = f"{packing.mass_kg:.1f} kg, {counted(packing.carriers, 'carrier')}"
    if packing.unweighed:
        words += f"; {counted(len(packing.unweighed), 'line')} not weighed"
    return words


def _load(number: int, count: int, load: Load) -> PackedLoad:
    title = f"Load {number} of {count}: {load.mass_kg:.1f} kg"
    if load.carriers > 1:
        title += ", two persons carry"
    return PackedLoad(title=title, lines=tuple(map(_line, load.lines)))


def _line(packed: Packed) -> PackedLine:
    item = packed.item
    notes = [f"serial {', '.join(packed.serials)}" if packed.serials else "", item.note]
    if packed.battery_wh is not None:
        notes.append(f"{packed.battery_wh:.0f} Wh, {air_class(packed.battery_wh)}")
    return PackedLine(
        name=item.name,
        quantity=item.quantity,
        mass=None if packed.mass_kg is None else _mass(packed.mass_kg),
        note="; ".join(note for note in notes if note),
        is_packed=item.state in PACKED,
        is_critical=item.is_critical,
    )


def _mass(mass_kg: float) -> str:
    return f"{mass_kg:.1f} kg" if mass_kg >= 0.1 else f"{1000.0 * mass_kg:.0f} g"
