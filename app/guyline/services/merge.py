"""Brings two planners' copies of a plan together; what both changed is shown, never dropped.

With the common earlier plan, a value that one of them changed is taken, and one that both changed
differently is a conflict. Without it, a value that only one of them knows is taken, every other
difference is a conflict, and no entry of a list is left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

from guyline.core import plan as p
from guyline.core.plan import Plan, SiteId
from guyline.services.plan_files.shape import FieldShape, fields_of
from guyline.services.plan_parts import Key, by_key, called, renamed_sites
from guyline.services.plan_words import field_words, value_words


class _Absent(Enum):
    """There is no such value on that side."""

    ABSENT = "absent"


ABSENT = _Absent.ABSENT

_WHOLE = (p.Position, p.Place, p.RadioRule)
"""Values that mean nothing half from one planner and half from the other."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Something that both planners decided, and differently.

    `path` leads to it from the plan inward, by field name and by key in lists.
    A value is ABSENT where that planner has removed it, or the earlier plan did not have it.
    """

    path: tuple[str | Key, ...]
    place: str
    field_name: str
    base: Any
    ours: Any
    theirs: Any
    taken: Any

    @property
    def told_ours(self) -> str:
        """What stands here, in words."""
        return self._told(self.ours)

    @property
    def told_theirs(self) -> str:
        """What stands in the other copy, in words."""
        return self._told(self.theirs)

    @property
    def sentence(self) -> str:
        sides = f"here {self._told(self.ours)}, in the other copy {self._told(self.theirs)}"
        before = "" if self.base is ABSENT else f", before {self._told(self.base)}"
        return f"{self.place}: {sides}{before}."

    @property
    def is_on_site(self) -> bool:
        """Whether it is about a whole site that one planner has removed."""
        return isinstance(self.taken, p.Site)

    @property
    def ends(self) -> tuple[SiteId, ...]:
        """The sites without which what is decided cannot be: itself, or both ends."""
        if isinstance(self.taken, p.Site):
            return (self.taken.site_id,)
        if self.field_name == "assigned_to":
            return (self.taken,)
        return _ends_of(self.taken)

    def _told(self, value: Any) -> str:
        if value is ABSENT:
            return "removed"
        if isinstance(value, p.Position | p.Place):
            return (
                f"{value_words('lat_deg', value.lat_deg)} {value_words('lon_deg', value.lon_deg)}"
            )
        if isinstance(value, p.RadioRule):
            return f"{value.name} {value_words('limit_dbm', value.limit_dbm)} {value.limit_kind}"
        if type(value).__module__.startswith(p.__name__) and not isinstance(value, str):
            return "kept"
        return value_words(self.field_name, value)


@dataclass(frozen=True, slots=True)
class Merged:
    """The plan of both; in each conflict it holds `taken` until `resolved` says otherwise."""

    plan: Plan
    conflicts: tuple[Conflict, ...]


def merged(ours: Plan, theirs: Plan, base: Plan | None = None) -> Merged:
    """Return what two planners made of a plan, and every place where they contradict.

    `base` is the plan from which both started, None if it is lost.
    """
    if base is not None:
        base, theirs = _following_names(ours, base, theirs)
        base, ours = _following_names(theirs, base, ours)
    merging = _Merging()
    plan = merging.value((), "plan", ABSENT if base is None else base, ours, theirs)
    plan = merging.with_ends(plan, ours, theirs)
    plan = merging.with_joints(plan, ours, theirs)
    return Merged(plan, tuple(merging.conflicts))


def _following_names(renamer: Plan, base: Plan, other: Plan) -> tuple[Plan, Plan]:
    """Return the earlier plan and the other copy under the identifiers that one planner gave."""
    for old, new in renamed_sites(base, renamer).items():
        if other.has_site(old) and not other.has_site(new):
            base, other = base.renaming_site(old, new), other.renaming_site(old, new)
    return base, other


def resolved(plan: Plan, conflict: Conflict, value: Any) -> Plan:
    """Return a merged plan in which a conflict is decided for `value`; ABSENT removes it.

    A site is removed with the links and needs that end there.
    """
    if value is ABSENT and isinstance(conflict.taken, p.Site):
        return plan.without_sites([conflict.taken.site_id])
    changed: Plan = _set(plan, conflict.path, value)
    return changed


def _set(owner: Any, path: tuple[str | Key, ...], value: Any) -> Any:
    if not path:
        return value
    name, *rest = path
    assert isinstance(name, str)
    if not rest or isinstance(rest[0], str):
        return replace(owner, **{name: _set(getattr(owner, name), tuple(rest), value)})
    entries = by_key(getattr(owner, name))
    key = rest[0]
    new = _set(entries.get(key), tuple(rest[1:]), value)
    kept = {**entries, key: new}
    return replace(owner, **{name: tuple(e for e in kept.values() if e is not ABSENT)})


class _Merging:
    """Walks the three plans together and notes the conflicts."""

    def __init__(self) -> None:
        self.conflicts: list[Conflict] = []
        self._place: list[str] = []

    def value(
        self, path: tuple[str | Key, ...], name: str, base: Any, ours: Any, theirs: Any
    ) -> Any:
        """Return the value of both for one field or one entry of a list."""
        if ours == theirs or theirs == base:
            return ours
        if ours == base:
            return theirs
        if _goes_deeper(ours) and type(ours) is type(theirs):
            return self._group(path, base, ours, theirs)
        if isinstance(ours, frozenset) and isinstance(theirs, frozenset):
            return _set_of_both(base, ours, theirs)
        if base is ABSENT and _is_unknown(ours):
            return theirs
        if base is ABSENT and _is_unknown(theirs):
            return ours
        return self._conflict(path, name, base, ours, theirs)

    def _group(self, path: tuple[str | Key, ...], base: Any, ours: Any, theirs: Any) -> Any:
        if isinstance(ours, p.Link):
            theirs, base = _turned(theirs, ours), _turned(base, ours)
        fields: dict[str, Any] = {}
        for shape in fields_of(type(ours)):
            sides = [getattr(side, shape.name, ABSENT) for side in (base, ours, theirs)]
            here = (*path, shape.name)
            self._place.append(field_words(shape.name))
            if shape.is_list:
                fields[shape.name] = self._list(here, shape, *sides)
            else:
                fields[shape.name] = self.value(here, shape.name, *sides)
            self._place.pop()
        return replace(ours, **fields)

    def _list(
        self, path: tuple[str | Key, ...], shape: FieldShape, base: Any, ours: Any, theirs: Any
    ) -> Any:
        if ours == theirs or theirs == base:
            return ours
        if ours == base:
            return theirs
        was, here, there = (
            by_key(side) if side is not ABSENT else {} for side in (base, ours, theirs)
        )
        entries = {}
        for key in _order_of_both(list(was), list(here), list(there)):
            sides = [side.get(key, ABSENT) for side in (was, here, there)]
            self._place.append(called(next(s for s in reversed(sides) if s is not ABSENT)))
            entries[key] = self._entry((*path, key), shape.name, *sides)
            self._place.pop()
        return tuple(entry for entry in entries.values() if entry is not ABSENT)

    def _entry(
        self, path: tuple[str | Key, ...], name: str, base: Any, ours: Any, theirs: Any
    ) -> Any:
        if base is ABSENT and ABSENT in (ours, theirs):  # added by one of them
            return theirs if ours is ABSENT else ours
        return self.value(path, name, base, ours, theirs)

    def _conflict(
        self, path: tuple[str | Key, ...], name: str, base: Any, ours: Any, theirs: Any
    ) -> Any:
        taken = theirs if ours is ABSENT else ours
        place = _place_words(self._place)
        self.conflicts.append(Conflict(path, place, name, base, ours, theirs, taken))
        return taken

    def with_ends(self, plan: Plan, ours: Plan, theirs: Plan) -> Plan:
        """Keep a site that one planner removed while the other joined something to it."""
        for site_id in _missing_ends(plan):
            owner = ours if ours.has_site(site_id) else theirs
            if not owner.has_site(site_id):  # what is promised to a site that never was
                continue
            site = owner.site(site_id)
            here, there = (site, ABSENT) if owner is ours else (ABSENT, site)
            path = ("sites", (site_id, 0))
            self.conflicts.append(Conflict(path, site_id, "sites", site, here, there, site))
            plan = plan.adding_site(site)
        return plan

    def with_joints(self, plan: Plan, ours: Plan, theirs: Plan) -> Plan:
        """Let what hangs on a site that only one planner removed be chosen piece by piece.

        Removing a site removes its links, needs and readings too, and frees what was promised to
        it. Where the site comes back, so do they.
        """
        removed = {c.taken.site_id: c.ours is ABSENT for c in self.conflicts if c.is_on_site}
        seen = {conflict.path for conflict in self.conflicts}
        for name in ("links", "needs", "readings"):
            here, there = by_key(getattr(ours, name)), by_key(getattr(theirs, name))
            for key in dict.fromkeys([*here, *there]):
                sides = here.get(key, ABSENT), there.get(key, ABSENT)
                joint = sides[1] if sides[0] is ABSENT else sides[0]
                gone = (removed.get(end) for end in _ends_of(joint))
                is_its_loss = any(r is (sides[0] is ABSENT) for r in gone if r is not None)
                if ABSENT in sides and is_its_loss and (name, key) not in seen:
                    plan = self._with_joint(plan, name, key, sides, joint)
        here, there = by_key(ours.stock), by_key(theirs.stock)
        both = by_key(plan.stock)
        for key in (key for key in here if key in there and key in both):
            to = (here[key].assigned_to, there[key].assigned_to)
            site_id = to[1] if to[0] is None else to[0]
            path = ("stock", key, "assigned_to")
            if None in to and removed.get(site_id) is (to[0] is None) and path not in seen:
                place = f"{called(here[key])}, {field_words('assigned_to')}"
                self.conflicts.append(Conflict(path, place, path[-1], ABSENT, *to, taken=site_id))
                plan = _set(plan, path, site_id)
        return plan

    def _with_joint(
        self, plan: Plan, name: str, key: Key, sides: tuple[Any, Any], joint: Any
    ) -> Plan:
        if not all(plan.has_site(end) for end in _ends_of(joint)):
            return plan
        self.conflicts.append(
            Conflict((name, key), called(joint), name, ABSENT, *sides, taken=joint)
        )
        held = getattr(plan, name)
        fields: dict[str, Any] = {name: (*held, joint)}
        return plan if key in by_key(held) else replace(plan, **fields)


def _ends_of(joint: Any) -> tuple[SiteId, ...]:
    """Return the two sites that something is between, none for anything else."""
    if isinstance(joint, p.Link | p.Need):
        return joint.from_id, joint.to_id
    return (joint.talker_id, joint.listener_id) if isinstance(joint, p.LinkReading) else ()


def _goes_deeper(value: Any) -> bool:
    inside = type(value).__module__.startswith(p.__name__) and not isinstance(value, str)
    return inside and not isinstance(value, _WHOLE)


def _is_unknown(value: Any) -> bool:
    return value in (None, "", p.Fact.UNKNOWN, p.PowerSource.UNKNOWN)


def _set_of_both(base: Any, ours: frozenset[Any], theirs: frozenset[Any]) -> frozenset[Any]:
    removed = frozenset() if base is ABSENT else (base - ours) | (base - theirs)
    return (ours | theirs) - removed


def _turned(link: Any, like: p.Link) -> Any:
    """Return a link with its ends in the order of another, as their order has no meaning."""
    if isinstance(link, p.Link) and link.from_id == like.to_id:
        return replace(link, from_id=link.to_id, to_id=link.from_id)
    return link


def _order_of_both(was: list[Key], here: list[Key], there: list[Key]) -> Iterable[Key]:
    """Return all keys in the order of the planner who changed it, ours if both did."""
    kept = [key for key in here if key in set(was)]
    ours_moved = kept != [key for key in was if key in set(here)]
    first, second = (here, there) if ours_moved or not was else (there, here)
    return dict.fromkeys([*first, *second])


def _missing_ends(plan: Plan) -> Iterable[SiteId]:
    joints = (*plan.links, *plan.needs, *plan.readings)
    stock = [item.assigned_to for item in plan.stock if item.assigned_to is not None]
    known = {site.site_id for site in plan.sites}
    ends = (*(end for joint in joints for end in _ends_of(joint)), *stock)
    return dict.fromkeys(end for end in ends if end not in known)


def _place_words(steps: list[str]) -> str:
    """Return "HILL, antenna height above ground" for a way through the plan."""
    told = [step for step in steps if step not in ("sites", "links", "needs")]
    return ", ".join(told)
