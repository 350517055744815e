"""What a plan was when it was last reviewed or printed, to tell what changed since."""

from __future__ import annotations

import contextlib
import json
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path

import platformdirs

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files import plan_from_bytes
from guyline.services.plan_files.reading import read_plan_bytes
from guyline.services.recovery import key_of, with_file
from guyline.services.whole_files import write_whole


class Milestone(StrEnum):
    """A moment from which changes are counted."""

    REVIEWED = "reviewed"
    PRINTED = "printed"


def milestone_at(path: Path, milestone: Milestone, folder: Path | None = None) -> datetime | None:
    """Return when a plan was reviewed or printed last, None if it never was."""
    try:
        seconds = _place(path, milestone, folder).stat().st_mtime
    except OSError:
        return None
    return datetime.fromtimestamp(seconds).astimezone()


def carry_over(old: Path, new: Path, folder: Path | None = None) -> None:
    """Let a plan that is saved under another name keep its history; a failure costs only that."""
    for milestone in Milestone:
        with contextlib.suppress(PlanFileError):
            write_whole(
                _place(new, milestone, folder), read_plan_bytes(_place(old, milestone, folder))
            )


@dataclass(frozen=True, slots=True)
class Kept:
    """A plan as it was at a milestone."""

    milestone: Milestone
    at: datetime
    plan: Plan


def history_folder() -> Path:
    """Return where milestones are kept: with the user, not beside the plan."""
    return platformdirs.user_state_path("guyline", appauthor=False) / "history"


def keep(path: Path, milestone: Milestone, plan: Plan, folder: Path | None = None) -> None:
    """Remember a plan as reviewed or printed, in the place of the last time.

    Raises
    ------
    PlanFileError
        It cannot be written.
    """
    place = _place(path, milestone, folder)
    with contextlib.suppress(OSError):  # what is wrong is told by the writing
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    at = datetime.now().astimezone().isoformat(timespec="seconds")
    write_whole(place, with_file({"at": at}, plan))


def kept(path: Path, milestone: Milestone, folder: Path | None = None) -> Kept | None:
    """Return the plan of the last review or print, None if there is none that can be read."""
    try:
        entry = json.loads(read_plan_bytes(_place(path, milestone, folder)))
        at = datetime.fromisoformat(entry["at"])
        return Kept(milestone, at, plan_from_bytes(json.dumps(entry["file"]).encode()))
    except (PlanFileError, ValueError, KeyError, TypeError, RecursionError):
        return None


def _place(path: Path, milestone: Milestone, folder: Path | None) -> Path:
    return (folder or history_folder()) / f"{key_of(path)}-{milestone}.json"
