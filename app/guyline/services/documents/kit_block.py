"""What the crew takes along, with the serial and the box of each piece."""

from __future__ import annotations

from guyline.core.plan import ChecklistItem, Plan, Site
from guyline.core.readiness.packing import packing_of
from guyline.services.documents.content import KitLine


def kit_lines(plan: Plan, site: Site) -> tuple[KitLine, ...]:
    """Box by box where there are several; critical items first in each, then the plan's order."""
    boxes, serials = _boxes(plan, site)
    items = sorted(
        enumerate(site.checklist), key=lambda row: (boxes.get(row[0], 0), not row[1].is_critical)
    )
    begins = _first_of_each(boxes, [n for n, _ in items])
    return tuple(
        KitLine(
            name=item.name,
            quantity=item.quantity,
            state=item.state,
            is_critical=item.is_critical,
            note=", ".join(
                note
                for note in (
                    item.note,
                    f"no. {' '.join(serials[n])}" if serials.get(n) else "",
                    f"from here box {boxes[n]}" if n in begins else "",
                )
                if note
            ),
        )
        for n, item in items
    )


def _first_of_each(boxes: dict[int, int], order: list[int]) -> frozenset[int]:
    """The first item of each box; none where there is one box only."""
    if len(set(boxes.values())) < 2:
        return frozenset()
    first: dict[int, int] = {}
    for n in order:
        if n in boxes:
            first.setdefault(boxes[n], n)
    return frozenset(first.values())


def _boxes(plan: Plan, site: Site) -> tuple[dict[int, int], dict[int, tuple[str, ...]]]:
    """Number of the box and the serials, by the place of an item in the checklist.

    An item that is shared between boxes stands with the first of them.
    """
    packing = packing_of(plan, site)
    boxes: dict[int, int] = {}
    serials: dict[int, tuple[str, ...]] = {}
    for number, load in enumerate(packing.loads, 1):
        for packed in load.lines:
            n = _place(site, packed.item)
            boxes.setdefault(n, number)
            serials[n] = (*serials.get(n, ()), *packed.serials)
    for packed in packing.unweighed:
        serials[_place(site, packed.item)] = packed.serials
    return boxes, serials


def _place(site: Site, item: ChecklistItem) -> int:
    """Where an item stands in the checklist; parts of it differ in their quantity only."""
    return next(
        n
        for n, known in enumerate(site.checklist)
        if (known.name, known.note) == (item.name, item.note)
    )
