"""What all checklists ask for together, held against the store, with spares."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache

from guyline.core.plan import ChecklistItem, Plan, SiteId, StockItem

# Common practice, no source: one complete radio for every five, a tenth of all connectors and
# cables, two of each form of fuse.
RADIOS_A_SPARE = 5
CABLE_SPARE_SHARE = 0.10
FUSE_SPARES = 2

_CABLE_WORDS = frozenset({"feeder", "jumper", "cable", "connector", "adapter"})
_NO_CABLE_WORDS = frozenset({"power", "mains", "charger", "network", "tape", "tie"})
_SPARE = "spare "


@lru_cache(maxsize=4096)  # a kit's names come back at every site
def item_kind(name: str) -> str:
    """What a thing is, whatever its description: "Battery, charged and tested" is a battery.

    Notes
    -----
    The words before the first comma or colon, in small letters and the singular.
    """
    words = re.split(r"[,:]", name, maxsplit=1)[0]
    return " ".join(words.casefold().split()).removesuffix("s")


def is_fuse(kind: str) -> bool:
    return not {"fuse", "fuses"}.isdisjoint(kind.split())


def is_spare(kind: str) -> bool:
    return kind.startswith(_SPARE)


def _is_cable(kind: str) -> bool:
    words = set(kind.replace("-", " ").split())
    return bool(words & _CABLE_WORDS) and not words & _NO_CABLE_WORDS


def _is_radio(kind: str) -> bool:
    return kind == "radio"


def spares_wanted(kind: str, quantity: int) -> int:
    """How many more of a kind go along than the sites need.

    Parameters
    ----------
    kind : str
        From `item_kind`.
    quantity : int
        What all sites need together.

    References
    ----------
    .. [1] Common practice, no source: one radio for every five begun, a tenth of connectors and
       cables rounded up, two of each form of fuse.
    """
    if quantity <= 0 or is_spare(kind):
        return 0
    if is_fuse(kind):
        return FUSE_SPARES
    if _is_radio(kind):
        return math.ceil(quantity / RADIOS_A_SPARE)
    return math.ceil(quantity * CABLE_SPARE_SHARE - 1e-9) if _is_cable(kind) else 0


def spare_fuses_listed(items: Iterable[ChecklistItem], kind: str) -> int:
    """Spares of a form of fuse in a checklist; "spare fuse" stands for every form."""
    spare_kinds = (_SPARE + kind, _SPARE + "fuse")
    return sum(item.quantity for item in items if item_kind(item.name) in spare_kinds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one site asks for of a kind, and what of it is in hand or put aside for it."""

    site_id: SiteId
    needed: int
    held: int
    is_critical: bool = False

    @property
    def open(self) -> int:
        """What is still to be found."""
        return max(0, self.needed - self.held)


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """One kind of thing over all sites.

    Attributes
    ----------
    in_stock
        How many the store lists; None where it lists none of the kind.
    spares_wanted, spares_listed
        By the rule for spares, and what the checklists hold as such.
    """

    kind: str
    name: str
    shares: tuple[Share, ...]
    in_stock: int | None
    spares_wanted: int
    spares_listed: int

    @property
    def needed(self) -> int:
        return sum(share.needed for share in self.shares)

    @property
    def held(self) -> int:
        """In hand, packed, fitted, or put aside in the store."""
        return sum(share.held for share in self.shares)

    @property
    def promised_twice(self) -> int:
        """How many more the sites count on than there are."""
        return 0 if self.in_stock is None else max(0, self.held - self.in_stock)

    @property
    def free(self) -> int:
        """In the store and promised to nobody."""
        return 0 if self.in_stock is None else max(0, self.in_stock - self.held)

    @property
    def lacking(self) -> int:
        """What the sites need and neither hold nor find free in the store."""
        return max(0, self._open - self.free) + self.promised_twice

    @property
    def spares_lacking(self) -> int:
        """Spares that neither a checklist nor the store has once the sites are served."""
        left = max(0, self.free - self._open)
        return max(0, self.spares_wanted - self.spares_listed - left)

    @property
    def _open(self) -> int:
        return sum(share.open for share in self.shares)


