"""Names that a tired eye or a bad channel takes for one another."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Plan, Radio, Site, SiteId
from guyline.core.readiness.alike_checks import Likeness, alike, alike_findings, folded
from guyline.core.readiness.finding import FindingCode


def pair(first: str, second: str, *, by_tail: bool = True) -> Likeness | None:
    found = alike({SiteId("A"): first, SiteId("B"): second}, by_tail=by_tail)
    return dict(found.get(SiteId("A"), ())).get(SiteId("B"))


@pytest.mark.parametrize(
    ("first", "second", "likeness"),
    [
        ("u-0l", "U 01", Likeness.SAME),
        ("R0OO", "r000", Likeness.SAME),
        ("NODE-I1", "node_1l", Likeness.SAME),
        ("7f3a1234", "7f3a1243", Likeness.SWAPPED),
        ("aa01c9f2", "bb77c9f2", Likeness.TAIL),
        ("U-01", "U-10", None),  # neighbours in a running number
        ("Site 1234", "Site 1243", None),
        ("HALL-01", "HILL-01", None),  # the sign between makes two words of it
        ("HALL", "HLAL", None),
        ("", "", None),
    ],
)
def test_likeness_is_found_from_both_ends(first, second, likeness) -> None:
    assert pair(first, second) is likeness
    assert pair(second, first) is likeness


def test_tails_do_not_count_for_names_of_sites() -> None:
    assert pair("North hall", "South hall", by_tail=False) is None


@given(
    st.dictionaries(
        st.integers(0, 99).map(lambda n: SiteId(str(n))),
        st.text("o0Il1a9-", max_size=6),
        max_size=8,
    )
)
def test_sameness_agrees_with_comparing_every_pair(names) -> None:
    # oracle: every pair
    found = alike(names, by_tail=False)
    for one, own in names.items():
        same = {
            other
            for other, name in names.items()
            if other != one and folded(own) and folded(own) == folded(name)
        }
        told = {other for other, likeness in found.get(one, ()) if likeness is Likeness.SAME}
        assert told == same


def plan(*identifiers: str) -> Plan:
    return Plan(
        sites=tuple(
            Site(site_id=SiteId(f"S{n}X"), radio=Radio(identifier=identifier))
            for n, identifier in enumerate(identifiers)
        )
    )


def test_equal_identifiers_are_left_to_the_check_that_refuses_them() -> None:
    assert alike_findings(plan("U-01", "u-01 ")) == ()
    found = alike_findings(plan("U-01", "U-O1"))
    assert [f.code for f in found] == [FindingCode.RADIO_ALIKE] * 2
    assert "U-O1" in found[0].fact("others")


def test_sites_are_alike_by_identifier_or_by_name() -> None:
    by_id = replace(
        plan("1", "2"), sites=(Site(site_id=SiteId("HILL1")), Site(site_id=SiteId("HILLl")))
    )
    assert {f.code for f in alike_findings(by_id)} == {FindingCode.SITE_ALIKE}
    by_name = Plan(
        sites=(
            Site(site_id=SiteId("A"), name="Old mill"),
            Site(site_id=SiteId("B"), name="OLD MILL"),
        )
    )
    assert {f.site_id for f in alike_findings(by_name)} == {"A", "B"}


def test_ten_thousand_sites_are_compared_without_looking_at_every_pair() -> None:
    # 7919 is prime to 10 000, so no two multiples end alike; 10^8 pairs would take minutes
    many = {SiteId(str(n)): f"{n * 7919:08d}" for n in range(10_000)}
    found = alike(many, by_tail=True)
    assert {likeness for o in found.values() for _, likeness in o} <= {Likeness.SWAPPED}
