"""Hypothesis strategies for plans and their parts.

Fields, types and limits are taken from the plan values and from the limits of the plan file,
so a new field is drawn as soon as it exists. Degrees have the decimals that a file keeps.
"""

from __future__ import annotations

from dataclasses import MISSING, fields, replace
from datetime import date
from enum import StrEnum
from typing import Any

from hypothesis import strategies as st

from guyline.core.plan import Incident, Link, Need, Plan, Position, Site, SiteId
from guyline.services.plan_files.limits import range_of
from guyline.services.plan_files.shape import FieldShape, fields_of

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
DAYS = st.dates(date(2000, 1, 1), date(2099, 12, 31))
ZONES = st.sampled_from(["UTC", "Etc/GMT-10", "Etc/GMT+3", "Antarctica/Troll"])


def site_ids() -> st.SearchStrategy[SiteId]:
    return st.text(st.sampled_from("ABCDEFGHIJ0123456789-åø"), min_size=1, max_size=8).map(SiteId)


def positions() -> st.SearchStrategy[Position]:
    return drawn(Position)


def sites(site_id: SiteId | None = None) -> st.SearchStrategy[Site]:
    chosen = site_ids() if site_id is None else st.just(site_id)
    return st.builds(lambda site, chosen: replace(site, site_id=chosen), drawn(Site), chosen)


@st.composite
def plans(draw: st.DrawFn, *, min_sites: int = 0, max_sites: int = 4) -> Plan:
    """A plan that can be saved: identifiers differ, links and needs join sites that exist."""
    names = draw(st.lists(site_ids(), min_size=min_sites, max_size=max_sites, unique=True))
    plan: Plan = draw(drawn(Plan, without=("sites", "links", "needs")))
    pairs = st.lists(st.permutations(names).map(lambda n: n[:2]), max_size=3)
    joined = draw(st.tuples(pairs, pairs)) if len(names) > 1 else ([], [])
    return replace(
        plan,
        incident=replace(draw(drawn(Incident)), time_zone=draw(ZONES)),
        sites=tuple(draw(sites(name)) for name in names),
        links=tuple(Link(from_id=a, to_id=b) for a, b in joined[0]),
        needs=tuple(replace(draw(drawn(Need)), from_id=a, to_id=b) for a, b in joined[1]),
    )


def drawn(group: type, *, without: tuple[str, ...] = ()) -> st.SearchStrategy[Any]:
    """Any value of a plan's class within the limits of the plan file."""
    chosen = {s.name: _field(group, s) for s in fields_of(group) if s.name not in without}
    return st.builds(group, **chosen)


def _field(group: type, shape: FieldShape) -> st.SearchStrategy[Any]:
    value = _value(group, shape)
    if shape.is_list:
        return st.lists(value, max_size=2).map(tuple)
    if shape.is_set:
        return st.frozensets(value, max_size=3)
    if shape.may_be_none:
        return st.none() | value
    if shape.is_group:
        return _default(group, shape.name) | value
    return value


def _value(group: type, shape: FieldShape) -> st.SearchStrategy[Any]:
    if shape.is_group:
        return drawn(shape.kind)
    if issubclass(shape.kind, StrEnum):
        return st.sampled_from(list(shape.kind))
    if shape.name == "time_zone":
        return ZONES
    if shape.kind is bool:
        return st.booleans()
    if shape.kind is date:
        return DAYS
    if shape.kind is str:
        return site_ids() if shape.name.endswith("_id") else TEXT
    return _number(group, shape)


def _number(group: type, shape: FieldShape) -> st.SearchStrategy[Any]:
    limit = range_of(group, shape.name)
    if shape.kind is int:
        return st.integers(int(limit.low) + limit.above, int(limit.high))
    number = st.floats(limit.low, limit.high, exclude_min=limit.above)
    if shape.name.endswith("_deg"):
        return number.map(lambda value: round(value, 7)).filter(limit.__contains__)
    return number


def _default(group: type, name: str) -> st.SearchStrategy[Any]:
    (field,) = [f for f in fields(group) if f.name == name]
    return st.nothing() if field.default_factory is MISSING else st.builds(field.default_factory)
