"""Steps from each older format to the next.

A step takes the whole raw file of its format and returns that of the next one, without changing
what it was given. Each has a kept sample of the old format in `tests/reference/plans/`.
Format 1 is the first, so there is no step yet. A new field with a default needs none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from guyline.errors import PlanFileError
from guyline.services.plan_files.format import FORMAT

RawFile = dict[str, Any]
Step = Callable[[RawFile], RawFile]

STEPS: Mapping[int, Step] = {}
"""Each step under the number of the format that it reads."""


def migrated(
    raw: RawFile, *, name: str, newest: int = FORMAT, steps: Mapping[int, Step] = STEPS
) -> RawFile:
    """Return the raw file in the newest format.

    Raises
    ------
    PlanFileError
        The file names no format, or one that is newer than this program.
    """
    while (number := format_of(raw, name=name, newest=newest)) < newest:
        try:
            raw = {**steps[number](raw), "format": number + 1}
        except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
            raise PlanFileError(
                f"{name} says that it has format {number}, but is not built like it.",
                advice="Open a backup copy of it.",
            ) from error
    return raw


def format_of(raw: RawFile, *, name: str, newest: int = FORMAT) -> int:
    """Return the number of the format in which a raw file says it is written."""
    number = raw.get("format")
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise PlanFileError(
            f"{name} names no format of a plan file.",
            advice='Open a file that Guyline saved; its second line reads "format".',
        )
    if number > newest:
        raise PlanFileError(
            f"{name} has format {number}, and this program reads formats up to {newest}.",
            advice="It was saved by a newer version of Guyline. Open it with that version.",
        )
    return number
