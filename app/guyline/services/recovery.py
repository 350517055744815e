"""A journal of the plan on the desk, so that a crash costs seconds and not hours.

Each open plan has one file in the state folder of the user. It is written whole while the plan is
edited and removed when the plan is saved or closed. One whose process has ended is offered.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import platformdirs

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files import plan_from_bytes
from guyline.services.plan_files.reading import read_plan_bytes
from guyline.services.plan_files.writing import encoded, raw_file
from guyline.services.process import ProcessMark
from guyline.services.whole_files import write_whole


def recovery_folder() -> Path:
    """Return where journals are kept, outside the folders of the plans."""
    return platformdirs.user_state_path("guyline", appauthor=False) / "recovery"


class RecoveryJournal:
    """The journal of one open plan; `path` is None until the plan has a file."""

    def __init__(self, path: Path | None, folder: Path | None = None) -> None:
        self._plan_path = path
        folder = folder or recovery_folder()
        self._path = folder / f"{key_of(path)}-{secrets.token_hex(4)}.json"

    def write(self, plan: Plan) -> None:
        """Keep the plan as it is now, also one that could not be saved.

        Raises
        ------
        PlanFileError
            The journal cannot be written.
        """
        head = {
            "path": None if self._plan_path is None else str(self._plan_path.resolve()),
            "written_at": datetime.now().astimezone().isoformat(timespec="seconds"),
            "process": ProcessMark.of_this_process().as_raw(),
        }
        with contextlib.suppress(OSError):  # what is wrong is told by the writing
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(self._path, with_file(head, plan))

    def discard(self) -> None:
        """Forget the journal, as the plan is saved or given up."""
        with contextlib.suppress(OSError):
            self._path.unlink()


@dataclass(frozen=True, slots=True)
class Unsaved:
    """A plan that was on the desk when the program ended without being closed."""

    journal: Path
    path: Path | None
    """The plan's file, None if it never had one."""
    written_at: datetime
    data: bytes

    def plan(self) -> Plan:
        """Return the plan.

        Raises
        ------
        PlanFileError
            It held values that cannot be; the journal is kept.
        """
        return plan_from_bytes(self.data, name=f"The unsaved plan in {self.journal}")

    @property
    def is_older_than_file(self) -> bool:
        """Whether somebody saved the file after this was written."""
        try:
            return self.path is not None and self.path.stat().st_mtime > self._written_s
        except OSError:
            return False

    @property
    def _written_s(self) -> float:
        return self.written_at.timestamp() + 1.0  # written_at has whole seconds

    def discard(self) -> None:
        with contextlib.suppress(OSError):
            self.journal.unlink()


def unsaved_plans(folder: Path | None = None) -> tuple[Unsaved, ...]:
    """Return what is waiting to be recovered, the latest first."""
    found = (_read(journal) for journal in (folder or recovery_folder()).glob("*.json"))
    waiting = [unsaved for unsaved in found if unsaved is not None]
    return tuple(sorted(waiting, key=lambda unsaved: unsaved.written_at, reverse=True))


def unsaved_copy(path: Path, folder: Path | None = None) -> Unsaved | None:
    """Return the latest plan waiting for this file, None if there is none."""
    ours = (unsaved for unsaved in unsaved_plans(folder) if unsaved.path == path.resolve())
    return next(ours, None)


def with_file(head: dict[str, Any], plan: Plan) -> bytes:
    """Return as JSON what is told of a plan, and the plan itself as "file", unchecked."""
    return b'%s,\n"file": %s}\n' % (json.dumps(head).encode()[:-1], encoded(raw_file(plan)))


def key_of(path: Path | None) -> str:
    """Return under what name the state folder keeps something of a plan file."""
    return "new" if path is None else hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:16]


def _read(journal: Path) -> Unsaved | None:
    """Return a journal that nobody is writing any more; None if it is busy or no journal."""
    try:
        entry = json.loads(read_plan_bytes(journal))
        process = ProcessMark.from_raw(entry["process"])
        path = None if entry["path"] is None else Path(entry["path"])
        written_at = datetime.fromisoformat(entry["written_at"]).astimezone()
        data = json.dumps(entry["file"]).encode()
    except (PlanFileError, ValueError, KeyError, TypeError, RecursionError):
        return None
    if process.is_on_this_machine and process.may_run:
        return None
    return Unsaved(journal, path, written_at, data)
