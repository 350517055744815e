from __future__ import annotations

import copy
import json
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings

import stories
from guyline.core.plan import Plan
from guyline.services.plan_files import FORMAT, plan_schema, plan_to_bytes
from guyline.services.resource_files import shipped
from strategies import plans

VALIDATOR = jsonschema.Draft202012Validator(plan_schema())


def test_the_shipped_schema_is_current() -> None:
    kept = (shipped("resources") / "plan.schema.json").read_text(encoding="utf-8")
    assert json.loads(kept) == plan_schema(), (
        "write it again: python tests/reference/make_plan_schema.py"
    )


def test_the_schema_itself_is_in_order() -> None:
    jsonschema.Draft202012Validator.check_schema(plan_schema())
    assert plan_schema()["$defs"]["Site"]["properties"]["antenna_agl_m"]["anyOf"][0] == {
        "type": "number",
        "minimum": 0,
        "maximum": 500,
    }


@settings(max_examples=60)
@given(plans())
def test_every_plan_that_is_written_fits_the_schema(plan: Plan) -> None:
    VALIDATOR.validate(json.loads(plan_to_bytes(plan)))


@pytest.mark.parametrize(
    ("path", "wrong"),
    [
        (("format",), FORMAT + 1),
        (("plan", "earth_k"), 0),
        (("plan", "mast"), 1),
        (("plan", "sites", 0, "position", "lat_deg"), 90.5),
        (("plan", "sites", 0, "antenna_agl_m"), "8"),
        (("plan", "sites", 0, "site_id"), "x" * 41),
        (("plan", "sites", 0, "notes"), "x" * 10_001),
        (("plan", "sites", 0, "hazards"), ["dragons"]),
        (("plan", "radio_profile", "spreading_factor"), 13),
        (("plan", "radio_profile", "bandwidth_hz"), 0),
        (("plan", "incident", "start_on"), 5),
    ],
)
def test_the_schema_refuses_what_the_program_refuses(
    path: tuple[str | int, ...], wrong: object
) -> None:
    raw: Any = json.loads(plan_to_bytes(stories.three_sites()))
    broken = copy.deepcopy(raw)
    place = broken
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = wrong
    assert VALIDATOR.is_valid(raw)
    assert not VALIDATOR.is_valid(broken)