def bill_of_materials(plan: Plan) -> tuple[BillLine, ...]:
    """Everything the checklists ask for, one line a kind, in the order of the checklists."""
    counts: dict[str, _Count] = {}
    for site in plan.sites:
        for item in site.checklist:
            kind = item_kind(item.name)
            counts.setdefault(kind, _Count(name=item.name)).add(site.site_id, item)
    stock = stock_by_kind(plan)
    return tuple(_line(kind, count, stock, counts) for kind, count in counts.items())


def stock_by_kind(plan: Plan) -> dict[str, list[StockItem]]:
    """The store by kind; of rows with one serial number only the first of each site counts."""
    found: dict[str, list[StockItem]] = {}
    seen: set[tuple[str, str, SiteId | None]] = set()
    for item in plan.stock:
        kind, serial = item_kind(item.name), serial_key(item.serial)
        key = (kind, serial, item.assigned_to)
        if serial and key in seen:
            continue
        seen.add(key)
        found.setdefault(kind, []).append(item)
    return found


def serial_key(serial: str) -> str:
    """A serial number as it is compared: case and blanks do not count."""
    return "".join(serial.casefold().split())


def promised_serials(plan: Plan) -> dict[tuple[str, str], tuple[SiteId, ...]]:
    """Kind and serial number of each thing promised to two sites or more, with those sites."""
    promised: dict[tuple[str, str], list[SiteId]] = {}
    for item in plan.stock:
        serial = serial_key(item.serial)
        if serial and item.assigned_to is not None:
            sites = promised.setdefault((item_kind(item.name), serial), [])
            if item.assigned_to not in sites:
                sites.append(item.assigned_to)
    return {key: tuple(sites) for key, sites in promised.items() if len(sites) > 1}


@dataclass
class _Count:
    name: str
    needed: dict[SiteId, int] = field(default_factory=dict)
    held: dict[SiteId, int] = field(default_factory=dict)
    critical: set[SiteId] = field(default_factory=set)

    def add(self, site_id: SiteId, item: ChecklistItem) -> None:
        self.needed[site_id] = self.needed.get(site_id, 0) + item.quantity
        held = item.quantity if item.state.is_held else 0
        self.held[site_id] = self.held.get(site_id, 0) + held
        if item.is_critical:
            self.critical.add(site_id)


def _line(
    kind: str, count: _Count, stock: dict[str, list[StockItem]], counts: dict[str, _Count]
) -> BillLine:
    rows = stock.get(kind)
    aside = _assigned(rows or ())
    shares = tuple(
        Share(
            site_id=site_id,
            needed=count.needed.get(site_id, 0),
            held=max(count.held.get(site_id, 0), aside.get(site_id, 0)),
            is_critical=site_id in count.critical,
        )
        for site_id in {**count.needed, **aside}
    )
    return BillLine(
        kind=kind,
        name=count.name,
        shares=shares,
        in_stock=None if rows is None else _pieces(rows),
        spares_wanted=spares_wanted(kind, sum(count.needed.values())),
        spares_listed=_spares_listed(kind, counts),
    )


def _assigned(rows: Iterable[StockItem]) -> dict[SiteId, int]:
    aside: dict[SiteId, int] = {}
    for item in rows:
        if item.assigned_to is not None:
            aside[item.assigned_to] = aside.get(item.assigned_to, 0) + item.quantity
    return aside


def _pieces(rows: Iterable[StockItem]) -> int:
    """Pieces in the store; a serial number promised to two sites is still one piece."""
    by_serial: dict[str, int] = {}
    loose = 0
    for item in rows:
        serial = serial_key(item.serial)
        if serial:
            by_serial[serial] = max(item.quantity, by_serial.get(serial, 0))
        else:
            loose += item.quantity
    return loose + sum(by_serial.values())


def _spares_listed(kind: str, counts: dict[str, _Count]) -> int:
    spare_kinds = {_SPARE + kind, *([_SPARE + "fuse"] if is_fuse(kind) else [])}
    return sum(sum(counts[k].needed.values()) for k in spare_kinds if k in counts)
