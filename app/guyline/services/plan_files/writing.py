"""Writes a plan so that the file is always whole, and reads well in a text editor."""

from __future__ import annotations

import hashlib
import json
from dataclasses import is_dataclass
from datetime import date
from numbers import Integral
from pathlib import Path
from typing import Any

from pydantic_core import to_json  # ten times as fast as json.dumps where it indents

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files.format import FORMAT, MAX_FILE_BYTES, size_words
from guyline.services.plan_files.migrations import RawFile
from guyline.services.plan_files.reading import checked_plan
from guyline.services.plan_files.shape import FieldShape, fields_of
from guyline.services.whole_files import write_whole

_MEND = "Mend it in the plan and save again. What was saved before is untouched."
_DEGREE_DECIMALS = 7  # 1e-7 degree is 11 mm on the ground


def save_plan(plan: Plan, path: Path | str) -> None:
    """Write a plan; whatever happens, the file is the old one or the new one, and whole.

    Raises
    ------
    PlanFileError
        The plan holds values that could not be read again, or the file cannot be written.
    """
    write_whole(Path(path), plan_to_bytes(plan))


def plan_to_bytes(plan: Plan) -> bytes:
    """Return a plan as its file holds it; `plan_from_bytes` is sure to read it again."""
    raw = raw_file(plan)
    checked_plan(raw, name="The plan", refusal="cannot be saved", advice=_MEND)
    data = to_json(raw, indent=2) + b"\n"
    if len(data) > MAX_FILE_BYTES:
        raise PlanFileError(
            f"The plan is too large to be saved: {size_words(len(data))}.",
            advice="Split it, or shorten its notes and checklists.",
        )
    return data


def plan_digest(plan: Plan) -> str:
    """Return eight hexadecimal digits that tell this plan from others, for the foot of a sheet."""
    return hashlib.sha256(json.dumps(raw_file(plan)).encode()).hexdigest()[:8]


def raw_file(plan: Plan) -> RawFile:
    """Return a plan as JSON has it, unchecked."""
    return {"format": FORMAT, "plan": as_raw(plan)}


def as_raw(group: Any) -> dict[str, Any]:
    """Return a plan value as JSON has it: field by field, in the order of the class."""
    kind: type = type(group)
    return {shape.name: _raw_field(shape, getattr(group, shape.name)) for shape in fields_of(kind)}


def _raw_field(shape: FieldShape, value: Any) -> Any:
    if shape.is_set:
        return sorted(str(item) for item in value)
    if shape.is_list:
        return [_raw_value(shape, item) for item in value]
    return _raw_value(shape, value)


def _raw_value(shape: FieldShape, value: Any) -> Any:
    if value is None or isinstance(value, bool):
        return value
    if is_dataclass(value):
        return as_raw(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Integral) and shape.kind is int:
        return int(value)
    if shape.name.endswith("_deg"):
        return round(float(value), _DEGREE_DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0
    return float(value) + 0.0
