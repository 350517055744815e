"""The figures of service by place: who has it, how many, and who is left out."""

from __future__ import annotations

import pytest

from guyline.core.plan import Place
from guyline.services.coverage_places import PlaceServed, tally_of, uncovered


def known(
    name: str,
    people: int | None,
    served: bool | None,
    *,
    weight: float = 1.0,
    servers: int = 0,
    wanted: int = 1,
) -> PlaceServed:
    place = Place(
        name=name,
        lat_deg=0.0,
        lon_deg=0.0,
        people=people,
        weight=weight,
        servers_wanted=wanted,
    )
    return PlaceServed(place=place, is_served=served, servers=servers)


TOWN = known("Town", 900, True, servers=2)
FARM = known("Farm", 20, False)
CLINIC = known("Clinic", 40, False, weight=5.0, servers=1, wanted=2)
HUT = known("Hut", None, None)


def test_people_and_weight_served_are_summed_by_place() -> None:
    tally = tally_of([TOWN, FARM, CLINIC, HUT])
    assert (tally.needs, tally.needs_served) == (4, 1)
    assert (tally.people, tally.people_served) == (960, 900)
    assert tally.weight == 900 + 20 + 5 * 40 + 1
    assert tally.share == pytest.approx(900 / 1121)
    assert tally.words == "1 of 4 places, 900 of 960 people, 80 % by weight"


def test_without_places_there_is_nothing_to_say() -> None:
    assert tally_of([]).words == ""
    assert tally_of([]).share is None


def test_those_left_out_are_named_by_weight_and_the_unknown_are_among_them() -> None:
    assert [left.place.name for left in uncovered([TOWN, FARM, CLINIC, HUT])] == [
        "Clinic",
        "Farm",
        "Hut",
    ]


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (TOWN, "served"),
        (FARM, "in shadow"),
        (CLINIC, "served by 1 of 2 wanted"),
        (HUT, "unknown"),
    ],
)
def test_a_place_says_how_it_stands(place: PlaceServed, words: str) -> None:
    assert place.state == words
