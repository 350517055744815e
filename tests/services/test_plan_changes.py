from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import stories
from guyline.core.plan import (
    Battery,
    ChecklistItem,
    Chemistry,
    Contact,
    Hazard,
    ItemState,
    Plan,
    Position,
    Site,
    SiteId,
)
from guyline.services.plan_changes import changes
from strategies import edited, plans

PLAN = stories.three_sites()
BEFORE = PLAN.with_site(replace(PLAN.site(stories.HILL), antenna_agl_m=8.0))
HILL = BEFORE.site(stories.HILL)


def with_hill(**fields: object) -> Plan:
    return BEFORE.with_site(replace(HILL, **fields))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("after", "told"),
    [
        (BEFORE, []),
        (with_hill(antenna_agl_m=9.5), ["HILL: antenna height above ground 8 m → 9.5 m."]),
        (with_hill(antenna_agl_m=None), ["HILL: antenna height above ground 8 m → unknown."]),
        (with_hill(hazards=frozenset({Hazard.FIRE})), ["HILL: hazards none → fire ground."]),
        (with_hill(notes="Mud."), ["HILL: notes nothing → 'Mud.'."]),
        (
            with_hill(power=replace(HILL.power, clearness=0.4 + 1e-12)),
            ["HILL, power system: clearness changed."],
        ),
        (with_hill(position=None), ["HILL: position removed."]),
        (
            with_hill(contacts=(Contact(name="Warden"),)),
            ["HILL, contacts: 'Warden' added."],
        ),
        (
            with_hill(checklist=(replace(HILL.checklist[0], state=ItemState.FITTED),)),
            [
                "HILL, checklist, 'Radio': state packed → fitted.",
                "HILL, checklist: 'Spare fuse' removed.",
                "HILL, checklist: 'Connector tape' removed.",
            ],
        ),
        (with_hill(checklist=HILL.checklist[::-1]), ["HILL: checklist in another order."]),
        (
            with_hill(power=replace(HILL.power, battery=Battery(chemistry=Chemistry.AGM))),
            [
                "HILL, power system, battery: chemistry LiFePO4 → lead-acid AGM.",
                "HILL, power system, battery: capacity 400 Wh → unknown.",
                "HILL, power system, battery: nominal voltage 12.8 V → unknown.",
                "HILL, power system, battery: health fraction 1 → unknown.",
                "HILL, power system, battery: charge fraction 0.9 → unknown.",
                "HILL, power system, battery: tested yes → unknown.",
                "HILL, power system, battery: low-voltage disconnect 12 V → unknown.",
                "HILL, power system, battery: reconnect voltage 13 V → unknown.",
            ],
        ),
        (
            BEFORE.without_sites([stories.HILL]),
            ["HILL removed.", "Link HALL - HILL removed.", "Link HILL - SHED removed."],
        ),
        (BEFORE.adding_site(Site(site_id=SiteId("MILL"))), ["MILL added."]),
        (BEFORE.renaming_site(stories.HILL, SiteId("RIDGE")), ["HILL is called RIDGE."]),
        (replace(BEFORE, needs=()), ["Need SHED to HALL removed."]),
        (replace(BEFORE, sites=BEFORE.sites[::-1]), ["Sites in another order."]),
        (replace(BEFORE, earth_k=1.0), ["Effective Earth radius factor 1.333333333 → 1."]),
        (
            replace(BEFORE, incident=replace(BEFORE.incident, mission_days=21)),
            ["incident: mission days 14 → 21."],
        ),
        (replace(BEFORE, radio_rule=None), ["Radio rule removed."]),
    ],
)
def test_a_change_is_told_in_words(after: Plan, told: list[str]) -> None:
    assert list(changes(BEFORE, after)) == told


def test_a_move_is_told_as_a_distance() -> None:
    # 0.001 degree of latitude is 111.1 m at 45 degrees (one minute is 1852 m, within 0.3 %)
    position = Position(lat_deg=-45.001, lon_deg=-29.98, source="survey", uncertainty_m=20.0)
    assert list(changes(BEFORE, with_hill(position=position))) == [
        "HILL, position: moved 111 m to -45.001°, -29.98°.",
        "HILL, position: position uncertainty 5 m → 20 m.",
    ]


def test_two_entries_of_one_name_are_told_apart() -> None:
    two = with_hill(checklist=(ChecklistItem(name="Bolt"), ChecklistItem(name="Bolt")))
    one = with_hill(checklist=(ChecklistItem(name="Bolt"),))
    assert list(changes(one, two)) == ["HILL, checklist: 'Bolt' added."]


def test_a_site_renamed_and_changed_is_told_as_one_gone_and_one_come() -> None:
    after = with_hill(antenna_agl_m=3.0).renaming_site(stories.HILL, SiteId("RIDGE"))
    told = changes(BEFORE, after)
    assert "HILL removed." in told
    assert "RIDGE added." in told


@settings(max_examples=60)
@given(plans().flatmap(lambda plan: st.tuples(st.just(plan), edited(plan) | plans())))
def test_something_is_told_exactly_when_something_differs(two: tuple[Plan, Plan]) -> None:
    one, other = two
    assert changes(one, one) == ()
    assert (changes(one, other) == ()) == (one == other)
    assert all(line.endswith(".") for line in changes(one, other))
