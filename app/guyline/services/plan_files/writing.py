"""Writes a plan so that the file is always whole, and reads well in a text editor."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from datetime import date
from enum import StrEnum
from functools import cache
from numbers import Integral, Real
from pathlib import Path
from typing import Any

from pydantic_core import PydanticSerializationError, to_json

from guyline.core.plan import Plan
from guyline.errors import PlanFileError
from guyline.services.plan_files.format import FORMAT, MAX_FILE_BYTES, size_words
from guyline.services.plan_files.migrations import RawFile
from guyline.services.plan_files.reading import checked_plan, half_character, is_read_well
from guyline.services.plan_files.shape import FieldShape, fields_of
from guyline.services.whole_files import write_whole

_Convert = Callable[[Any], Any]
_MEND = "Mend it in the plan and save again. What was saved before is untouched."
_DEGREE_DECIMALS = 7  # 1e-7 degree is 11 mm on the ground
_BATCH_SITES = 50  # our choice: some milliseconds, after which another thread may work


def save_plan(plan: Plan, path: Path | str) -> None:
    """Write a plan; whatever happens, the file is the old one or the new one, and whole.

    Raises
    ------
    PlanFileError
        The plan holds values that could not be read again, or the file cannot be written.
    """
    write_whole(Path(path), plan_to_bytes(plan))


def plan_to_bytes(plan: Plan) -> bytes:
    """Return a plan as its file holds it; `plan_from_bytes` is sure to read it again.

    Raises
    ------
    PlanFileError
        The plan holds values that could not be read again, or is too large.
    """
    raw = raw_file(plan)
    data = encoded(raw)
    if not is_read_well(raw, _batches(raw)):
        checked_plan(data, raw, name="The plan", refusal="cannot be saved", advice=_MEND)
    if len(data) > MAX_FILE_BYTES:
        raise PlanFileError(
            f"The plan is too large to be saved: {size_words(len(data))}.",
            advice="Split it, or shorten its notes and checklists.",
        )
    return data


def encoded(raw: RawFile) -> bytes:
    """Return a plan as JSON has it, as the text of its file.

    Sites are encoded one by one: an encoder lets no other thread work until it is done, and
    thousands of sites would freeze the window for a second.

    Raises
    ------
    PlanFileError
        Text of the plan holds half a character, which no file can hold.
    """
    sites = raw["plan"]["sites"]
    try:
        around = _json({**raw, "plan": {**raw["plan"], "sites": []}})
        listed = b",".join(_INSIDE + _json(site).replace(b"\n", _INSIDE) for site in sites)
    except PydanticSerializationError as error:
        raise PlanFileError(
            f"The plan cannot be saved: it {half_character(raw)}.", advice=_MEND
        ) from error
    if sites:  # no text holds a bare line feed, so this place is the only one
        around = around.replace(_NO_SITES, _NO_SITES[:-1] + listed + b"\n    ]", 1)
    return around + b"\n"


_INSIDE = b"\n      "
_NO_SITES = b'\n    "sites": []'


def _json(value: Any) -> bytes:
    return to_json(value, indent=2, inf_nan_mode="constants")  # ten times as fast as json.dumps


def _batches(raw: RawFile) -> Iterator[bytes]:
    """Yield the plan without its sites and then its sites, as plan files of their own.

    A check of all at once would let no other thread work until it is done.
    """
    plan, sites = raw["plan"], raw["plan"]["sites"]
    yield _json({**raw, "plan": {**plan, "sites": []}})
    for first in range(0, len(sites), _BATCH_SITES):
        yield _json({**raw, "plan": {"sites": sites[first : first + _BATCH_SITES]}})


def plan_digest(plan: Plan) -> str:
    """Return eight hexadecimal digits that tell this plan from others, for the foot of a sheet."""
    return hashlib.sha256(json.dumps(raw_file(plan)).encode()).hexdigest()[:8]


def raw_file(plan: Plan) -> RawFile:
    """Return a plan as JSON has it, unchecked."""
    return {"format": FORMAT, "plan": as_raw(plan)}


def as_raw(group: Any) -> dict[str, Any]:
    """Return a plan value as JSON has it: field by field, in the order of the class."""
    kind: type = type(group)
    return {name: convert(getattr(group, name)) for name, convert in _converters(kind)}


@cache
def _converters(group: type) -> tuple[tuple[str, _Convert], ...]:
    return tuple((shape.name, _converter(shape)) for shape in fields_of(group))


def _converter(shape: FieldShape) -> _Convert:
    convert = _value_converter(shape)
    if shape.is_set:
        return lambda values: sorted(convert(value) for value in values)
    if shape.is_list:
        return lambda values: [convert(value) for value in values]
    return lambda value: None if value is None else convert(value)


def _value_converter(shape: FieldShape) -> _Convert:
    if shape.is_group:
        return as_raw
    if shape.kind is float:
        return _degrees if shape.name.endswith("_deg") else _number
    if shape.kind is int:
        return _whole
    if issubclass(shape.kind, date):
        return lambda value: value.isoformat()
    return str if issubclass(shape.kind, StrEnum) else lambda value: value


def _number(value: Any) -> Any:
    if isinstance(value, float):
        return float(value) + 0.0  # turns -0.0 into 0.0
    return float(value) if isinstance(value, Real) and not isinstance(value, bool) else value


def _degrees(value: Any) -> Any:
    number = _number(value)
    return round(number, _DEGREE_DECIMALS) + 0.0 if isinstance(number, float) else number


def _whole(value: Any) -> Any:
    return int(value) if isinstance(value, Integral) and not isinstance(value, bool) else value
