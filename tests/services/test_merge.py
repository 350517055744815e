from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

import stories
from guyline.core.plan import (
    ChecklistItem,
    Fact,
    Hazard,
    Link,
    Plan,
    Position,
    Site,
    SiteId,
    StockItem,
)
from guyline.services.merge import ABSENT, Conflict, merged, resolved
from guyline.services.plan_files import plan_to_bytes
from strategies import edited, plans

PLAN = stories.three_sites()
BASE = PLAN.with_site(replace(PLAN.site(stories.HILL), antenna_agl_m=8.0))
MILL = Site(site_id=SiteId("MILL"), name="The mill")


def hill(plan: Plan = BASE, **fields: object) -> Plan:
    return plan.with_site(replace(plan.site(stories.HILL), **fields))  # type: ignore[arg-type]


def only(conflicts: tuple[Conflict, ...]) -> Conflict:
    (conflict,) = conflicts
    return conflict


def test_changes_of_different_fields_are_both_taken() -> None:
    both = merged(hill(antenna_agl_m=9.0), hill(notes="Mud."), BASE)
    assert both.conflicts == ()
    assert both.plan == hill(antenna_agl_m=9.0, notes="Mud.")


def test_the_same_change_made_twice_is_no_conflict() -> None:
    assert merged(hill(antenna_agl_m=9.0), hill(antenna_agl_m=9.0), BASE).conflicts == ()


def test_two_values_for_one_field_are_a_conflict_that_can_be_decided_either_way() -> None:
    both = merged(hill(antenna_agl_m=9.0), hill(antenna_agl_m=6.0), BASE)
    conflict = only(both.conflicts)
    assert conflict.sentence == (
        "HILL, antenna height above ground: here 9 m, in the other copy 6 m, before 8 m."
    )
    assert both.plan == hill(antenna_agl_m=9.0)
    assert resolved(both.plan, conflict, conflict.theirs) == hill(antenna_agl_m=6.0)
    assert resolved(both.plan, conflict, conflict.base) == BASE


def test_a_position_is_taken_whole_and_never_half_from_each() -> None:
    here = Position(lat_deg=-45.01, lon_deg=-29.98, source="survey")
    there = Position(lat_deg=-45.0, lon_deg=-29.90, source="phone")
    both = merged(hill(position=here), hill(position=there), BASE)
    assert only(both.conflicts).sentence.startswith(
        "HILL, position: here -45.01° -29.98°, in the other copy -45° -29.9°, before"
    )
    assert both.plan == hill(position=here)
    assert resolved(both.plan, both.conflicts[0], there) == hill(position=there)


def test_what_each_added_is_there_afterwards() -> None:
    ours = BASE.adding_site(MILL)
    theirs = replace(
        BASE.adding_site(Site(site_id=SiteId("QUAY"))),
        links=(*BASE.links, Link(from_id=stories.HALL, to_id=SiteId("QUAY"))),
    )
    both = merged(ours, theirs, BASE)
    assert both.conflicts == ()
    assert {site.site_id for site in both.plan.sites} == {"HALL", "HILL", "SHED", "MILL", "QUAY"}
    assert len(both.plan.links) == 3


def test_a_site_that_one_removed_and_nobody_touched_is_gone_with_its_links() -> None:
    both = merged(BASE.without_sites([stories.HILL]), replace(BASE, earth_k=1.0), BASE)
    assert both.conflicts == ()
    assert both.plan == replace(BASE.without_sites([stories.HILL]), earth_k=1.0)


def test_a_site_that_one_removed_and_the_other_changed_is_kept_and_asked_about() -> None:
    both = merged(BASE.without_sites([stories.HILL]), hill(notes="Mud."), BASE)
    conflict = both.conflicts[0]
    assert conflict.sentence == "HILL: here removed, in the other copy kept, before kept."
    assert both.plan.site(stories.HILL).notes == "Mud."
    assert resolved(both.plan, conflict, ABSENT) == BASE.without_sites([stories.HILL])


def test_links_and_needs_come_back_with_a_site_that_is_kept_and_each_is_asked_about() -> None:
    removed = BASE.without_sites([stories.HILL])
    for ours, theirs in ((removed, hill(notes="Mud.")), (hill(notes="Mud."), removed)):
        both = merged(ours, theirs, BASE)
        assert set(both.plan.links) == set(BASE.links)
        assert set(both.plan.needs) == set(BASE.needs)
        asked = [c.place for c in both.conflicts]
        gone = len(BASE.links) - len(removed.links) + len(BASE.needs) - len(removed.needs)
        assert gone > 0
        assert len(asked) == 1 + gone
        assert asked[:2] == ["HILL", "link HALL - HILL"]
        first = both.conflicts[1]
        assert {first.told_ours, first.told_theirs} == {"kept", "removed"}
        assert len(resolved(both.plan, first, ABSENT).links) == len(BASE.links) - 1


