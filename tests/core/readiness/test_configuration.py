"""The proof that radios are told apart and set as planned, held against trying every pair."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.network.effect import NeedAssessment
from guyline.core.plan import BenchRecord, Plan, Radio, RadioProfile, Site, SiteId
from guyline.core.readiness.alike_checks import folded, swapped, tail
from guyline.core.readiness.configuration import configuration
from stories import HALL, HILL, SHED, three_sites


def read_back(plan: Plan) -> Plan:
    """The plan with every radio read back just as it is planned."""
    profile = plan.radio_profile
    return plan.with_sites(
        replace(
            site,
            bench=BenchRecord(
                identifier=site.radio.identifier,
                frequency_hz=profile.frequency_hz,
                spreading_factor=profile.spreading_factor,
            ),
        )
        for site in plan.sites
    )


def with_radio(identifier: str, site_id: SiteId = HILL) -> Plan:
    plan = read_back(three_sites())
    site = plan.site(site_id)
    bench = replace(site.bench, identifier=identifier)
    radio = replace(site.radio, identifier=identifier)
    return plan.with_site(replace(site, radio=radio, bench=bench))


def test_radios_that_are_known_unlike_and_read_back_as_planned_are_proven():
    proof = configuration(read_back(three_sites()))
    assert proof.is_proven
    assert proof.as_planned == (HALL, HILL, SHED)


def test_nothing_is_proven_of_radios_that_nobody_read_back():
    proof = configuration(three_sites())
    assert not proof.is_proven
    assert proof.not_read_back == (HALL, HILL, SHED)


@pytest.mark.parametrize(
    ("identifier", "field"),
    [("hall-01 ", "same"), ("HALL-0l", "alike_radios"), ("", "unread")],
)
def test_one_radio_that_cannot_be_told_spoils_the_proof(identifier, field):
    proof = configuration(with_radio(identifier))
    assert not proof.is_proven
    named = getattr(proof, field)
    assert HILL in (named if field == "unread" else named[0])
    assert [f for f in ("unread", "same", "alike_radios") if getattr(proof, f)] == [field]


def test_a_site_named_like_another_spoils_the_proof():
    plan = read_back(three_sites())
    plan = plan.with_site(replace(plan.site(HILL), name="THE HALL"))
    assert configuration(plan).alike_sites == ((HALL, HILL),)


def test_a_setting_that_differs_is_told_of_its_site_alone():
    plan = read_back(three_sites())
    shed = plan.site(SHED)
    wrong = replace(shed, bench=replace(shed.bench, spreading_factor=7))
    proof = configuration(plan.with_site(wrong))
    assert (proof.differing, proof.as_planned) == ((SHED,), (HALL, HILL))


def test_the_longest_way_of_met_needs_is_counted_in_hops():
    plan = three_sites()
    (need,) = plan.needs
    ways = [
        NeedAssessment(need=need, is_met=True, route=(SHED, HILL, HALL)),
        NeedAssessment(need=need, is_met=False, route=()),
    ]
    assert configuration(plan, ways).longest_route == 2
    assert configuration(plan).longest_route == 0


identifiers = st.lists(st.text("AB0O1l-é", min_size=1, max_size=7), min_size=2, max_size=5)


@given(names=identifiers)
def test_every_pair_that_looks_alike_is_named_and_no_other(names):
    # oracle: every pair by itself
    ids = [SiteId(f"S{n * 37}x{chr(97 + n)}") for n in range(len(names))]
    plan = Plan(
        radio_profile=RadioProfile(),
        sites=tuple(
            Site(site_id=i, radio=Radio(identifier=name))
            for i, name in zip(ids, names, strict=True)
        ),
    )
    proof = configuration(plan)
    named = {frozenset(p) for g in (*proof.same, *proof.alike_radios) for p in combinations(g, 2)}
    for (a, one), (b, other) in combinations(zip(ids, names, strict=True), 2):
        plain = one.strip().casefold() == other.strip().casefold() != ""
        like = bool(folded(one)) and (
            folded(one) == folded(other) or folded(other) in swapped(one)
        )
        ends = bool(tail(one)) and tail(one) == tail(other)
        if plain or like or ends:
            assert frozenset((a, b)) in named
    for group in proof.same:
        assert (
            len({n.strip().casefold() for i, n in zip(ids, names, strict=True) if i in group}) == 1
        )
