"""Hypothesis strategies for plans and their parts.

Fields, types and limits are taken from the plan values and from the limits of the plan file,
so a new field is drawn as soon as it exists. Degrees have the decimals that a file keeps.
"""

from __future__ import annotations

from dataclasses import MISSING, fields, is_dataclass, replace
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any

from hypothesis import strategies as st

from guyline.core.plan import (
    Incident,
    Link,
    LinkReading,
    Need,
    Plan,
    Position,
    Site,
    SiteId,
)
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
    """A plan that can be saved: identifiers differ, what joins sites joins those that exist."""
    names = draw(st.lists(site_ids(), min_size=min_sites, max_size=max_sites, unique=True))
    plan: Plan = draw(drawn(Plan, ("sites", "links", "needs", "readings")))
    pairs = st.lists(st.permutations(names).map(lambda n: n[:2]), max_size=3)
    joined = draw(st.tuples(pairs, pairs, pairs)) if len(names) > 1 else ([], [], [])
    return replace(
        plan,
        incident=replace(draw(drawn(Incident)), time_zone=draw(ZONES)),
        sites=tuple(draw(sites(name)) for name in names),
        links=tuple(Link(from_id=a, to_id=b) for a, b in joined[0]),
        needs=tuple(replace(draw(drawn(Need)), from_id=a, to_id=b) for a, b in joined[1]),
        readings=tuple(
            replace(draw(drawn(LinkReading)), talker_id=a, listener_id=b) for a, b in joined[2]
        ),
    )


@cache
def drawn(group: type, without: tuple[str, ...] = ()) -> st.SearchStrategy[Any]:
    """A value of a plan's class within the limits of the plan file, some fields as they come."""
    chosen = {s.name: _field(group, s) for s in fields_of(group) if s.name not in without}
    needed = {f.name for f in fields(group) if f.default is f.default_factory is MISSING}
    return st.fixed_dictionaries(
        {name: values for name, values in chosen.items() if name in needed},
        optional={name: values for name, values in chosen.items() if name not in needed},
    ).map(lambda values: group(**values))


@st.composite
def edited(draw: st.DrawFn, plan: Plan) -> Plan:
    """What a planner could have made of a plan: sites changed, added, removed, joined."""
    for _ in range(draw(st.integers(0, 4))):
        plan = draw(
            st.one_of([edit(plan) for edit in (_changed, _larger, _smaller, _joined, _renamed)])
        )
    return plan


def _changed(plan: Plan) -> st.SearchStrategy[Plan]:
    if not plan.sites:
        return st.builds(lambda incident: replace(plan, incident=incident), drawn(Incident))
    site = st.sampled_from(plan.sites)
    return st.builds(plan.with_site, site.flatmap(lambda s: _one_field(s)))


def _one_field(group: Any) -> st.SearchStrategy[Any]:
    """The value with another value in one field, or in one field of a part of it."""
    shapes = [s for s in fields_of(type(group)) if s.name != "site_id"]

    def change(shape: FieldShape) -> st.SearchStrategy[Any]:
        inner = getattr(group, shape.name)
        anew = _field(type(group), shape)
        if shape.is_list and shape.is_group and inner:
            first = _one_field(inner[0]).map(lambda entry: (entry, *inner[1:]))
            return anew | first
        return anew | _one_field(inner) if is_dataclass(inner) else anew

    return st.sampled_from(shapes).flatmap(
        lambda shape: change(shape).map(lambda value: replace(group, **{shape.name: value}))
    )


def _larger(plan: Plan) -> st.SearchStrategy[Plan]:
    return sites().map(
        lambda site: plan if plan.has_site(site.site_id) else plan.adding_site(site)
    )


def _smaller(plan: Plan) -> st.SearchStrategy[Plan]:
    if not plan.sites:
        return st.just(plan)
    return st.sampled_from(plan.sites).map(lambda site: plan.without_sites([site.site_id]))


def _renamed(plan: Plan) -> st.SearchStrategy[Plan]:
    if not plan.sites:
        return st.just(plan)
    old = st.sampled_from([site.site_id for site in plan.sites])
    return st.builds(
        lambda old, new: plan if plan.has_site(new) else plan.renaming_site(old, new),
        old,
        site_ids(),
    )


def _joined(plan: Plan) -> st.SearchStrategy[Plan]:
    names = [site.site_id for site in plan.sites]
    if len(names) < 2:
        return st.just(plan)
    return st.permutations(names).map(
        lambda n: replace(plan, links=(*plan.links, Link(from_id=n[0], to_id=n[1])))
    )


_EDITS = (_changed, _larger, _smaller, _joined, _renamed)


@cache
def _field(group: type, shape: FieldShape) -> st.SearchStrategy[Any]:
    value = _value(group, shape)
    if shape.is_list:
        return st.lists(value, max_size=2).map(tuple)
    if shape.is_set:
        return st.frozensets(value, max_size=3)
    if shape.may_be_none:
        return st.none() | value
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
