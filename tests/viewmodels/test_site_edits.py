"""Adding, duplicating and linking sites."""

from __future__ import annotations

from guyline.core.plan import Fact, Plan, SiteId
from guyline.viewmodels.site_edits import new_identifier, with_copies, with_links, with_new_site
from stories import HALL, HILL, SHED, three_sites


def test_a_new_identifier_is_the_first_that_is_free() -> None:
    plan, first = with_new_site(Plan())
    assert first == "SITE-1"
    assert new_identifier(plan) == "SITE-2"
    assert new_identifier(plan.without_sites([first])) == "SITE-1"


def test_copies_stand_beside_their_models_under_their_own_names() -> None:
    plan, made = with_copies(three_sites(), [HALL, HILL])
    assert made == [SiteId("HALL-1"), SiteId("HILL-1")]
    assert plan.site(made[1]).power == plan.site(HILL).power
    assert plan.site(made[1]).position == plan.site(HILL).position


def test_a_copy_has_no_radio_permission_or_answers_of_its_model() -> None:
    plan, (made,) = with_copies(three_sites(), [HILL])
    copy = plan.site(made)
    assert copy.radio.identifier == ""
    assert copy.permission.is_granted is Fact.UNKNOWN
    assert copy.gate_records == ()


def test_links_are_added_between_all_and_none_twice() -> None:
    plan = with_links(three_sites(), [HALL, HILL, SHED])
    assert len(plan.links) == 3
    assert with_links(plan, [SHED, HALL, HILL]) == plan
