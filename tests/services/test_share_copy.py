from __future__ import annotations

from dataclasses import MISSING, fields, is_dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings

import stories
from guyline.core.plan import Contact, Permission, Plan
from guyline.services.plan_files import plan_to_bytes
from guyline.services.plan_files.shape import fields_of
from guyline.services.share_copy import MASK, masked, masked_name, share_copy
from strategies import plans


def secret_plan() -> Plan:
    plan = stories.three_sites()
    site = replace(
        plan.sites[0],
        permission=Permission(granted_by="Hall committee", key_holder="The baker, 555 0199"),
        contacts=(
            Contact(name="Warden", role="warden", phone="+00 555 0123"),
            Contact(name="Baker", role="Key holder", phone="555 0199"),
        ),
        access="Park by the shop, walk 200 m. Gate code 4711, then ring 555-0144. Track is muddy.",
        notes="Write to warden@valley.example. The padlock opens with 90210.",
        nearest_hospital="Harbour clinic, (000) 555 0177",
    )
    return replace(
        plan.with_site(site),
        incident=replace(plan.incident, planner="Planner", planner_phone="555 0100"),
        radio_profile=replace(plan.radio_profile, key_identifier="K-17"),
    )


def test_no_number_code_or_key_holder_is_in_the_file_of_a_share_copy() -> None:
    text = plan_to_bytes(share_copy(secret_plan())).decode()
    whole = plan_to_bytes(secret_plan()).decode()
    for secret in ("555", "4711", "90210", "baker", "Baker", "warden@", "0177", "K-17"):
        assert secret in whole
        assert secret not in text


def test_a_share_copy_keeps_what_the_others_need() -> None:
    plan, shared = secret_plan(), share_copy(secret_plan())
    site = shared.sites[0]
    assert (
        site.access
        == f"Park by the shop, walk 200 m. Gate code {MASK}, then ring {MASK}. Track is muddy."
    )
    assert site.contacts == (Contact(name="Warden", role="warden"),)
    assert site.permission.granted_by == "Hall committee"
    assert site.position == plan.sites[0].position
    assert shared.links == plan.links
    assert shared.radio_profile.frequency_hz == plan.radio_profile.frequency_hz
    assert shared.radio_rule == plan.radio_rule


@pytest.mark.parametrize(
    ("text", "shared"),
    [
        ("Walk 350 m, mast 12 m.", "Walk 350 m, mast 12 m."),
        ("Fuse 10 A, 240 V, 868.5 MHz.", "Fuse 10 A, 240 V, 868.5 MHz."),
        ("Code 12.", f"Code {MASK}."),
        ("Door code: blue heron; knock first", f"Door code {MASK}; knock first"),
        ("PIN 0000", f"PIN {MASK}"),
        ("Call 0123/45 67", f"Call {MASK}"),
        ("Two gates, 3 dogs", "Two gates, 3 dogs"),
        ("Mail to warden.hut@valley.example today", f"Mail to {MASK} today"),
        ("Seen on 2026-11-20", "Seen on 2026-11-20"),
        ("x" * 10_000, "x" * 10_000),
        ("", ""),
    ],
)
def test_free_text_loses_codes_and_numbers_that_can_be_called(text: str, shared: str) -> None:
    assert masked(text) == shared


@pytest.mark.parametrize(
    ("text", "shared"),
    [
        ("Hill 350", "Hill 350"),
        ("Pin Hill", "Pin Hill"),
        ("Flood of 2026-11-20", "Flood of 2026-11-20"),
        ("Hall, gate code 4711", f"Hall, gate code {MASK}"),
        ("Hall (call 0123 456 789)", f"Hall (call {MASK})"),
        ("Feeder RG-213, 10 m", "Feeder RG-213, 10 m"),
        ("hut@valley.example", MASK),
    ],
)
def test_names_lose_codes_and_long_numbers_only(text: str, shared: str) -> None:
    assert masked_name(text) == shared


def test_a_text_that_was_added_to_the_plan_later_is_masked_unless_it_is_about_things() -> None:
    """Every text of a plan with all its parts is filled; only values about things keep it."""
    secret = "Gate code 4711, ring 0123 555 0144"
    full = fill(whole_plan(), secret)
    told = {name for name, text in texts(share_copy(full)) if "4711" in text or "0144" in text}
    assert len({name for name, _ in texts(full)}) > 50
    things = ("Radio.", "BenchRecord.", "Antenna.", "Feeder.", "RadioRule.", "TerrainSource.")
    assert {name for name in told if not name.startswith(things)} <= {
        "MapLayer.path",
        "Plan.land_cover_path",
        "Plan.land_cover_licence",
        "Incident.time_zone",
    }


def whole_plan() -> Plan:
    """A plan with an entry in each of its lists, and a value for each group that may be none."""
    return whole(Plan)


def whole(kind: type) -> Any:
    made: dict[str, Any] = {}
    for shape in fields_of(kind):
        if shape.is_group:
            inside = whole(shape.kind)
            made[shape.name] = (inside,) if shape.is_list else inside
        elif shape.kind is str and not (shape.is_list or shape.is_set):
            made[shape.name] = "A"
    return kind(**{**needed(kind), **made})


def needed(kind: type) -> dict[str, Any]:
    """Return a value for each field that has no default and is no text."""
    return {
        field.name: 1.0
        for field in fields(kind)
        if field.default is MISSING and field.default_factory is MISSING
    }


def fill(group: Any, text: str) -> Any:
    """The same value with a text in each of its fields for text."""
    changed: dict[str, Any] = {}
    for field in fields(group):
        value = getattr(group, field.name)
        if type(value) is str and not field.name.endswith(("_id", "assigned_to")):
            changed[field.name] = text
        elif is_dataclass(value):
            changed[field.name] = fill(value, text)
        elif isinstance(value, tuple):
            changed[field.name] = tuple(fill(entry, text) for entry in value)
    return replace(group, **changed)


def texts(group: Any) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for field in fields(group):
        value = getattr(group, field.name)
        if type(value) is str:
            found.append((f"{type(group).__name__}.{field.name}", value))
        for inner in value if isinstance(value, tuple) else (value,):
            found += texts(inner) if is_dataclass(inner) else []
    return found


@settings(max_examples=60)
@given(plans())
def test_a_share_copy_is_a_plan_and_its_own_share_copy(plan: Plan) -> None:
    shared = share_copy(plan)
    plan_to_bytes(shared)
    assert share_copy(shared) == shared
    assert all(c.phone == "" for site in shared.sites for c in site.contacts)
    assert all(site.permission.key_holder == "" for site in shared.sites)
