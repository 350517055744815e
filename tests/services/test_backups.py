from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from guyline.errors import PlanFileError
from guyline.services.backups import backup_path, backups_of, keep_backup


def save(path: Path, content: str) -> None:
    keep_backup(path)
    path.write_text(content)


def kept(path: Path) -> list[str]:
    return [backup.read_text() for backup in backups_of(path)]


def test_the_last_three_versions_are_kept_newest_first(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    for content in "abcdef":
        save(path, content)
    assert path.read_text() == "f"
    assert kept(path) == ["e", "d", "c"]
    assert sorted(os.listdir(tmp_path)) == [
        "valley.backup-1.plan.json",
        "valley.backup-2.plan.json",
        "valley.backup-3.plan.json",
        "valley.plan.json",
    ]


def test_a_plan_saved_for_the_first_time_has_no_backup(tmp_path: Path) -> None:
    save(tmp_path / "valley.plan.json", "a")
    assert kept(tmp_path / "valley.plan.json") == []


def test_saving_again_without_a_change_pushes_no_older_version_out(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    for content in "abcddddd":
        save(path, content)
    assert kept(path) == ["d", "c", "b"]


def test_another_suffix_has_its_backups_too(tmp_path: Path) -> None:
    assert backup_path(tmp_path / "valley.json", 1).name == "valley.json.backup-1.plan.json"


def test_a_full_disk_leaves_the_backups_there_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "valley.plan.json"
    for content in "abc":
        save(path, content)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PlanFileError, match=r"the disk is full"):
        keep_backup(path)
    assert kept(path) == ["b", "a"]
    assert path.read_text() == "c"


def test_a_plan_that_is_a_backup_itself_can_have_backups(tmp_path: Path) -> None:
    path = tmp_path / "valley.backup-1.plan.json"
    for content in "ab":
        save(path, content)
    assert kept(path) == ["a"]
