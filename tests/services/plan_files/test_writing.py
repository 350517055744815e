from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from pydantic_core import to_json

import stories
from guyline.core.plan import Hazard, Plan, Position, Site, SiteId
from guyline.errors import PlanFileError
from guyline.services.plan_files import (
    load_plan,
    plan_digest,
    plan_from_bytes,
    plan_to_bytes,
    save_plan,
)
from guyline.services.plan_files.writing import encoded, raw_file
from strategies import plans


def one_site(**changes: object) -> Plan:
    return Plan(sites=(replace(Site(site_id=SiteId("HILL")), **changes),))  # type: ignore[arg-type]


@settings(max_examples=80)
@given(plans())
def test_a_plan_is_the_same_after_writing_and_reading(plan: Plan) -> None:
    data = plan_to_bytes(plan)
    again = plan_from_bytes(data)
    assert again == plan
    assert plan_to_bytes(again) == data


def test_a_plan_is_the_same_after_saving_and_loading(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    save_plan(stories.three_sites(), path)
    assert load_plan(path) == stories.three_sites()
    assert [entry.name for entry in tmp_path.iterdir()] == ["valley.plan.json"]


def test_the_file_reads_well_in_a_text_editor() -> None:
    lines = plan_to_bytes(one_site(name="Høyde 'αβ'")).decode("utf-8").splitlines(keepends=True)
    assert lines[:4] == ["{\n", '  "format": 1,\n', '  "plan": {\n', '    "incident": {\n']
    assert '          "name": "Høyde \'αβ\'",\n' in [
        line.replace("  " * 4, "  " * 5, 1) for line in lines
    ]
    assert lines[-1] == "}\n"


def test_sites_stand_in_the_order_of_the_plan() -> None:
    plan = stories.three_sites()
    turned = replace(plan, sites=plan.sites[::-1])
    raw = json.loads(plan_to_bytes(turned))
    assert [site["site_id"] for site in raw["plan"]["sites"]] == ["SHED", "HILL", "HALL"]


def test_degrees_are_kept_to_a_hundredth_of_a_metre_on_the_ground() -> None:
    third = one_site(position=Position(lat_deg=1 / 3, lon_deg=-0.00000001))
    (site,) = plan_from_bytes(plan_to_bytes(third)).sites
    assert site.position == Position(lat_deg=0.3333333, lon_deg=0.0)


def test_other_numbers_are_kept_to_the_last_digit() -> None:
    plan = one_site(antenna_agl_m=0.1 + 0.2)
    assert plan_from_bytes(plan_to_bytes(plan)) == plan


def test_a_set_is_written_in_one_order_whatever_order_it_has_in_memory() -> None:
    raw = json.loads(plan_to_bytes(one_site(hazards=frozenset(Hazard))))
    (site,) = raw["plan"]["sites"]
    assert site["hazards"] == sorted(hazard.value for hazard in Hazard)


def test_numbers_of_numpy_are_written_like_others() -> None:
    plan = one_site(antenna_agl_m=np.float32(2.5), payload_bytes=np.int64(40))
    assert plan_from_bytes(plan_to_bytes(plan)) == plan


def test_a_fraction_is_not_cut_off_where_a_whole_number_belongs() -> None:
    with pytest.raises(PlanFileError, match=r"payload bytes must be a whole number"):
        plan_to_bytes(one_site(payload_bytes=40.5))


def test_half_a_character_is_refused() -> None:
    with pytest.raises(PlanFileError, match=r"cannot be saved: it holds half a character"):
        plan_to_bytes(one_site(notes="gate \ud800"))


@settings(max_examples=50)
@given(plans())
def test_the_digest_is_that_of_the_plan_read_again(plan: Plan) -> None:
    assert plan_digest(plan_from_bytes(plan_to_bytes(plan))) == plan_digest(plan)


def test_the_digest_tells_plans_apart_and_does_not_ask_that_they_can_be_saved() -> None:
    plan = stories.three_sites()
    higher = plan.with_site(replace(plan.sites[0], antenna_agl_m=9.0))
    unfit = plan.with_site(replace(plan.sites[0], antenna_agl_m=float("nan"), notes="\ud800"))
    digests = {plan_digest(p) for p in (plan, higher, unfit)}
    assert len(digests) == 3
    assert all(len(d) == 8 and int(d, 16) >= 0 for d in digests)


def test_a_whole_number_and_the_same_with_a_point_are_one_plan() -> None:
    assert plan_digest(one_site(antenna_agl_m=9)) == plan_digest(one_site(antenna_agl_m=9.0))
    assert plan_digest(one_site(antenna_agl_m=-0.0)) == plan_digest(one_site(antenna_agl_m=0.0))


@settings(max_examples=60)
@given(plans())
def test_sites_encoded_one_by_one_make_the_text_that_encoding_all_at_once_makes(
    plan: Plan,
) -> None:
    """Independent implementation: pydantic_core.to_json of the whole."""
    raw = raw_file(plan)
    assert encoded(raw) == to_json(raw, indent=2, inf_nan_mode="constants") + b"\n"


def test_a_wrong_value_in_any_batch_of_sites_is_told_with_its_place() -> None:
    plan = stories.three_sites()
    site = plan.sites[0]
    many = tuple(replace(site, site_id=SiteId(f"S{n}")) for n in range(120))
    broken = replace(many[77], antenna_agl_m="high")  # type: ignore[arg-type]
    plan = replace(plan, sites=(*many[:77], broken, *many[78:]), links=(), needs=())
    with pytest.raises(PlanFileError, match=r"sites\[77\] 'S77'.*must be a number"):
        plan_to_bytes(plan)
