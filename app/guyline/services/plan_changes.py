"""What differs between two plans, told in words: the history since a review or a print."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from guyline.core import plan as p
from guyline.core.plan import Plan, Position
from guyline.services.geodesy import inverse
from guyline.services.plan_files.shape import FieldShape, fields_of
from guyline.services.plan_parts import by_key, called, renamed_sites
from guyline.services.plan_words import field_words, value_words

Place = tuple[str, ...]
PLAN = "Plan"
"""Owner of what belongs to no site, link or need."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that differs; `owner` is the site, link or need that it belongs to.

    `was` and `now` are values in words, empty where the sentence says all.
    """

    owner: str = PLAN
    place: Place = ()
    what: str
    was: str = ""
    now: str = ""
    told: str

    @property
    def subject(self) -> str:
        """What changed, as seen from the owner."""
        steps = (*self.place, self.what)
        inside = steps[1:] if steps[0] == self.owner and len(steps) > 1 else steps
        return ", ".join(inside)

    @property
    def sentence(self) -> str:
        if self.place:
            return f"{', '.join(self.place)}: {self.told}."
        return f"{self.told[:1].upper()}{self.told[1:]}."


def changes(before: Plan, after: Plan) -> tuple[str, ...]:
    """Return a sentence for each thing that differs, none if the plans are equal."""
    return tuple(change.sentence for change in changes_between(before, after))


def changes_by_owner(before: Plan, after: Plan) -> dict[str, tuple[Change, ...]]:
    """Return what differs of each site, link or need, in the order of the plan."""
    found: dict[str, list[Change]] = {}
    for change in changes_between(before, after):
        found.setdefault(change.owner, []).append(change)
    return {owner: tuple(told) for owner, told in found.items()}


def changes_between(before: Plan, after: Plan) -> tuple[Change, ...]:
    """Return each thing that differs, none if the plans are equal."""
    renamed = renamed_sites(before, after)
    for old, new in renamed.items():
        before = before.renaming_site(old, new)
    told = (
        Change(owner=new, what="identifier", was=old, now=new, told=f"{old} is called {new}")
        for old, new in renamed.items()
    )
    return (*told, *_group(before, after, ()))


def _group(before: Any, after: Any, place: Place) -> Iterator[Change]:
    if isinstance(before, Position) and isinstance(after, Position):
        yield from _move(before, after, place)
    for shape in fields_of(type(before)):
        old, new = getattr(before, shape.name), getattr(after, shape.name)
        if old != new and not (isinstance(before, Position) and shape.name in _ON_THE_GROUND):
            yield from _field(shape, old, new, place)


_ON_THE_GROUND = ("lat_deg", "lon_deg")


def _move(before: Position, after: Position, place: Place) -> Iterator[Change]:
    if (before.lat_deg, before.lon_deg) != (after.lat_deg, after.lon_deg):
        moved = inverse(before.lat_deg, before.lon_deg, after.lat_deg, after.lon_deg)
        was, now = (_on_the_ground(position) for position in (before, after))
        what = f"moved {moved.distance_m:,.0f} m"
        yield Change(place=place, what=what, was=was, now=now, told=f"{what} to {now}")


def _on_the_ground(position: Position) -> str:
    return ", ".join(value_words(name, getattr(position, name)) for name in _ON_THE_GROUND)


def _field(shape: FieldShape, old: Any, new: Any, place: Place) -> Iterator[Change]:
    words = field_words(shape.name)
    if shape.is_list and shape.is_group:
        yield from _list(shape, old, new, place)
    elif not shape.is_group:
        was, now = (value_words(shape.name, value) for value in (old, new))
        told = f"{words} changed" if was == now else f"{words} {was} → {now}"  # long ones are cut
        yield Change(place=place, what=words, was=was, now=now, told=told)
    elif old is None:
        yield Change(place=place, what=words, now="entered", told=f"{words} entered")
    elif new is None:
        yield Change(place=place, what=words, now="removed", told=f"{words} removed")
    else:
        yield from _group(old, new, (*place, words))


def _list(shape: FieldShape, old: Any, new: Any, place: Place) -> Iterator[Change]:
    owns = shape.kind in (p.Site, p.Link, p.Need)
    where = place if owns else (*place, field_words(shape.name))

    def owned(entry: Any, found: Iterator[Change]) -> Iterator[Change]:
        return (replace(change, owner=called(entry)) for change in found) if owns else found

    was, is_now = by_key(old), by_key(new)
    for key, entry in was.items():
        if key not in is_now:
            yield from owned(entry, _come_or_gone(entry, where, "removed"))
        elif entry != is_now[key]:
            yield from owned(entry, _group(entry, is_now[key], (*where, called(entry))))
    for key, entry in is_now.items():
        if key not in was:
            yield from owned(entry, _come_or_gone(entry, where, "added"))
    if [key for key in was if key in is_now] != [key for key in is_now if key in was]:
        words = field_words(shape.name)
        told = f"{words} in another order"
        yield Change(place=place, what=words, now="another order", told=told)


def _come_or_gone(entry: Any, where: Place, deed: str) -> Iterator[Change]:
    yield Change(place=where, what=called(entry), now=deed, told=f"{called(entry)} {deed}")
