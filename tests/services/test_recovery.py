from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import stories
from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files import plan_to_bytes
from guyline.services.recovery import (
    RecoveryJournal,
    recovery_folder,
    unsaved_copy,
    unsaved_plans,
)

PLAN = stories.three_sites()


def crash(folder: Path) -> None:
    """Let every journal look as if its process had ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    for journal in folder.glob("*.json"):
        entry = json.loads(journal.read_bytes())
        entry["process"]["pid"] = ended.pid
        journal.write_text(json.dumps(entry))


def test_what_was_on_the_desk_at_a_crash_is_offered(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    path.write_bytes(plan_to_bytes(PLAN))
    edited = PLAN.without_sites([stories.SHED])
    journal = RecoveryJournal(path, tmp_path / "state")
    journal.write(PLAN)
    journal.write(edited)
    crash(tmp_path / "state")
    unsaved = unsaved_copy(path, tmp_path / "state")
    assert unsaved is not None
    assert unsaved.plan() == edited
    assert unsaved.path == path.resolve()
    assert not unsaved.is_older_than_file
    unsaved.discard()
    assert unsaved_copy(path, tmp_path / "state") is None


def test_a_plan_that_never_had_a_file_is_offered_too(tmp_path: Path) -> None:
    RecoveryJournal(None, tmp_path).write(PLAN)
    crash(tmp_path)
    (unsaved,) = unsaved_plans(tmp_path)
    assert unsaved.path is None
    assert unsaved.plan() == PLAN


def test_a_plan_that_is_open_in_a_running_window_is_not_offered(tmp_path: Path) -> None:
    RecoveryJournal(None, tmp_path).write(PLAN)
    assert unsaved_plans(tmp_path) == ()


def test_a_plan_that_was_saved_or_closed_is_not_offered(tmp_path: Path) -> None:
    journal = RecoveryJournal(None, tmp_path)
    journal.write(PLAN)
    journal.discard()
    crash(tmp_path)
    assert unsaved_plans(tmp_path) == ()
    journal.discard()


def test_the_latest_is_offered_first(tmp_path: Path) -> None:
    for n, day in enumerate(("2031-06-02", "2031-06-03", "2031-06-01")):
        older = set(tmp_path.iterdir())
        RecoveryJournal(None, tmp_path).write(replace(PLAN, earth_k=1.0 + n))
        (newest,) = set(tmp_path.iterdir()) - older
        entry = {**json.loads(newest.read_text()), "written_at": f"{day}T12:00:00+00:00"}
        newest.write_text(json.dumps(entry))
    crash(tmp_path)
    assert [unsaved.plan().earth_k for unsaved in unsaved_plans(tmp_path)] == [2.0, 1.0, 3.0]


def test_a_file_saved_later_by_somebody_else_is_told(tmp_path: Path) -> None:
    path = tmp_path / "valley.plan.json"
    RecoveryJournal(path, tmp_path / "state").write(PLAN)
    crash(tmp_path / "state")
    path.write_bytes(plan_to_bytes(PLAN))
    later = path.stat().st_mtime + 60
    os.utime(path, (later, later))
    unsaved = unsaved_copy(path, tmp_path / "state")
    assert unsaved is not None
    assert unsaved.is_older_than_file


def test_a_plan_that_could_not_be_saved_is_journalled_and_its_problem_told(tmp_path: Path) -> None:
    unfit = PLAN.with_site(replace(PLAN.sites[0], antenna_agl_m=float("nan")))
    RecoveryJournal(None, tmp_path).write(unfit)
    crash(tmp_path)
    (unsaved,) = unsaved_plans(tmp_path)
    with pytest.raises(PlanFileError, match=r"sites\[0\] 'HALL': antenna height above ground"):
        unsaved.plan()
    assert unsaved.journal.exists()


@pytest.mark.parametrize(
    "rubbish", [b"", b"{", b"[]", b'{"process": 1}', b"\xff", b"[" * 100_000, b"null"]
)
def test_rubbish_in_the_folder_is_passed_over_and_left(tmp_path: Path, rubbish: bytes) -> None:
    RecoveryJournal(None, tmp_path).write(PLAN)
    crash(tmp_path)
    (tmp_path / "new-0000.json").write_bytes(rubbish)
    (unsaved,) = unsaved_plans(tmp_path)
    assert unsaved.plan() == PLAN
    assert (tmp_path / "new-0000.json").read_bytes() == rubbish


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("a file where the folder should be")
    with pytest.raises(PlanFileError, match=r"cannot be written"):
        RecoveryJournal(None, tmp_path / "state").write(PLAN)


def test_journals_stand_in_the_state_folder_of_the_user() -> None:
    RecoveryJournal(None).write(Plan())
    assert [p.suffix for p in recovery_folder().iterdir()] == [".json"]
    assert Path(os.environ["XDG_STATE_HOME"]) in recovery_folder().parents
