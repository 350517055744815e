from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from guyline.errors import PlanFileError
from guyline.services.plan_lock import PlanInUseError, PlanLock
from guyline.services.process import ProcessMark


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "valley.plan.json"


def lock_file(path: Path) -> Path:
    return path.with_name(".valley.plan.json.lock")


def mark_of_an_ended_process() -> dict[str, str | int]:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    return {**ProcessMark.of_this_process().as_raw(), "pid": ended.pid, "since": "2031-06-01"}


def test_a_second_window_is_refused_until_the_first_lets_go(path: Path) -> None:
    first, second = PlanLock(path), PlanLock(path)
    first.take()
    with pytest.raises(PlanInUseError) as refused:
        second.take()
    assert str(refused.value).startswith(
        "valley.plan.json is open in another window on this machine, since 20"
    )
    assert f"(process {os.getpid()})" in str(refused.value)
    assert first.is_held
    assert not second.is_held
    first.release()
    second.take()
    assert second.is_held


def test_the_lock_is_gone_after_it_was_given_back(path: Path) -> None:
    lock = PlanLock(path)
    lock.take()
    assert lock_file(path).exists()
    lock.release()
    assert os.listdir(path.parent) == []


def test_the_lock_of_a_process_that_was_killed_is_taken_over(path: Path) -> None:
    lock_file(path).write_text(json.dumps(mark_of_an_ended_process()))
    lock = PlanLock(path)
    lock.take()
    assert lock.is_held
    lock.release()
    assert os.listdir(path.parent) == []


def test_the_lock_of_another_machine_is_taken_only_by_force(path: Path) -> None:
    mark = {**mark_of_an_ended_process(), "host": "other-laptop"}
    lock_file(path).write_text(json.dumps(mark))
    lock = PlanLock(path)
    with pytest.raises(PlanInUseError, match=r"another window on other-laptop, since 2031-06-01"):
        lock.take()
    lock.take(by_force=True)
    assert lock.is_held


def test_who_lost_the_lock_by_force_knows_it_and_does_not_remove_the_new_one(path: Path) -> None:
    first, second = PlanLock(path), PlanLock(path)
    first.take()
    second.take(by_force=True)
    assert not first.is_held
    first.release()
    assert second.is_held


def test_who_looks_at_an_old_lock_while_another_takes_it_over_leaves_the_new_one_alone(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock_file(path).write_text(json.dumps(mark_of_an_ended_process()))
    quick, slow = PlanLock(path), PlanLock(path)
    look = PlanLock._refuse_if_in_use

    def look_and_be_overtaken(lock: PlanLock, found: bytes) -> None:
        look(lock, found)
        if lock is slow and not quick.is_held:
            quick.take()

    monkeypatch.setattr(PlanLock, "_refuse_if_in_use", look_and_be_overtaken)
    with pytest.raises(PlanInUseError):
        slow.take()
    assert quick.is_held
    assert not slow.is_held


@pytest.mark.parametrize("rubbish", [b"", b"\xff", b"[]", b'{"pid": "x"}', b"{" * 100_000])
def test_a_lock_cut_off_by_a_crash_is_taken_over_but_not_one_that_is_being_written(
    path: Path, rubbish: bytes
) -> None:
    lock_file(path).write_bytes(rubbish)
    lock = PlanLock(path)
    with pytest.raises(PlanInUseError, match=r"just being opened"):
        lock.take()
    earlier = time.time() - 60
    os.utime(lock_file(path), (earlier, earlier))
    lock.take()
    assert lock.is_held


def test_a_stick_that_knows_no_links_has_locks_too(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*args: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    first, second = PlanLock(path), PlanLock(path)
    first.take()
    with pytest.raises(PlanInUseError):
        second.take()
    assert first.is_held
    first.release()
    assert os.listdir(path.parent) == []


@pytest.mark.skipif(os.name != "posix", reason="links want rights on this system")
def test_a_link_to_the_plan_has_the_same_lock(path: Path, tmp_path: Path) -> None:
    path.write_text("{}")
    link = tmp_path / "link.plan.json"
    link.symlink_to(path)
    PlanLock(path).take()
    with pytest.raises(PlanInUseError):
        PlanLock(link).take()


def test_on_a_read_only_medium_there_is_no_lock(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read_only(*args: object) -> int:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(os, "open", read_only)
    lock = PlanLock(path)
    with pytest.raises(PlanFileError, match=r"the medium is read-only"):
        lock.take()
    assert not lock.is_held


def test_of_many_windows_that_open_a_plan_at_once_after_a_crash_exactly_one_gets_it(
    path: Path,
) -> None:
    lock_file(path).write_text(json.dumps(mark_of_an_ended_process()))
    code = (
        "import sys, time; from pathlib import Path\n"
        "from guyline.services.plan_lock import PlanInUseError, PlanLock\n"
        "lock = PlanLock(Path(sys.argv[1]))\n"
        "try: lock.take()\n"
        "except PlanInUseError: print('refused', flush=True)\n"
        "else: print('got it', flush=True)\n"
        "sys.stdin.read()\n"
    )
    app = str(Path(__file__).parents[2] / "app")
    windows = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": app},
        )
        for _ in range(6)
    ]
    answers = [window.stdout.readline().strip() for window in windows if window.stdout]
    for window in windows:
        window.communicate("")
    assert sorted(answers) == ["got it"] + ["refused"] * 5