def test_what_was_promised_to_a_site_that_is_kept_is_promised_again_and_asked_about() -> None:
    start = replace(BASE, stock=(StockItem(name="Mast", assigned_to=stories.HILL),))
    both = merged(start.without_sites([stories.HILL]), hill(start, notes="Mud."), start)
    assert both.plan.stock == start.stock
    asked = next(c for c in both.conflicts if c.field_name == "assigned_to")
    assert (asked.told_ours, asked.told_theirs) == ("free", "'HILL'")
    assert resolved(both.plan, asked, None).stock[0].assigned_to is None


def test_a_site_that_one_removed_and_the_other_linked_is_kept_and_asked_about() -> None:
    plan = BASE.adding_site(MILL)
    linked = replace(plan, links=(*plan.links, Link(from_id=MILL.site_id, to_id=stories.HALL)))
    for ours, theirs in (
        (plan.without_sites([MILL.site_id]), linked),
        (linked, plan.without_sites([MILL.site_id])),
    ):
        both = merged(ours, theirs, plan)
        site, link = both.conflicts
        assert (site.place, link.place) == ("MILL", "link HALL - MILL")
        assert both.plan.site(MILL.site_id) == MILL
        assert both.plan.links == linked.links
        assert resolved(both.plan, site, ABSENT) == BASE
        assert resolved(both.plan, link, ABSENT) == plan


def test_a_site_that_one_renamed_and_the_other_changed_is_one_site_with_both() -> None:
    ours = BASE.renaming_site(stories.HILL, SiteId("RIDGE"))
    theirs = hill(antenna_agl_m=6.0)
    for both in (merged(ours, theirs, BASE), merged(theirs, ours, BASE)):
        assert both.conflicts == ()
        assert both.plan == theirs.renaming_site(stories.HILL, SiteId("RIDGE"))


def test_a_site_that_both_renamed_is_kept_under_both_names() -> None:
    ours = BASE.renaming_site(stories.HILL, SiteId("RIDGE"))
    theirs = BASE.renaming_site(stories.HILL, SiteId("PEAK"))
    both = merged(ours, theirs, BASE)
    assert {site.site_id for site in both.plan.sites} == {"HALL", "RIDGE", "PEAK", "SHED"}


def test_entries_of_a_checklist_are_merged_one_by_one() -> None:
    items = BASE.site(stories.HILL).checklist
    ours = hill(checklist=(*items, ChecklistItem(name="Rope")))
    theirs = hill(checklist=(replace(items[0], quantity=2), items[1]))
    both = merged(ours, theirs, BASE)
    assert both.conflicts == ()
    assert both.plan.site(stories.HILL).checklist == (
        replace(items[0], quantity=2),
        items[1],
        ChecklistItem(name="Rope"),
    )


def test_a_conflict_inside_a_checklist_is_decided_in_its_place() -> None:
    items = BASE.site(stories.HILL).checklist
    ours = hill(checklist=(items[0], replace(items[1], quantity=3)))
    theirs = hill(checklist=(items[0], replace(items[1], quantity=4)))
    both = merged(ours, theirs, BASE)
    conflict = only(both.conflicts)
    assert conflict.sentence == (
        "HILL, checklist, 'Spare fuse', quantity: here 3, in the other copy 4, before 2."
    )
    assert resolved(both.plan, conflict, 4) == theirs


def test_hazards_that_either_found_are_kept() -> None:
    start = hill(hazards=frozenset({Hazard.MAINS}))
    ours = hill(hazards=frozenset({Hazard.MAINS, Hazard.FIRE}))
    theirs = hill(hazards=frozenset({Hazard.HEIGHT}))
    both = merged(ours, theirs, start)
    assert both.plan.site(stories.HILL).hazards == {Hazard.FIRE, Hazard.HEIGHT}
    without_start = merged(ours, theirs)
    assert without_start.plan.site(stories.HILL).hazards == {
        Hazard.MAINS,
        Hazard.FIRE,
        Hazard.HEIGHT,
    }


def test_a_link_drawn_from_the_other_end_is_the_same_link() -> None:
    turned = tuple(Link(from_id=link.to_id, to_id=link.from_id) for link in BASE.links)
    both = merged(BASE, replace(BASE, links=turned, earth_k=1.0))
    assert [c.field_name for c in both.conflicts] == ["earth_k"]
    assert both.plan.links == BASE.links


def test_without_the_earlier_plan_what_one_does_not_know_is_taken_from_the_other() -> None:
    ours = hill(antenna_agl_m=None, notes="Mud.")
    theirs = hill(antenna_agl_m=6.0, notes="")
    both = merged(ours, theirs)
    assert both.conflicts == ()
    assert both.plan == hill(antenna_agl_m=6.0, notes="Mud.")


