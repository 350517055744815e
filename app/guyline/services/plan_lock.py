"""Keeps a second window from writing the plan that one has open."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import time
from datetime import datetime
from pathlib import Path

from guyline.errors import PlanFileError
from guyline.services.process import ProcessMark
from guyline.services.whole_files import not_written

_BEING_WRITTEN_S = 10.0  # a lock that is still empty after that was left by a crash


class PlanInUseError(PlanFileError):
    """Another window has the plan open."""


class PlanLock:
    """A lock file beside the plan; it names process, machine and time.

    A lock whose process has ended is taken over. Of a lock from another machine nobody here can
    tell, so it is taken over only by force, when the planner says so.
    """

    def __init__(self, path: Path) -> None:
        target = path.resolve()
        self._path = target.with_name(f".{target.name}.lock")
        self._name = path.name
        self._mine = b""

    @property
    def is_held(self) -> bool:
        """Whether this window still has the lock; another one may have taken it by force."""
        try:
            return bool(self._mine) and self._content() == self._mine
        except OSError:
            return False

    def take(self, *, by_force: bool = False) -> None:
        """Take the lock.

        Raises
        ------
        PlanInUseError
            Another window has it.
        PlanFileError
            No lock can be written there, for instance on a read-only medium.
        """
        try:
            while not self._create():
                found = self._content()
                if found is not None:
                    if not by_force:
                        self._refuse_if_in_use(found)
                    self._set_aside(found)
        except OSError as error:
            raise not_written(self._path, error) from error

    def release(self) -> None:
        """Give the lock back, if it is still ours."""
        if self.is_held:
            with contextlib.suppress(OSError):
                self._path.unlink()
        self._mine = b""

    def _create(self) -> bool:
        mark = {
            **ProcessMark.of_this_process().as_raw(),
            "since": datetime.now().astimezone().isoformat(timespec="seconds"),
            "token": secrets.token_hex(8),
        }
        mine = json.dumps(mark).encode()
        try:
            self._put(mine)
        except FileExistsError:
            return False
        self._mine = mine
        return True

    def _put(self, mine: bytes) -> None:
        """Make the lock appear with its content at once, where the medium can do that."""
        beside = self._path.with_name(f"{self._path.stem}.{secrets.token_hex(4)}.part")
        _write_new(beside, mine)
        try:
            os.link(beside, self._path)  # unlike a rename it replaces nothing
        except FileExistsError:
            raise
        except OSError:  # a stick without hard links
            _write_new(self._path, mine)
        finally:
            beside.unlink()

    def _content(self) -> bytes | None:
        try:
            return self._path.read_bytes()[:4096]
        except FileNotFoundError:
            return None

    def _refuse_if_in_use(self, found: bytes) -> None:
        try:
            raw = json.loads(found)
            holder, since = ProcessMark.from_raw(raw), str(raw["since"])
        except (ValueError, KeyError, TypeError):
            if time.time() - self._path.stat().st_mtime > _BEING_WRITTEN_S:
                return
            raise PlanInUseError(f"{self._name} is just being opened in another window.") from None
        if holder.may_run:
            where = "on this machine" if holder.is_on_this_machine else f"on {holder.host}"
            raise PlanInUseError(
                f"{self._name} is open in another window {where}, since {since[:16]}"
                f" (process {holder.pid}).",
                advice="Close it there, or look at it here without saving.",
            )

    def _set_aside(self, found: bytes) -> None:
        """Remove a lock that was looked at, and no other that came in its place meanwhile."""
        aside = self._path.with_name(f"{self._path.name}.{secrets.token_hex(4)}")
        try:
            self._path.rename(aside)
        except FileNotFoundError:
            return
        if aside.read_bytes()[:4096] != found:
            with contextlib.suppress(OSError):
                os.link(aside, self._path)
        aside.unlink()


def _write_new(path: Path, data: bytes) -> None:
    with open(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666), "wb") as file:
        file.write(data)
