"""Reads a plan file and refuses it in sentences; nothing is half read."""

from __future__ import annotations

import json
import stat
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files.format import MAX_FILE_BYTES, size_words
from guyline.services.plan_files.migrations import RawFile, migrated
from guyline.services.plan_files.problems import problems_of, told_together
from guyline.services.plan_words import quoted

if TYPE_CHECKING:  # the model costs a start 0.2 s; it is made when a file is read
    from pydantic import ValidationError

    from guyline.services.plan_files.model import PlanFile

_MOST_VALUES = 4_000_000  # our choice: three times those of a plan of 5,000 sites
_MEND = "Mend it in a text editor, or open a backup copy. The file was not changed."


def load_plan(path: Path | str) -> Plan:
    """Return the plan in a file.

    Raises
    ------
    PlanFileError
        The file cannot be read, is no plan, or holds values that cannot be.
    """
    path = Path(path)
    return plan_from_bytes(read_plan_bytes(path), name=path.name)


def read_plan_bytes(path: Path) -> bytes:
    """Return what a plan file holds; size and kind are looked at before it is read."""
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise PlanFileError(
                f"{path.name} is a folder, not a plan.", advice="Choose a file inside it."
            )
        if not stat.S_ISREG(found.st_mode):  # a pipe would keep us waiting for ever
            raise PlanFileError(f"{path.name} is not an ordinary file.")
        if found.st_size > MAX_FILE_BYTES:
            raise PlanFileError(f"{path.name} cannot be opened: {size_words(found.st_size)}.")
        with path.open("rb") as file:
            data = file.read(MAX_FILE_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise PlanFileError(
            f"{path.name} cannot be read: {str(reason).lower()}.",
            advice="Check that the file is there and that you may read it.",
        ) from error
    if len(data) > MAX_FILE_BYTES:
        raise PlanFileError(f"{path.name} cannot be opened: {size_words(len(data))}.")
    return data


def plan_from_bytes(data: bytes, *, name: str = "The plan") -> Plan:
    """Return the plan that the bytes of a file hold; `name` is what errors call it."""
    if len(data) > MAX_FILE_BYTES:
        raise PlanFileError(f"{name} cannot be opened: {size_words(len(data))}.")
    text = _text(data, name)
    raw = _raw_file(text, name)
    newest = migrated(raw, name=name)
    return checked_plan(
        text.encode() if newest is raw else json.dumps(newest).encode(), newest, name=name
    )


def checked_plan(
    data: bytes,
    raw: RawFile,
    *,
    name: str,
    refusal: str = "cannot be opened",
    advice: str = _MEND,
) -> Plan:
    """Return the plan of a file in the newest format, or raise with all its problems.

    `raw` is what `data` holds.
    """
    from pydantic import ValidationError

    from guyline.services.plan_files.model import PlanFile

    refused: ValidationError | None = None
    file: PlanFile | None = None
    try:
        file = PlanFile.model_validate_json(data)
    except ValidationError as error:
        refused = error
        if error.errors(include_url=False)[0]["type"] == "json_invalid":
            reason = half_character(raw) or "is nested too deeply"
            raise PlanFileError(f"{name} {refusal}: it {reason}.", advice=advice) from error
    problems = problems_of(raw.get("plan"), refused)
    if file is None or problems:
        count = "one problem" if len(problems) == 1 else f"{len(problems):,} problems"
        raise PlanFileError(
            f"{name} {refusal}, it has {count}:\n{told_together(problems)}", advice=advice
        )
    return file.plan


def is_read_well(raw: RawFile, parts: Iterable[bytes]) -> bool:
    """Whether a plan, given whole and in parts, would be read again without a complaint."""
    from pydantic import ValidationError

    from guyline.services.plan_files.model import PlanFile

    try:
        for part in parts:
            PlanFile.model_validate_json(part)
    except ValidationError:
        return False
    return not problems_of(raw["plan"], None)


def half_character(raw: RawFile) -> str:
    """Return where text holds half of a surrogate pair, which no file can hold; or nothing."""
    try:
        json.dumps(raw, ensure_ascii=False).encode()
    except UnicodeEncodeError as error:
        near = error.object[max(0, error.start - 30) : error.start]
        return f"holds half a character after {quoted(near)}"
    return ""


def _raw_file(text: str, name: str) -> RawFile:
    if text.count(",") > _MOST_VALUES:  # before they take memory
        raise PlanFileError(f"{name} holds too many values for a plan.", advice=_MEND)
    repeated: list[str] = []

    def group(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        fields = dict(pairs)
        if len(fields) < len(pairs):
            counts = Counter(key for key, _ in pairs)
            repeated.extend(key for key, count in counts.items() if count > 1)
        return fields

    try:
        raw = json.loads(text, object_pairs_hook=group)
    except json.JSONDecodeError as error:
        raise PlanFileError(
            f"{name} is not a whole plan file: {error.msg.lower()} in line {error.lineno}, "
            f"column {error.colno}.",
            advice="It may have been cut off while it was copied. " + _MEND,
        ) from error
    except RecursionError as error:
        raise PlanFileError(f"{name} is nested too deeply for a plan.", advice=_MEND) from error
    except ValueError as error:
        raise PlanFileError(
            f"{name} holds a number with too many digits.", advice=_MEND
        ) from error
    if repeated:
        raise PlanFileError(
            f"{name} gives the same field twice: {', '.join(map(quoted, repeated[:10]))}.",
            advice="Nobody can tell which one is meant. " + _MEND,
        )
    if not isinstance(raw, dict):
        raise PlanFileError(f"{name} is not a plan file.", advice=_MEND)
    return raw


def _text(data: bytes, name: str) -> str:
    if not data.strip(b" \t\r\n\0"):
        raise PlanFileError(f"{name} is empty.", advice="Open a backup copy of it.")
    try:
        return data.decode("utf-8-sig")  # editors on some systems put a mark in front
    except UnicodeDecodeError as error:
        raise PlanFileError(
            f"{name} is not in the encoding UTF-8 (byte {error.start:,}).",
            advice="If you saved it from a text editor, save it again as UTF-8.",
        ) from error
