"""What differs between two plans, told in words: the history since a review or a print."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from guyline.core import plan as p
from guyline.core.plan import Plan, Position
from guyline.services.geodesy import inverse
from guyline.services.plan_files.shape import FieldShape, fields_of
from guyline.services.plan_parts import by_key, called, renamed_sites
from guyline.services.plan_words import field_words, value_words

Place = tuple[str, ...]


def changes(before: Plan, after: Plan) -> tuple[str, ...]:
    """Return a sentence for each thing that differs, none if the plans are equal."""
    renamed = renamed_sites(before, after)
    for old, new in renamed.items():
        before = before.renaming_site(old, new)
    told = (f"{old} is called {new}." for old, new in renamed.items())
    return (*told, *_group(before, after, ()))


def _group(before: Any, after: Any, place: Place) -> Iterator[str]:
    if isinstance(before, Position) and isinstance(after, Position):
        yield from _move(before, after, place)
    for shape in fields_of(type(before)):
        old, new = getattr(before, shape.name), getattr(after, shape.name)
        if old != new and not (isinstance(before, Position) and shape.name in _ON_THE_GROUND):
            yield from _field(shape, old, new, place)


_ON_THE_GROUND = ("lat_deg", "lon_deg")


def _move(before: Position, after: Position, place: Place) -> Iterator[str]:
    if (before.lat_deg, before.lon_deg) != (after.lat_deg, after.lon_deg):
        moved = inverse(before.lat_deg, before.lon_deg, after.lat_deg, after.lon_deg)
        to = ", ".join(value_words(n, getattr(after, n)) for n in _ON_THE_GROUND)
        yield _sentence(place, f"moved {moved.distance_m:,.0f} m to {to}")


def _field(shape: FieldShape, old: Any, new: Any, place: Place) -> Iterator[str]:
    inside = (*place, field_words(shape.name))
    if shape.is_list and shape.is_group:
        yield from _list(shape, old, new, place)
    elif not shape.is_group:
        was, is_now = (value_words(shape.name, value) for value in (old, new))
        told = "changed" if was == is_now else f"{was} → {is_now}"  # long texts are cut
        yield _sentence(place, f"{inside[-1]} {told}")
    elif old is None or new is None:
        yield _sentence(place, f"{inside[-1]} {'entered' if old is None else 'removed'}")
    else:
        yield from _group(old, new, inside)


def _list(shape: FieldShape, old: Any, new: Any, place: Place) -> Iterator[str]:
    where = place if shape.kind in (p.Site, p.Link, p.Need) else (*place, field_words(shape.name))
    was, is_now = by_key(old), by_key(new)
    for key, entry in was.items():
        if key not in is_now:
            yield _sentence(where, f"{called(entry)} removed")
        elif entry != is_now[key]:
            yield from _group(entry, is_now[key], (*where, called(entry)))
    for key, entry in is_now.items():
        if key not in was:
            yield _sentence(where, f"{called(entry)} added")
    if [key for key in was if key in is_now] != [key for key in is_now if key in was]:
        yield _sentence(place, f"{field_words(shape.name)} in another order")


def _sentence(place: Place, what: str) -> str:
    return f"{', '.join(place)}: {what}." if place else f"{what[:1].upper()}{what[1:]}."
