"""Edits of a plan return a new one and leave the old one alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Site, SiteId
from stories import HALL, HILL, SHED, three_sites


def test_changing_a_site_shares_the_others():
    before = three_sites()
    after = before.with_site(replace(before.site(HILL), antenna_agl_m=12.0))
    assert after.site(HILL).antenna_agl_m == 12.0
    assert before.site(HILL).antenna_agl_m == 10.0
    assert after.site(HALL) is before.site(HALL)


def test_removing_a_site_removes_its_links_and_needs():
    after = three_sites().without_sites([SHED])
    assert not after.has_site(SHED)
    assert all(SHED not in link.ends for link in after.links)
    assert after.needs == ()


def test_renaming_a_site_renames_it_wherever_it_is_named():
    after = three_sites().renaming_site(SHED, SiteId("BARN"))
    assert after.has_site(SiteId("BARN"))
    assert after.needs[0].from_id == "BARN"
    assert {link.other(HILL) for link in after.links_of(HILL)} == {HALL, "BARN"}


def test_a_second_site_of_one_identifier_is_refused():
    with pytest.raises(ValueError, match="exists already"):
        three_sites().adding_site(Site(site_id=HILL))


def test_an_unknown_site_is_a_key_error():
    with pytest.raises(KeyError):
        three_sites().site(SiteId("NOWHERE"))
