from __future__ import annotations

from collections.abc import Iterator

import pytest

from guyline.core import plan as p
from guyline.services.plan_files.limits import Range, outside_limits, range_of
from guyline.services.plan_files.shape import FieldShape, fields_of


def numbers_of(group: type) -> Iterator[tuple[type, FieldShape]]:
    for shape in fields_of(group):
        if shape.is_group:
            yield from numbers_of(shape.kind)
        elif shape.kind in (int, float):
            yield group, shape


def test_every_number_of_a_plan_has_limits_of_its_own_or_of_its_unit() -> None:
    numbers = list(numbers_of(p.Plan))
    widest = range_of(p.Plan, "a number of which nothing is known")
    assert len(numbers) > 60
    assert [(g.__name__, s.name) for g, s in numbers if range_of(g, s.name) is widest] == []


def test_a_default_lies_within_its_limits() -> None:
    site = {"site_id": "HILL"}
    assert outside_limits({"sites": [site]}) == []
    for group, shape in numbers_of(p.Plan):
        default = group.__dataclass_fields__[shape.name].default  # type: ignore[attr-defined]
        if isinstance(default, int | float):
            assert default in range_of(group, shape.name), (group, shape.name)


@pytest.mark.parametrize(
    ("value", "is_inside"), [(0.0, False), (1e-9, True), (1.0, True), (1.0000001, False)]
)
def test_a_range_that_begins_above_its_lower_end_leaves_that_out(
    value: float, is_inside: bool
) -> None:
    above = Range(0, 1, above=True)
    assert (value in above) is is_inside
    assert above.words("clearness") == "must be above 0 and at most 1"


def test_both_ends_of_a_range_are_inside() -> None:
    for latitude in (-90, 90):
        raw = {"sites": [{"position": {"lat_deg": latitude, "lon_deg": 180}}]}
        assert outside_limits(raw) == []
    raw = {"sites": [{"position": {"lat_deg": 90.0000001, "lon_deg": -180.1}}]}
    assert [path for path, _ in outside_limits(raw)] == [
        ("sites", 0, "position", "lat_deg"),
        ("sites", 0, "position", "lon_deg"),
    ]


@pytest.mark.parametrize(
    "raw", [None, 3, [], {"sites": 3}, {"sites": [None, 3, []]}, {"sites": {}}]
)
def test_what_is_built_wrong_is_passed_over(raw: object) -> None:
    assert outside_limits(raw) == []


def test_lists_have_a_longest_length() -> None:
    raw = {"sites": [{"checklist": [{}] * 501}]}
    assert outside_limits(raw) == [
        (("sites", 0, "checklist"), "must hold at most 500 entries"),
    ]
