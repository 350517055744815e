"""Lists of places as people write them down: a name, then a position in any notation."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.errors import InputError
from guyline.services.interchange import places_of_lines


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("Hall 41 17.4 S 174 48.0 E", "Hall"),
        ("Hall: 41.29 S 174.80 E", "Hall"),
        ("Hall - 41°17.4'S 174°48.0'E", "Hall"),
        ("Hall, -41.29, 174.80", "Hall"),
        ("Hall -41.29 174.80", "Hall"),
        ("Hall\t-41.29\t174.80", "Hall"),
        ("The old hall by the river 41.29 S 174.80 E", "The old hall by the river"),
        ("Hall geo:-41.29,174.80", "Hall"),
        ("Hall 60GUV1578426715", "Hall"),
        ("41.29 S 174.80 E", ""),
        ("-41.29, 174.80", ""),
        ("41.29 S 174.80 E Hall", "Hall"),
    ],
)
def test_what_stands_beside_the_position_is_the_name(line, name):
    (place,) = places_of_lines(line).places
    assert place.name == name
    assert place.lat_deg == pytest.approx(-41.29, abs=1e-5)
    assert place.lon_deg == pytest.approx(174.80, abs=1e-4)
    assert line.split()[0] in place.source


def test_a_line_without_a_position_is_told_and_the_others_are_kept():
    read = places_of_lines("Hall 41.29 S 174.80 E\n\nask again\nHill 41.30 S 174.81 E\n")
    assert [place.name for place in read.places] == ["Hall", "Hill"]
    (problem,) = read.problems
    assert problem.startswith("Line 3: ")


@pytest.mark.parametrize("text", ["", "\n\n", "nothing here", "x" * 10_000, "1e999 1e999"])
def test_a_text_without_any_position_is_refused(text):
    with pytest.raises(InputError):
        places_of_lines(text)


def test_more_lines_than_a_plan_can_hold_are_refused():
    with pytest.raises(InputError, match="5,000"):
        places_of_lines("41.29 S 174.80 E\n" * 5_001)


@given(st.text(max_size=200))
def test_whatever_is_pasted_is_read_or_refused_with_a_sentence(text):
    with suppress(InputError):
        for place in places_of_lines(text).places:
            assert abs(place.lat_deg) <= 90.0
            assert abs(place.lon_deg) <= 180.0
