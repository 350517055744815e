from __future__ import annotations

import os
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

import stories
from guyline.services.plan_changes import changes
from guyline.services.plan_history import (
    Milestone,
    carry_over,
    history_folder,
    keep,
    kept,
    milestone_at,
)

PLAN = stories.three_sites()
EDITED = replace(PLAN, earth_k=1.0)


def test_what_changed_since_the_last_print_is_told(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    keep(path, Milestone.PRINTED, PLAN, tmp_path / "state")
    printed = kept(path, Milestone.PRINTED, tmp_path / "state")
    assert printed is not None
    assert printed.plan == PLAN
    assert changes(printed.plan, PLAN) == ()
    assert changes(printed.plan, EDITED) == ("Effective Earth radius factor 1.333333333 → 1.",)
    assert abs(printed.at - datetime.now().astimezone()) < timedelta(minutes=5)


def test_the_last_print_counts_and_reviews_are_counted_apart(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    keep(path, Milestone.PRINTED, PLAN, tmp_path)
    keep(path, Milestone.PRINTED, EDITED, tmp_path)
    printed = kept(path, Milestone.PRINTED, tmp_path)
    assert printed is not None
    assert printed.plan == EDITED
    assert kept(path, Milestone.REVIEWED, tmp_path) is None
    assert kept(tmp_path / "other.plan.json", Milestone.PRINTED, tmp_path) is None


@pytest.mark.parametrize("rubbish", [b"", b"[]", b"{}", b'{"at": 1, "file": 2}', b"[" * 100_000])
def test_a_record_that_cannot_be_read_counts_as_none(tmp_path: Path, rubbish: bytes) -> None:
    path = tmp_path / "valley.plan.json"
    keep(path, Milestone.PRINTED, PLAN, tmp_path / "state")
    (record,) = (tmp_path / "state").iterdir()
    record.write_bytes(rubbish)
    assert kept(path, Milestone.PRINTED, tmp_path / "state") is None


def test_milestones_are_kept_with_the_user_and_not_beside_the_plan(tmp_path: Path) -> None:
    keep(tmp_path / "valley.plan.json", Milestone.REVIEWED, PLAN)
    assert os.listdir(tmp_path) == []
    assert len(list(history_folder().iterdir())) == 1


def test_a_plan_saved_under_another_name_keeps_its_history(tmp_path: Path) -> None:
    old, new = tmp_path / "valley.plan.json", tmp_path / "copy.plan.json"
    keep(old, Milestone.REVIEWED, PLAN)
    carry_over(old, new)
    carried = kept(new, Milestone.REVIEWED)
    assert carried is not None
    assert carried.plan == PLAN
    at = milestone_at(new, Milestone.REVIEWED)
    assert at is not None
    assert abs(at - carried.at) < timedelta(minutes=5)
    assert milestone_at(new, Milestone.PRINTED) is None
