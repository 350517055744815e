"""What must hold between the values of a plan."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from zoneinfo import ZoneInfo

from guyline.services.plan_files.shape import Path
from guyline.services.plan_words import quoted

_PAIRS = {
    "links": ("from_id", "to_id"),
    "needs": ("from_id", "to_id"),
    "readings": ("talker_id", "listener_id"),
}


def broken_rules(raw_plan: object) -> Iterator[tuple[Path, str]]:
    """Yield place and complaint for whatever in a raw plan does not fit together."""
    if isinstance(raw_plan, dict):
        yield from _repeated_identifiers(raw_plan)
        yield from _loose_ends(raw_plan)
        yield from _time_zone(raw_plan)


def _repeated_identifiers(plan: dict[str, Any]) -> Iterator[tuple[Path, str]]:
    first: dict[str, int] = {}
    for n, site_id in _values(plan, "sites", "site_id"):
        if site_id in first:
            yield ("sites", n, "site_id"), f"is that of sites[{first[site_id]}] too"
        first.setdefault(site_id, n)


def _loose_ends(plan: dict[str, Any]) -> Iterator[tuple[Path, str]]:
    known = {site_id for _, site_id in _values(plan, "sites", "site_id")}
    for pairs, names in _PAIRS.items():
        ends: dict[int, str] = {}
        for end in names:
            for n, site_id in _values(plan, pairs, end):
                if site_id not in known:
                    yield (pairs, n, end), f"names {quoted(site_id)}, and there is no such site"
                elif ends.get(n) == site_id:
                    yield (pairs, n, end), f"is {quoted(site_id)} like the first"
                ends[n] = site_id


def _time_zone(plan: dict[str, Any]) -> Iterator[tuple[Path, str]]:
    incident = plan.get("incident")
    key = incident.get("time_zone") if isinstance(incident, dict) else None
    if isinstance(key, str) and not is_time_zone(key):
        wanted = "must be a time zone such as UTC or Etc/GMT-10"
        yield ("incident", "time_zone"), f"{wanted}, but is {quoted(key)}"


def is_time_zone(key: str) -> bool:
    """Tell whether this machine knows a time zone of that name."""
    try:
        ZoneInfo(key)
    except (ValueError, OSError, KeyError):  # unknown, or a path that leads elsewhere
        return False
    return True


def _values(plan: dict[str, Any], group: str, name: str) -> Iterator[tuple[int, str]]:
    """Yield position and text of one field wherever a list holds it as text."""
    items = plan.get(group)
    for n, item in enumerate(items if isinstance(items, list) else ()):
        value = item.get(name) if isinstance(item, dict) else None
        if isinstance(value, str):
            yield n, value
