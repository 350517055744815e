"""Numbered backup copies beside a plan file; 1 is what the last save replaced."""

from __future__ import annotations

from pathlib import Path

from guyline.services.plan_files import SUFFIX
from guyline.services.plan_files.reading import read_plan_bytes
from guyline.services.whole_files import not_written, write_whole

COUNT = 3


def backup_path(path: Path, number: int) -> Path:
    """Return where a backup copy of a plan file stands; it opens like any plan."""
    return path.with_name(f"{path.name.removesuffix(SUFFIX)}.backup-{number}{SUFFIX}")


def backups_of(path: Path) -> tuple[Path, ...]:
    """Return the backup copies there are, newest first."""
    numbered = (backup_path(path, n) for n in range(1, COUNT + 1))
    return tuple(backup for backup in numbered if backup.is_file())


def keep_backup(path: Path) -> None:
    """Copy a plan file that is about to be replaced, and forget the oldest of its copies.

    The copy is complete on the disk before the older ones move on. A file that was saved twice
    without a change is copied once.

    Raises
    ------
    PlanFileError
        The copy cannot be made; the copies there were are untouched.
    """
    if not path.exists():
        return
    data = read_plan_bytes(path)
    newest = backup_path(path, 1)
    if newest.is_file() and newest.read_bytes() == data:
        return
    copy = backup_path(path, 0)
    write_whole(copy, data)
    try:
        for number in range(COUNT, 0, -1):
            older = backup_path(path, number - 1)
            if older.exists():
                older.replace(backup_path(path, number))
    except OSError as error:
        raise not_written(backup_path(path, 1), error) from error
