"""Every value of a plan can be entered somewhere in the window."""

from __future__ import annotations

import typing
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest

from guyline.core.plan import Plan, Site
from guyline.viewmodels.plan_fields import PLAN_GROUPS
from guyline.viewmodels.record_lists import PLAN_LISTS, SITE_LISTS, RecordList
from guyline.viewmodels.site_fields import SITE_FIELDS

ENTERED_OTHERWISE = {
    "sites": "the table",
    "site_id": "the table",
    "hazards": "boxes of the form",
    "position.lat_deg": "the field of the position",
    "position.lon_deg": "the field of the position",
    "radio.catalogue_key": "choosing a radio",
    "antenna.catalogue_key": "choosing an antenna",
    "feeder.catalogue_key": "choosing a feeder",
}


def leaves(kind: type, before: str = "") -> Iterator[str]:
    """Yield the path of every value and list of a plan value."""
    hints = typing.get_type_hints(kind)
    for field in fields(kind):  # type: ignore[arg-type]  # every kind here is a dataclass
        hint = hints[field.name]
        inner = [t for t in (*typing.get_args(hint), hint) if is_dataclass(t)]
        is_list = typing.get_origin(hint) in (tuple, frozenset)
        if inner and not is_list:
            yield from leaves(typing.cast(type, inner[0]), f"{before}{field.name}.")
        else:
            yield f"{before}{field.name}"


def test_every_value_of_a_site_can_be_entered() -> None:
    entered = {*SITE_FIELDS, *(kind.path for kind in SITE_LISTS)}
    assert set(leaves(Site)) - entered - set(ENTERED_OTHERWISE) == set()


def test_every_value_of_a_plan_can_be_entered() -> None:
    entered = {field.path for group in PLAN_GROUPS for field in group.fields}
    entered |= {kind.path for kind in PLAN_LISTS}
    assert set(leaves(Plan)) - entered - set(ENTERED_OTHERWISE) == set()


@pytest.mark.parametrize("kind", [*SITE_LISTS, *PLAN_LISTS], ids=lambda kind: kind.title)
def test_every_value_of_a_record_has_its_column(kind: RecordList) -> None:
    owner: type = Site if kind in SITE_LISTS else Plan
    for name in kind.path.split("."):
        hint = typing.get_type_hints(owner)[name]
        options = [t for t in (*typing.get_args(hint), hint) if is_dataclass(t)]
        owner = typing.cast(type, options[0])
    assert set(leaves(owner)) == {field.path for field in kind.fields}
