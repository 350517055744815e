"""The practice plan: mistakes made on purpose, and the list that tells of them afterwards."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import as_file
from pathlib import Path
from shutil import copytree

from guyline.core.plan import SiteId
from guyline.errors import PlanFileError
from guyline.services.opening import demo_copy
from guyline.services.plan_files import SUFFIX
from guyline.services.resource_files import shipped

PRACTICE = "first_evening"
"""Folder of the practice plan; it stands on the ground of the demo plan beside it."""
LESSONS = "mistakes.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One mistake: how it came about, where it is found, and what mends it."""

    number: int
    story: str
    mend: str
    found: tuple[tuple[SiteId, str], ...]
    """Site and code of each finding that tells it."""


def practice_copy(folder: Path) -> Path:
    """Copy the practice plan and its ground below `folder`, and return the plan file's path.

    A copy that is there already is kept with all that was done to it.

    Raises
    ------
    PlanFileError
        The folder cannot be written.
    """
    demo_copy(folder)
    target = folder / PRACTICE
    if not target.exists():
        with as_file(shipped("demo_projects")) as demos:
            try:
                copytree(demos / PRACTICE, target)
            except OSError as error:
                raise PlanFileError(
                    f"The practice plan could not be copied to {target}: {error.strerror}.",
                    advice="Choose a folder that you may write to, or free some space.",
                ) from error
    return min(target.glob(f"*{SUFFIX}"))


def lessons_beside(plan: Path) -> tuple[Lesson, ...]:
    """The list of mistakes beside a plan file; () where there is none that can be read."""
    try:
        rows = json.loads((plan.parent / LESSONS).read_text(encoding="utf-8"))
        return tuple(
            Lesson(
                number=int(row["number"]),
                story=str(row["story"]),
                mend=str(row["mend"]),
                found=tuple(
                    (SiteId(str(found["site"])), str(found["code"])) for found in row["findings"]
                ),
            )
            for row in rows
        )
    except (OSError, ValueError, KeyError, TypeError):
        return ()  # any plan may have a file of that name beside it
