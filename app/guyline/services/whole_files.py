"""Writes a file so that readers, crashes and full disks meet the old one or the new one."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
import time
from pathlib import Path

from guyline.errors import PlanFileError

_LEFT_OVER_S = 3600.0  # no write takes that long: the writer was killed
_REASONS = {
    errno.ENOSPC: ("the disk is full", "Free some space or choose another disk."),
    errno.EDQUOT: ("your share of the disk is full", "Free some space or choose another disk."),
    errno.EROFS: ("the medium is read-only", "Save it in another folder."),
    errno.EACCES: ("you may not write there", "Save it in another folder."),
    errno.EPERM: ("you may not write there", "Save it in another folder."),
    errno.ENOENT: ("the folder is not there", "Check that the disk or stick is plugged in."),
    errno.ENAMETOOLONG: ("the name is too long", "Choose a shorter name."),
}


def write_whole(path: Path, data: bytes) -> None:
    """Replace a file at once: written beside it, on the disk, then renamed over it.

    Raises
    ------
    PlanFileError
        It cannot be written; what was there before is untouched.
    """
    try:
        target = path.resolve()  # a link stays a link, and what it points to is replaced
        _refuse_if_protected(target)
        _sweep(target)
        _write_beside_and_rename(target, data)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise not_written(path, error) from error


def not_written(path: Path, error: Exception) -> PlanFileError:
    """Return the sentence for a file that could not be written."""
    number = error.errno if isinstance(error, OSError) else None
    fallback = (str(getattr(error, "strerror", None) or error).lower(), "Save it elsewhere.")
    reason, advice = _REASONS.get(number or 0, fallback)
    return PlanFileError(
        f"{path.name} cannot be written: {reason}.",
        advice=f"{advice} What was saved before is untouched.",
    )


def _refuse_if_protected(target: Path) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, "it is a folder", str(target))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "protected", str(target))


def _write_beside_and_rename(target: Path, data: bytes) -> None:
    beside = target.with_name(f".{target.name[:40]}.{secrets.token_hex(4)}.part")
    try:
        with open(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            beside.chmod(stat.S_IMODE(target.stat().st_mode))
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    _settle_folder(target.parent)


def _settle_folder(folder: Path) -> None:
    """Bring the new name itself to the disk, on systems that can."""
    if os.name == "posix":
        with contextlib.suppress(OSError):  # some network shares refuse; the file is there
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def _sweep(target: Path) -> None:
    """Remove what a writer that was killed left behind."""
    old = time.time() - _LEFT_OVER_S
    for left in target.parent.glob(f".{_escaped(target.name[:40])}.*.part"):
        with contextlib.suppress(OSError):
            if left.stat().st_mtime < old:
                left.unlink()


def _escaped(name: str) -> str:
    """Return a name for `glob` in which no sign stands for others."""
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
