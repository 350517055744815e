"""Keeps one open plan safe: locked, watched, journalled while edited, backed up when saved."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable
from pathlib import Path

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.backups import keep_backup
from guyline.services.plan_files import plan_from_bytes, plan_to_bytes
from guyline.services.plan_files.reading import read_plan_bytes
from guyline.services.plan_lock import PlanLock
from guyline.services.recovery import RecoveryJournal, Unsaved, unsaved_copy
from guyline.services.whole_files import write_whole


class ChangedOnDiskError(PlanFileError):
    """Somebody else saved the file since it was read here."""


class PlanKeeper:
    """What an open plan needs of the disk; for a plan without a file, `path` is None.

    Open one for each plan on the desk, and close it before the same file is opened again.
    Where no lock can be had the plan can be looked at, and `notice` says why it cannot be saved.
    """

    def __init__(
        self, path: Path | None, *, state_folder: Path | None = None, by_force: bool = False
    ) -> None:
        self.path = path
        self.notice = ""
        self._state_folder = state_folder
        self._journal = RecoveryJournal(path, state_folder)
        self._known: str | None = None
        self._desk = threading.Lock()
        self._saves = 0
        self._is_closed = False
        self._lock = None if path is None else PlanLock(path)
        if self._lock is not None:
            try:
                self._lock.take(by_force=by_force)
            except PlanFileError as refused:
                self.notice = f"{refused} {refused.advice}".strip()

    @property
    def is_read_only(self) -> bool:
        return self._lock is not None and not self._lock.is_held

    @property
    def has_changed_on_disk(self) -> bool:
        """Whether the file is another one than was read or saved here last."""
        is_known = self.path is not None and self._known is not None
        return is_known and _digest(self._file()) != self._known

    def load(self) -> Plan:
        """Return the plan in the file, and remember what it looked like.

        Raises
        ------
        PlanFileError
            There is no file, or it cannot be read as a plan.
        """
        path = self._file()
        data = read_plan_bytes(path)
        plan = plan_from_bytes(data, name=path.name)
        self._known = _digest_of(data)
        return plan

    def unsaved(self) -> Unsaved | None:
        """Return what a crash left of this plan, if it differs from the file."""
        waiting = None if self.path is None else unsaved_copy(self.path, self._state_folder)
        if waiting is not None and self._is_in_file(waiting):
            waiting.discard()
            return None
        return waiting

    def journal(self, plan: Plan) -> None:
        """Keep the edited plan against a crash.

        Raises
        ------
        PlanFileError
            The journal cannot be written.
        """
        self.journalling(plan)()

    def journalling(self, plan: Plan) -> Callable[[], None]:
        """Return the work that journals a plan, for another thread.

        It does nothing when the plan was saved or closed before it came to be done: an older plan
        would be offered after a crash.
        """
        saves = self._saves

        def write() -> None:
            with self._desk:
                if self._saves == saves and not self._is_closed:
                    self._journal.write(plan)

        return write

    def save(self, plan: Plan, *, even_if_changed: bool = False) -> None:
        """Write the plan over its file, after a backup copy of what the file held.

        Raises
        ------
        ChangedOnDiskError
            Somebody else saved it meanwhile, and `even_if_changed` does not say to replace that.
        PlanFileError
            It cannot be written; the file and the journal are untouched.
        """
        path = self._file()
        data = plan_to_bytes(plan)
        if self.is_read_only:
            raise PlanFileError(
                self.notice or f"{path.name} was taken over by another window.",
                advice="Save it under another name.",
            )
        if self.has_changed_on_disk and path.exists() and not even_if_changed:
            raise ChangedOnDiskError(
                f"{path.name} was changed by somebody else since it was opened here.",
                advice="Bring both copies together, save under another name, or replace it.",
            )
        with self._desk:
            self.notice = _backup_notice(path)
            write_whole(path, data)
            self._known = _digest_of(data)
            self._saves += 1
            self._journal.discard()

    def close(self) -> None:
        """Give the plan up: the lock is released and the journal removed."""
        with self._desk:
            self._is_closed = True
            self._journal.discard()
        if self._lock is not None:
            self._lock.release()

    def _file(self) -> Path:
        if self.path is None:
            raise PlanFileError("The plan has no file yet.", advice="Save it under a name.")
        return self.path

    def _is_in_file(self, waiting: Unsaved) -> bool:
        try:
            return waiting.plan() == plan_from_bytes(read_plan_bytes(self._file()))
        except PlanFileError:
            return False


def _backup_notice(path: Path) -> str:
    """Keep a backup copy; a save is not stopped because that fails."""
    try:
        keep_backup(path)
    except PlanFileError as error:
        return f"No backup copy was kept: {error}"
    return ""


def _digest(path: Path) -> str:
    try:
        return _digest_of(read_plan_bytes(path))
    except PlanFileError:
        return ""


def _digest_of(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