def test_without_the_earlier_plan_every_other_difference_is_a_conflict() -> None:
    both = merged(hill(antenna_agl_m=9.0), hill(antenna_agl_m=6.0))
    conflict = only(both.conflicts)
    assert conflict.base is ABSENT
    assert conflict.sentence.endswith("here 9 m, in the other copy 6 m.")


def test_without_the_earlier_plan_no_entry_is_dropped() -> None:
    ours, theirs = BASE.without_sites([stories.SHED]), BASE.without_sites([stories.HALL])
    both = merged(ours, theirs)
    assert {site.site_id for site in both.plan.sites} == {"HALL", "HILL", "SHED"}
    assert {link.ends for link in both.plan.links} == {link.ends for link in BASE.links}


def test_a_permission_known_to_one_only_is_not_lost() -> None:
    site = BASE.site(stories.HILL)
    unknown = hill(permission=replace(site.permission, is_granted=Fact.UNKNOWN))
    assert merged(unknown, BASE).plan == BASE
    assert merged(BASE, unknown).plan == BASE


COPIES = plans(min_sites=1).flatmap(
    lambda base: st.tuples(edited(base), edited(base), st.just(base))
)
Copies = tuple[Plan, Plan, Plan]


@settings(max_examples=100)
@given(COPIES)
def test_who_changed_nothing_adds_nothing(copies: Copies) -> None:
    ours, _, base = copies
    for both in (merged(ours, base, base), merged(base, ours, base), merged(ours, ours, base)):
        assert both.conflicts == ()
        assert both.plan == ours
    assert merged(ours, ours).plan == ours


@settings(max_examples=60)
@given(COPIES)
def test_what_is_merged_can_always_be_saved_and_holds_every_site(copies: Copies) -> None:
    ours, theirs, base = copies
    both = merged(ours, theirs, base)
    plan_to_bytes(both.plan)
    kept = {site.site_id for site in both.plan.sites}
    for site in ours.sites + theirs.sites:
        dropped_by_one = base.has_site(site.site_id) and not (
            ours.has_site(site.site_id) and theirs.has_site(site.site_id)
        )
        assert site.site_id in kept or dropped_by_one
    assert {s.site_id for s in merged(ours, theirs).plan.sites} == {
        s.site_id for s in ours.sites + theirs.sites
    }


@settings(max_examples=60)
@given(COPIES)
def test_both_planners_are_asked_the_same_questions(copies: Copies) -> None:
    ours, theirs, base = copies
    one, other = merged(ours, theirs, base), merged(theirs, ours, base)
    asked = {(c.path, c.ours, c.theirs, c.base) for c in one.conflicts}
    assert asked == {(c.path, c.theirs, c.ours, c.base) for c in other.conflicts}


@settings(max_examples=60)
@given(COPIES)
def test_deciding_every_conflict_for_one_planner_keeps_all_that_this_one_changed(
    copies: Copies,
) -> None:
    ours, theirs, base = copies
    decided = merged(ours, theirs, base).plan
    for conflict in merged(ours, theirs, base).conflicts:
        decided = resolved(decided, conflict, conflict.theirs)
    for site in theirs.sites:
        if base.has_site(site.site_id) and decided.has_site(site.site_id):
            was = base.site(site.site_id)
            for name in ("name", "notes", "antenna_agl_m", "position", "function", "access"):
                if getattr(site, name) != getattr(was, name):
                    assert getattr(decided.site(site.site_id), name) == getattr(site, name)


@settings(max_examples=60)
@given(COPIES)
def test_without_the_earlier_plan_every_value_of_the_other_is_taken_or_asked_about(
    copies: Copies,
) -> None:
    ours, theirs, _ = copies
    both = merged(ours, theirs)
    decided = both.plan
    for conflict in both.conflicts:
        decided = resolved(decided, conflict, conflict.theirs)
    for there in theirs.sites:
        site = decided.site(there.site_id)
        for name in ("name", "notes", "antenna_agl_m", "position", "function"):
            value = getattr(there, name)
            assert value in (None, "") or getattr(site, name) == value


@settings(max_examples=60)
@given(COPIES)
def test_a_link_that_one_planner_kept_is_in_the_merged_plan_or_was_left_alone_by_both(
    copies: Copies,
) -> None:
    """Where a site that one removed is kept, none of what the other has at it is lost unseen."""
    ours, theirs, base = copies
    both = merged(ours, theirs, base)
    asked = {c.path for c in both.conflicts}
    back = {c.taken.site_id for c in both.conflicts if c.is_on_site}
    held = {link.ends for link in both.plan.links}
    for link in (*ours.links, *theirs.links):
        if link.ends & back and all(both.plan.has_site(end) for end in link.ends):
            assert link.ends in held or ("links", (link.ends, 0)) in asked
