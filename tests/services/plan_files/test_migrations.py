from __future__ import annotations

import copy
from pathlib import Path

import pytest

from guyline.errors import PlanFileError
from guyline.services.plan_files.format import FORMAT
from guyline.services.plan_files.migrations import STEPS, RawFile, migrated
from guyline.services.plan_files.reading import load_plan

KEPT = Path(__file__).parents[2] / "reference" / "plans"


def heights_in_metres(raw: RawFile) -> RawFile:
    return {**raw, "plan": {"height_m": raw["plan"]["height_ft"] * 0.3048}}


def heights_in_a_list(raw: RawFile) -> RawFile:
    return {**raw, "plan": {"heights_m": [raw["plan"]["height_m"]]}}


CHAIN = {1: heights_in_metres, 2: heights_in_a_list}


def test_an_old_file_goes_through_every_step_up_to_the_newest_format() -> None:
    old: RawFile = {"format": 1, "plan": {"height_ft": 10}}
    before = copy.deepcopy(old)
    new = migrated(old, name="old", newest=3, steps=CHAIN)
    assert new == {"format": 3, "plan": {"heights_m": [3.048]}}
    assert old == before


def test_a_file_begins_at_the_step_of_its_own_format() -> None:
    old: RawFile = {"format": 2, "plan": {"height_m": 4.0}}
    assert migrated(old, name="old", newest=3, steps=CHAIN)["plan"] == {"heights_m": [4.0]}


def test_a_file_of_the_newest_format_is_returned_as_it_is() -> None:
    raw: RawFile = {"format": 3, "plan": {"anything": 1}}
    assert migrated(raw, name="new", newest=3, steps=CHAIN) is raw


def test_an_old_file_that_is_not_built_like_its_format_is_refused() -> None:
    with pytest.raises(PlanFileError, match=r"old says that it has format 1, but is not built"):
        migrated({"format": 1, "plan": []}, name="old", newest=3, steps=CHAIN)


def test_there_is_a_step_from_each_older_format() -> None:
    assert sorted(STEPS) == list(range(1, FORMAT))


def test_a_kept_sample_of_each_format_is_read() -> None:
    kept = sorted(path.name for path in KEPT.glob("format-*.plan.json"))
    assert kept == [f"format-{n}.plan.json" for n in range(1, FORMAT + 1)]
    for name in kept:
        assert len(load_plan(KEPT / name).sites) == 3
