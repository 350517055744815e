"""Every problem of a plan file at once, each in a sentence that names the place."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from guyline.services.plan_files.limits import outside_limits
from guyline.services.plan_files.rules import broken_rules
from guyline.services.plan_files.shape import Path
from guyline.services.plan_words import field_words, quoted

if TYPE_CHECKING:
    from pydantic import ValidationError

_MOST_TOLD = 40
_UNKNOWN_FIELD = "is not a field that this version knows"
_COMPLAINTS = {
    "missing": "is missing",
    "unexpected_keyword_argument": _UNKNOWN_FIELD,
    "extra_forbidden": _UNKNOWN_FIELD,
    "string_type": "must be text",
    "float_type": "must be a number",
    "finite_number": "must be a finite number",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "bool_type": "must be true or false",
    "enum": "must be {expected}",
    "date_type": "must be a date such as 2026-11-25",
    "date_parsing": "must be a date such as 2026-11-25",
    "date_from_datetime_inexact": "must be a date such as 2026-11-25",
    "date_from_datetime_parsing": "must be a date such as 2026-11-25",
    "dataclass_type": "must be a group of fields in braces",
    "model_type": "must be a group of fields in braces",
    "tuple_type": "must be a list in brackets",
    "frozen_set_type": "must be a list in brackets",
}


def problems_of(raw_plan: object, refused: ValidationError | None) -> list[str]:
    """Return one sentence for each thing wrong with a raw plan.

    `refused` is what strict reading complained of, None if it did not.
    """
    found = list(_misread(refused)) if refused else []
    found += outside_limits(raw_plan)
    found += broken_rules(raw_plan)
    return [sentence(path, complaint, raw_plan) for path, complaint in found]


def told_together(problems: Sequence[str]) -> str:
    """Return the problems as lines, and how many more there are where they are very many."""
    told = list(problems[:_MOST_TOLD])
    left = len(problems) - len(told)
    return "\n".join([*told, f"... and {left:,} more."] if left else told)


def sentence(path: Path, complaint: str, raw_plan: object) -> str:
    """Return "sites[3] 'HILL': antenna height above ground (antenna_agl_m) must be ..."."""
    place, field_name = _place(path, raw_plan)
    subject = quoted(field_name) if complaint == _UNKNOWN_FIELD else _subject(field_name)
    return f"{place}: {subject} {complaint}." if place else f"{subject} {complaint}."


def _subject(field_name: str) -> str:
    words = field_words(field_name)
    return words if words.replace(" ", "_") == field_name else f"{words} ({field_name})"


def _place(path: Path, raw: object) -> tuple[str, str]:
    """Return the words for where a field stands, and the field's name."""
    steps: list[str] = []
    for step in path:
        if isinstance(step, int):
            raw = raw[step] if isinstance(raw, list) and step < len(raw) else None
            steps[-1] += f"[{step}]{_label(raw)}"
        else:
            raw = raw.get(step) if isinstance(raw, dict) else None
            steps.append(step)
    if path and isinstance(path[-1], int):
        return ", ".join(steps), "entry"
    return ", ".join(steps[:-1]), steps[-1] if steps else "plan"


def _label(item: object) -> str:
    if not isinstance(item, dict):
        return ""
    named = (item.get(key) for key in ("site_id", "name"))
    return next((f" {quoted(name)}" for name in named if isinstance(name, str) and name), "")


def _misread(refused: ValidationError) -> Iterator[tuple[Path, str]]:
    for error in refused.errors(include_url=False):
        path = error["loc"][1:] if error["loc"][:1] == ("plan",) else error["loc"]
        template = _COMPLAINTS.get(error["type"], error["msg"])
        complaint = template.format(**error.get("ctx", {})) if "{" in template else template
        yield path, complaint + _as_found(error["type"], error["input"])


def _as_found(error_type: str, value: Any) -> str:
    if error_type in ("missing", "unexpected_keyword_argument", "extra_forbidden"):
        return ""
    if isinstance(value, dict | list):
        return ", but is a " + ("list" if isinstance(value, list) else "group")
    return f", but is {quoted(value) if isinstance(value, str) else json.dumps(value)}"
