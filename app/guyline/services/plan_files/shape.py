"""How the plan values are built, so that no reader or writer lists their fields again."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

Path = tuple[str | int, ...]
"""Where a value stands: field names and positions in lists, from the plan inward."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldShape:
    """A field of a plan value; `kind` is the type of the value or, in a list, of its items."""

    name: str
    kind: type
    is_group: bool
    is_list: bool
    is_set: bool
    may_be_none: bool


def fields_of(group: type) -> tuple[FieldShape, ...]:
    """Return the fields of a plan value in the order in which they are written."""
    return _fields_of(group)


@cache
def _fields_of(group: type) -> tuple[FieldShape, ...]:
    hints = get_type_hints(group)
    return tuple(_shape(f.name, hints[f.name]) for f in fields(group))


def _shape(name: str, hint: Any) -> FieldShape:
    may_be_none = get_origin(hint) in (Union, UnionType)
    if may_be_none:
        (hint,) = [part for part in get_args(hint) if part is not type(None)]
    collection = get_origin(hint)
    inner = hint if collection is None else get_args(hint)[0]
    kind = getattr(inner, "__supertype__", inner)  # a type with a new name such as SiteId
    return FieldShape(
        name=name,
        kind=kind,
        is_group=is_dataclass(kind),
        is_list=collection is tuple,
        is_set=collection is frozenset,
        may_be_none=may_be_none,
    )
