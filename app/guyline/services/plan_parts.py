"""Entries of a plan's lists matched by what they are called, to compare and merge plans."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace
from typing import Any

from guyline.core import plan as p
from guyline.core.plan import Plan, SiteId
from guyline.services.plan_words import quoted

Key = tuple[Hashable, int]
"""What an entry is called, and how many of that name stand before it in its list."""

_NAMES: dict[type, Callable[[Any], Hashable]] = {
    p.Site: lambda site: site.site_id,
    p.Link: lambda link: link.ends,
    p.Need: lambda need: (need.from_id, need.to_id),
    p.ChecklistItem: lambda item: item.name,
    p.Contact: lambda contact: contact.name,
    p.StockItem: lambda item: (item.name, item.serial),
    p.ExtraLoad: lambda load: load.name,
    p.Obstacle: lambda obstacle: obstacle.name,
    p.TerrainSource: lambda source: source.path,
    p.Place: lambda place: place.name,
    p.GateRecord: lambda record: record.gate,
    p.LinkReading: lambda r: (r.talker_id, r.listener_id, r.read_on),
}


def by_key(entries: Iterable[Any]) -> dict[Key, Any]:
    """Return the entries of a list under what they are called, in their order.

    An entry of a kind without a name is called by its whole value.
    """
    seen: Counter[Hashable] = Counter()
    found: dict[Key, Any] = {}
    for entry in entries:
        name = _name(entry)
        found[name, seen[name]] = entry
        seen[name] += 1
    return found


def _name(entry: Any) -> Hashable:
    name = _NAMES.get(type(entry))
    whole: Hashable = entry
    return whole if name is None else name(entry)


def called(entry: Any) -> str:
    """Return what people call an entry: its identifier, its two ends or its name."""
    if isinstance(entry, p.Site):
        return entry.site_id
    if isinstance(entry, p.Link):
        return f"link {' - '.join(sorted(entry.ends))}"
    if isinstance(entry, p.Need):
        return f"need {entry.from_id} to {entry.to_id}"
    if isinstance(entry, p.LinkReading):
        return f"reading {entry.talker_id} to {entry.listener_id}"
    if isinstance(entry, p.StockItem):
        return quoted(f"{entry.name} {entry.serial}".strip())
    return quoted(str(_name(entry)))


def renamed_sites(before: Plan, after: Plan) -> dict[SiteId, SiteId]:
    """Return the sites that have another identifier and are otherwise as they were, old to new."""
    known, still = ({site.site_id for site in plan.sites} for plan in (before, after))
    come = {_nameless(site): site.site_id for site in after.sites if site.site_id not in known}
    gone = [site for site in before.sites if site.site_id not in still]
    pairs = ((site.site_id, come.pop(_nameless(site), None)) for site in gone)
    return {old: new for old, new in pairs if new is not None}


def _nameless(site: p.Site) -> p.Site:
    return replace(site, site_id=SiteId(""))
