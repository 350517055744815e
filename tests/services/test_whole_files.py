from __future__ import annotations

import errno
import os
import stat
import time
from pathlib import Path

import pytest

from guyline.errors import PlanFileError
from guyline.services.whole_files import write_whole


def test_a_file_is_replaced_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.plan.json"
    write_whole(path, b"one")
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert os.listdir(tmp_path) == ["a.plan.json"]


@pytest.mark.parametrize(
    ("function", "number", "told"),
    [
        ("fsync", errno.ENOSPC, "the disk is full"),
        ("fsync", errno.EIO, "input/output error"),
        ("replace", errno.EROFS, "the medium is read-only"),
        ("replace", errno.EACCES, "you may not write there"),
        ("open", errno.EROFS, "the medium is read-only"),
        ("open", errno.EDQUOT, "your share of the disk is full"),
    ],
)
def test_the_old_file_stays_whole_when_a_step_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, function: str, number: int, told: str
) -> None:
    path = tmp_path / "a.plan.json"
    write_whole(path, b"old")

    def fail(*args: object, **kwargs: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, function, fail)
    with pytest.raises(PlanFileError) as refused:
        write_whole(path, b"new")
    monkeypatch.undo()
    assert str(refused.value) == f"a.plan.json cannot be written: {told}."
    assert refused.value.advice.endswith("What was saved before is untouched.")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.plan.json"]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no /dev/full")
def test_a_disk_that_is_full_in_the_middle_of_writing_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.plan.json"
    write_whole(path, b"old")
    real_open = os.open

    def onto_the_full_disk(name: str | Path, flags: int, mode: int = 0o777) -> int:
        if str(name).endswith(".part"):
            real_open_handle = real_open(name, flags, mode)
            os.close(real_open_handle)
            return real_open("/dev/full", os.O_WRONLY)
        return real_open(name, flags, mode)

    monkeypatch.setattr(os, "open", onto_the_full_disk)
    with pytest.raises(PlanFileError, match=r"the disk is full"):
        write_whole(path, b"new" * 100_000)
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.plan.json"]


def test_a_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"the folder is not there"):
        write_whole(tmp_path / "stick" / "a.plan.json", b"x")


def test_a_folder_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "a.plan.json").mkdir()
    with pytest.raises(PlanFileError, match=r"it is a folder"):
        write_whole(tmp_path / "a.plan.json", b"x")


@pytest.mark.skipif(os.name != "posix", reason="this system keeps other rights than ours")
def test_a_file_keeps_its_rights_and_a_link_stays_a_link(tmp_path: Path) -> None:
    path = tmp_path / "a.plan.json"
    write_whole(path, b"old")
    path.chmod(0o640)
    link = tmp_path / "link.plan.json"
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_protected_file_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.plan.json"
    write_whole(path, b"old")
    monkeypatch.setattr(os, "access", lambda *args: False)  # an administrator may do everything
    with pytest.raises(PlanFileError, match=r"you may not write there"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"


def test_a_very_long_name_can_be_written_beside(tmp_path: Path) -> None:
    path = tmp_path / ("å" * 120 + ".plan.json")
    write_whole(path, b"x")
    assert path.read_bytes() == b"x"


def test_what_a_killed_writer_left_is_swept_but_not_what_one_is_writing_now(
    tmp_path: Path,
) -> None:
    old, busy, other = (
        tmp_path / name
        for name in (".a[1].plan.json.00.part", ".a[1].plan.json.11.part", ".b.plan.json.00.part")
    )
    for left in (old, busy, other):
        left.write_bytes(b"half")
    yesterday = time.time() - 86_400
    os.utime(old, (yesterday, yesterday))
    os.utime(other, (yesterday, yesterday))
    write_whole(tmp_path / "a[1].plan.json", b"x")
    assert sorted(os.listdir(tmp_path)) == [busy.name, other.name, "a[1].plan.json"]
