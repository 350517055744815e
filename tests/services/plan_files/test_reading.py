from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import stories
from guyline.core.plan import Fact, Hazard, SiteFunction
from guyline.errors import PlanFileError
from guyline.services.plan_files import load_plan, plan_from_bytes, plan_to_bytes

SAMPLE = Path(__file__).parents[2] / "reference" / "plans" / "format-1.plan.json"


def raw_three_sites() -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(plan_to_bytes(stories.three_sites()))
    return raw


def refusal_of(raw: object) -> str:
    with pytest.raises(PlanFileError) as refused:
        plan_from_bytes(json.dumps(raw).encode(), name="valley.plan.json")
    return str(refused.value)


def test_the_kept_sample_of_format_1_is_read_with_every_kind_of_value() -> None:
    plan = load_plan(SAMPLE)
    hill = plan.site(plan.sites[1].site_id)
    assert plan.incident.start_on == date(2031, 6, 1)
    assert plan.incident.mission_days == 14
    assert plan.radio_profile.spreading_factor == 10
    assert hill.function is SiteFunction.RELAY
    assert hill.hazards == {Hazard.HEIGHT, Hazard.LIGHTNING}
    assert hill.position is not None
    assert (hill.position.lat_deg, hill.position.lon_deg) == (-45.0, -29.98)
    assert hill.ground_amsl_m is None
    assert hill.permission.is_granted is Fact.YES
    assert [item.name for item in hill.checklist] == ["Radio", "Spare fuse"]
    assert plan.links[0].ends == {"HALL", "HILL"}


def test_a_file_with_nothing_but_its_format_is_a_plan_with_the_defaults() -> None:
    assert plan_from_bytes(b'{"format": 1, "plan": {}}').sites == ()


def test_the_mark_that_some_editors_put_in_front_is_passed_over() -> None:
    data = plan_to_bytes(stories.three_sites())
    assert plan_from_bytes(b"\xef\xbb\xbf" + data) == stories.three_sites()


def test_whole_numbers_are_taken_where_a_number_is_wanted() -> None:
    raw = raw_three_sites()
    raw["plan"]["sites"][0]["antenna_agl_m"] = 7
    (hall, *_) = plan_from_bytes(json.dumps(raw).encode()).sites
    assert hall.antenna_agl_m == 7.0
    assert isinstance(hall.antenna_agl_m, float)


def test_all_problems_are_told_at_once_each_with_its_place() -> None:
    raw = raw_three_sites()
    sites = raw["plan"]["sites"]
    sites[1]["antenna_agl_m"] = -3
    sites[1]["position"]["lat_deg"] = 97
    sites[1]["checklist"][0]["quantity"] = 1.5
    sites[2]["function"] = "lamp post"
    sites[2]["tower"] = 3
    raw["plan"]["radio_profile"]["spreading_factor"] = 13
    raw["plan"]["incident"]["start_on"] = "2031-02-30"
    raw["plan"]["links"][0]["to_id"] = "MILL"
    told = refusal_of(raw).splitlines()
    height = "sites[1] 'HILL': antenna height above ground (antenna_agl_m)"
    assert told[0] == "valley.plan.json cannot be opened, it has 8 problems:"
    assert set(told[1:]) == {
        f"{height} must be between 0 m and 500 m, but is -3 m.",
        "sites[1] 'HILL', position: latitude (lat_deg) must be between -90° and 90°, but is 97°.",
        "sites[1] 'HILL', checklist[0] 'Radio': quantity must be a whole number, but is 1.5.",
        "sites[2] 'SHED': function must be 'end point', 'relay' or 'gateway', but is 'lamp post'.",
        "sites[2] 'SHED': 'tower' is not a field that this version knows.",
        "radio_profile: spreading factor must be between 6 and 12, but is 13.",
        "incident: start date (start_on) must be a date such as 2026-11-25, but is '2031-02-30'.",
        "links[0]: second site (to_id) names 'MILL', and there is no such site.",
    }


def test_very_many_problems_are_counted_and_not_all_listed() -> None:
    raw = raw_three_sites()
    raw["plan"]["links"] *= 100
    raw["plan"]["sites"] = []
    raw["plan"]["needs"] = []
    told = refusal_of(raw).splitlines()
    assert told[0].endswith("it has 400 problems:")
    assert told[-1] == "... and 360 more."
    assert len(told) == 42


@pytest.mark.parametrize(
    ("group", "field", "wrong"),
    [
        ("incident", "time_zone", "Middle/Nowhere"),
        ("incident", "time_zone", "../../etc/passwd"),
        ("incident", "time_zone", "Etc"),
        ("incident", "time_zone", ""),
        ("incident", "mission_days", 0),
        ("incident", "start_on", 20310601),
        ("incident", "name", "x" * 10_001),
        ("radio_profile", "bandwidth_hz", 0),
        ("radio_profile", "bandwidth_hz", -125e3),
        ("radio_profile", "spreading_factor", 5),  # its symbols are timed otherwise
        ("radio_profile", "spreading_factor", 10.5),
        ("radio_profile", "spreading_factor", True),
        ("radio_profile", "coding_rate", 4),
        ("radio_profile", "frequency_hz", 868.5),
        ("radio_profile", "frequency_hz", "868500000"),
        ("radio_profile", "hop_limit", 10**40),
        ("radio_rule", "duty_fraction", 10),
    ],
)
def test_a_value_that_cannot_be_is_refused_by_its_name(
    group: str, field: str, wrong: object
) -> None:
    raw = raw_three_sites()
    raw["plan"][group][field] = wrong
    told = refusal_of(raw)
    assert told.startswith("valley.plan.json cannot be opened, it has one problem:")
    assert f"{group}" in told
    assert field in told or field.replace("_", " ") in told


@pytest.mark.parametrize("wrong", ["", " HILL", "HI\nLL", "x" * 41, None, 7])
def test_an_identifier_that_cannot_be_printed_is_refused(wrong: object) -> None:
    raw = raw_three_sites()
    raw["plan"]["links"], raw["plan"]["needs"] = [], []
    raw["plan"]["sites"][1]["site_id"] = wrong
    assert "identifier (site_id) must" in refusal_of(raw)


def test_two_sites_of_one_identifier_are_refused() -> None:
    raw = raw_three_sites()
    raw["plan"]["sites"].append(raw["plan"]["sites"][0])
    assert "sites[3] 'HALL': identifier (site_id) is that of sites[0] too." in refusal_of(raw)


def test_a_link_from_a_site_to_itself_is_refused() -> None:
    raw = raw_three_sites()
    raw["plan"]["links"][1]["to_id"] = "HILL"
    assert "links[1]: second site (to_id) is 'HILL' like the first." in refusal_of(raw)


def test_more_sites_than_a_plan_may_have_are_refused() -> None:
    raw = raw_three_sites()
    raw["plan"]["sites"] += [{"site_id": f"S{n}"} for n in range(4_998)]
    assert "sites must hold at most 5,000 entries." in refusal_of(raw)


def test_what_cannot_be_read_again_is_not_written() -> None:
    plan = stories.three_sites()
    lost = replace(plan, sites=(replace(plan.sites[0], antenna_agl_m=float("nan")),))
    with pytest.raises(PlanFileError) as refused:
        plan_to_bytes(lost)
    told = str(refused.value)
    assert told.startswith("The plan cannot be saved, it has ")
    assert "sites[0] 'HALL': antenna height above ground (antenna_agl_m)" in told
    assert "links[0]: second site (to_id) names 'HILL', and there is no such site." in told
