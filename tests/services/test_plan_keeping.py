from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import stories
from guyline.errors import PlanFileError
from guyline.services.backups import backups_of
from guyline.services.plan_files import load_plan, save_plan
from guyline.services.plan_keeping import ChangedOnDiskError, PlanKeeper

PLAN = stories.three_sites()
EDITED = replace(PLAN, earth_k=1.0)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    save_plan(PLAN, tmp_path / "valley.plan.json")
    return tmp_path / "valley.plan.json"


def keeper_of(path: Path | None, state: Path, **options: bool) -> PlanKeeper:
    return PlanKeeper(path, state_folder=state / "state", **options)


def test_a_plan_is_opened_edited_saved_and_closed_without_a_trace(
    path: Path, tmp_path: Path
) -> None:
    keeper = keeper_of(path, tmp_path)
    assert keeper.load() == PLAN
    keeper.journal(EDITED)
    keeper.save(EDITED)
    assert os.listdir(tmp_path / "state") == []
    keeper.journal(PLAN)
    keeper.close()
    assert load_plan(path) == EDITED
    assert [load_plan(backup) for backup in backups_of(path)] == [PLAN]
    assert sorted(os.listdir(tmp_path)) == [
        "state",
        "valley.backup-1.plan.json",
        "valley.plan.json",
    ]
    assert os.listdir(tmp_path / "state") == []


def test_a_second_window_may_look_but_not_save(path: Path, tmp_path: Path) -> None:
    first, second = keeper_of(path, tmp_path), keeper_of(path, tmp_path)
    assert not first.is_read_only
    assert second.is_read_only
    assert "is open in another window" in second.notice
    assert second.load() == PLAN
    with pytest.raises(PlanFileError, match=r"is open in another window") as refused:
        second.save(EDITED)
    assert refused.value.advice == "Save it under another name."
    assert load_plan(path) == PLAN
    first.save(EDITED)
    assert load_plan(path) == EDITED


def test_who_was_taken_over_by_force_no_longer_saves(path: Path, tmp_path: Path) -> None:
    first = keeper_of(path, tmp_path)
    second = keeper_of(path, tmp_path, by_force=True)
    with pytest.raises(PlanFileError, match=r"was taken over by another window"):
        first.save(EDITED)
    second.save(EDITED)


def test_a_file_that_somebody_else_changed_is_replaced_only_when_told_to(
    path: Path, tmp_path: Path
) -> None:
    keeper = keeper_of(path, tmp_path)
    keeper.load()
    assert not keeper.has_changed_on_disk
    theirs = replace(PLAN, earth_k=0.9)
    save_plan(theirs, path)
    assert keeper.has_changed_on_disk
    with pytest.raises(ChangedOnDiskError, match=r"was changed by somebody else"):
        keeper.save(EDITED)
    assert load_plan(path) == theirs
    keeper.save(EDITED, even_if_changed=True)
    assert load_plan(path) == EDITED
    assert load_plan(backups_of(path)[0]) == theirs
    keeper.save(PLAN)


def test_a_file_that_somebody_removed_is_written_again(path: Path, tmp_path: Path) -> None:
    keeper = keeper_of(path, tmp_path)
    keeper.load()
    path.unlink()
    keeper.save(EDITED)
    assert load_plan(path) == EDITED


def test_a_full_disk_leaves_file_and_journal_and_says_so(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = keeper_of(path, tmp_path)
    keeper.journal(EDITED)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PlanFileError, match=r"valley.plan.json cannot be written: the disk is"):
        keeper.save(EDITED)
    monkeypatch.undo()
    assert load_plan(path) == PLAN
    assert len(os.listdir(tmp_path / "state")) == 1
    keeper.save(EDITED)
    assert load_plan(path) == EDITED


def test_a_backup_that_cannot_be_made_is_told_and_does_not_stop_the_save(
    path: Path, tmp_path: Path
) -> None:
    (tmp_path / "valley.backup-0.plan.json").mkdir()
    keeper = keeper_of(path, tmp_path)
    keeper.save(EDITED)
    assert keeper.notice.startswith("No backup copy was kept: valley.backup-0.plan.json cannot")
    assert load_plan(path) == EDITED


def test_on_a_read_only_medium_a_plan_can_be_looked_at(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_open = os.open

    def read_only(name: str | Path, flags: int, mode: int = 0o777) -> int:
        if flags & os.O_CREAT:
            raise OSError(errno.EROFS, "Read-only file system")
        return real_open(name, flags, mode)

    monkeypatch.setattr(os, "open", read_only)
    keeper = keeper_of(path, tmp_path)
    assert keeper.is_read_only
    assert "the medium is read-only" in keeper.notice
    assert keeper.load() == PLAN
    with pytest.raises(PlanFileError, match=r"the medium is read-only"):
        keeper.save(EDITED)
    keeper.close()


def test_a_plan_without_a_file_is_journalled_and_asks_for_a_name(tmp_path: Path) -> None:
    keeper = keeper_of(None, tmp_path)
    assert not keeper.is_read_only
    keeper.journal(PLAN)
    with pytest.raises(PlanFileError, match=r"has no file yet"):
        keeper.save(PLAN)
    assert len(os.listdir(tmp_path / "state")) == 1
    keeper.close()
    assert os.listdir(tmp_path / "state") == []


def test_a_journal_that_comes_too_late_is_not_written(path: Path, tmp_path: Path) -> None:
    keeper = keeper_of(path, tmp_path)
    too_late = keeper.journalling(EDITED)
    keeper.save(replace(PLAN, earth_k=0.9))
    too_late()
    assert not (tmp_path / "state").exists()
    in_time = keeper.journalling(EDITED)
    in_time()
    assert len(os.listdir(tmp_path / "state")) == 1
    after_closing = keeper.journalling(EDITED)
    keeper.close()
    after_closing()
    assert os.listdir(tmp_path / "state") == []


def test_after_a_crash_the_edited_plan_is_offered_unless_it_is_what_the_file_holds(
    path: Path, tmp_path: Path
) -> None:
    crashed = keeper_of(path, tmp_path)
    crashed.journal(EDITED)
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    for left in [*(tmp_path / "state").iterdir(), *tmp_path.glob(".*.lock")]:
        raw = json.loads(left.read_bytes())
        raw.get("process", raw)["pid"] = ended.pid
        left.write_text(json.dumps(raw))
    again = keeper_of(path, tmp_path)
    assert not again.is_read_only
    assert again.load() == PLAN
    unsaved = again.unsaved()
    assert unsaved is not None
    assert unsaved.plan() == EDITED
    again.save(EDITED)
    assert again.unsaved() is None
    assert os.listdir(tmp_path / "state") == []
