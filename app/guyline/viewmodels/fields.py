"""What a person can fill in: each value of the plan as a row of data with one reader.

A field reads its value as text and gives back a changed holder (a plan or a site);
tables, forms and pasting all go through it, so a value has one spelling and one range.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum, StrEnum
from functools import lru_cache
from typing import Any, TypeVar

from guyline.core.plan import (
    Battery,
    Chemistry,
    Generator,
    Panel,
    Position,
    RadioRule,
    Units,
)
from guyline.core.units import FOOT_M, INCH_M, MILE_PER_HOUR_M_S, POUND_FOOT_N_M, POUND_KG
from guyline.errors import InputError
from guyline.services.coordinates import Notation, read_coordinates
from guyline.viewmodels.equipment import CHOOSERS

Holder = TypeVar("Holder")


class Kind(Enum):
    """How a value is entered."""

    TEXT = "text"
    LONG_TEXT = "long text"
    NUMBER = "number"
    INTEGER = "integer"
    CHOICE = "choice"
    DATE = "date"
    FLAG = "flag"
    POSITION = "position"
    CATALOGUE = "catalogue"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One value a person can fill in.

    Attributes
    ----------
    path
        Where it is in its holder, as `power.battery.capacity_wh`.
    scale
        What one of `unit` is in the unit of the plan: 1e6 for a frequency shown in MHz.
    minimum, maximum
        In the shown unit, both allowed.
    choices
        The words of a CHOICE.
    catalogue
        The table a CATALOGUE is chosen from; beside a TEXT, the table that proposes names.
    can_be_unknown
        Whether leaving it empty is an answer.
    makes_parent
        Whether entering it makes the value it belongs to, and emptying it takes that away.
    is_fixed
        Whether it is only shown.
    """

    path: str
    title: str
    kind: Kind = Kind.TEXT
    unit: str = ""
    scale: float = 1.0
    decimals: int = 1
    minimum: float | None = None
    maximum: float | None = None
    choices: type[StrEnum] | None = None
    catalogue: str = ""
    can_be_unknown: bool = True
    makes_parent: bool = False
    is_fixed: bool = False
    tip: str = ""
    most_decimals: int = 9
    """What is shown of a value that was converted, so that it stays readable."""

    @property
    def heading(self) -> str:
        return f"{self.title} [{self.unit}]" if self.unit else self.title

    @property
    def is_numeric(self) -> bool:
        return self.kind in (Kind.NUMBER, Kind.INTEGER)


_IMPERIAL: Mapping[str, tuple[str, float]] = {
    "m": ("ft", FOOT_M),
    "mm": ("in", 1000.0 * INCH_M),
    "m/s": ("mph", MILE_PER_HOUR_M_S),
    "kg": ("lb", POUND_KG),
    "N m": ("lbf ft", POUND_FOOT_N_M),
}


@lru_cache(maxsize=1024)
def in_units(field: Field, units: Units) -> Field:
    """Return the field as it is shown and entered in the plan's units."""
    if units is Units.METRIC or field.unit not in _IMPERIAL:
        return field
    unit, factor = _IMPERIAL[field.unit]
    return replace(
        field,
        unit=unit,
        scale=field.scale * factor,
        minimum=None if field.minimum is None else field.minimum / factor,
        maximum=None if field.maximum is None else field.maximum / factor,
        most_decimals=field.decimals + 1,
    )


def value_at(holder: object, path: str) -> Any:
    """Return what stands at `path`, None where something on the way is absent."""
    value: Any = holder
    for name in path.split("."):
        if value is None:
            return None
        value = getattr(value, name)
    return value


def with_value(holder: Holder, path: str, value: object) -> Holder:
    """Return a copy of `holder` in which `value` stands at `path`."""
    name, _, rest = path.partition(".")
    if rest:
        inner = getattr(holder, name)
        if inner is None:
            inner = _ABSENT[name]()
        value = with_value(inner, rest, value)
    return replace(holder, **{name: value})  # type: ignore[type-var]


def shown(field: Field, holder: object) -> str:
    """Return the field's value as it is edited: no unit, empty where unknown."""
    value = value_at(holder, field.path)
    if value is None:
        return ""
    return _SHOWN.get(field.kind, _plain)(field, value)


def shown_with_unit(field: Field, holder: object) -> str:
    text = shown(field, holder)
    return f"{text} {field.unit}" if text and field.unit else text


def number(field: Field, holder: object) -> float | None:
    """Return a numeric field in its shown unit."""
    value = value_at(holder, field.path)
    return None if value is None else float(value) / field.scale


def edited(field: Field, holder: Holder, text: str) -> Holder:
    """Return a copy of `holder` with the field read from `text`.

    Raises
    ------
    InputError
        The text is no such value, or out of range.
    """
    text = text.strip()
    if field.kind is Kind.CATALOGUE:
        chosen = CHOOSERS[field.catalogue].chosen(value_at(holder, field.path), text)
        return with_value(holder, field.path, chosen)
    if field.kind is Kind.POSITION:
        return _with_position(field, holder, text)
    if field.catalogue == "sites" and not text and field.can_be_unknown:
        return with_value(holder, field.path, None)
    if not text and not shown(field, holder):
        return holder
    if field.is_numeric and text == shown(field, holder):  # rounded: not to be taken for a change
        return holder
    if not text and field.kind not in (Kind.TEXT, Kind.LONG_TEXT):
        if not field.can_be_unknown:
            raise InputError(f"{field.title} is empty.", advice="Enter a value.")
        return _without_value(field, holder)
    value = _READ[field.kind](field, text)
    _check_parent(field, holder)
    return with_value(holder, field.path, value)


def is_available(field: Field, holder: object) -> bool:
    """Whether the field can be entered now: what it belongs to is there or can be made."""
    parent = field.path.rpartition(".")[0]
    if not parent or value_at(holder, parent) is not None:
        return True
    return field.makes_parent or (parent.rpartition(".")[2] in _ABSENT and parent != "radio_rule")


def _check_parent(field: Field, holder: object) -> None:
    if not is_available(field, holder):
        parent = field.path.split(".")[-2].replace("_", " ")
        raise InputError(
            f"{field.title} cannot be entered while there is no {parent}.",
            advice=f"Enter the {parent} first.",
        )


def _without_value(field: Field, holder: Holder) -> Holder:
    if value_at(holder, field.path) is None:
        return holder
    path = field.path.rpartition(".")[0] if field.makes_parent else field.path
    return with_value(holder, path, None)


def _with_position(field: Field, holder: Holder, text: str) -> Holder:
    if not text:
        return _without_value(field, holder)
    if text == shown(field, holder):  # rounded on screen: not to be taken for a move
        return holder
    place = read_coordinates(text)[0]
    how = () if place.notation is Notation.DECIMAL else (place.notation.value,)
    source = "; ".join(("entered by hand", *how, *place.notes))
    moved = Position(lat_deg=place.lat_deg, lon_deg=place.lon_deg, source=source)
    return with_value(holder, field.path, moved)


def read_number(text: str, unit: str = "") -> float:
    """Return a number typed with or without its unit, with a decimal point or comma."""
    bare, factor = text.strip(), 1.0
    for suffix, per_unit in (*_SUFFIXES.get(unit, ()), (unit, 1.0)):
        if suffix and bare.lower().endswith(suffix.lower()):
            bare, factor = bare[: -len(suffix)].strip(), per_unit
            break
    if bare.count(",") == 1 and "." not in bare:
        bare = bare.replace(",", ".")
    try:
        value = float(bare.replace("\N{MINUS SIGN}", "-")) * factor
    except ValueError:
        raise InputError(f"'{text}' is not a number.", advice="Enter a number.") from None
    if not math.isfinite(value):
        raise InputError(f"'{text}' is not a finite number.", advice="Leave unknown values empty.")
    return value


def _read_number(field: Field, text: str) -> float:
    value = read_number(text, field.unit)
    low, high = field.minimum, field.maximum
    if (low is not None and value < low) or (high is not None and value > high):
        raise InputError(
            f"{field.title} {value:g} {field.unit}".rstrip() + f" is outside {_range(field)}.",
            advice="Check the number and its unit.",
        )
    return value * field.scale


def _read_integer(field: Field, text: str) -> int:
    value = _read_number(field, text)
    if value != round(value):
        raise InputError(f"{field.title} {text} is not a whole number.", advice="Round it.")
    return round(value)


def _read_choice(field: Field, text: str) -> StrEnum:
    assert field.choices is not None
    for choice in field.choices:
        if choice.value.lower() == text.lower():
            return choice
    raise InputError(
        f"{field.title} '{text}' is not one of its choices.",
        advice=f"Choose {', '.join(choice.value for choice in field.choices)}.",
    )


def _read_date(field: Field, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(
            f"{field.title} '{text}' is not a date.", advice="Write it as 2031-04-25."
        ) from None


def _flag(field: Field, text: str) -> bool:
    word = text.lower()
    if word in ("yes", "y", "true", "1"):
        return True
    if word in ("", "no", "n", "false", "0"):
        return False
    raise InputError(f"{field.title} '{text}' is neither yes nor no.", advice="Enter yes or no.")


def _range(field: Field) -> str:
    unit = f" {field.unit}" if field.unit else ""
    if field.minimum is None:
        return f"the range up to {field.maximum:g}{unit}"
    if field.maximum is None:
        return f"the range from {field.minimum:g}{unit}"
    return f"{field.minimum:g} to {field.maximum:g}{unit}"


def _plain(field: Field, value: object) -> str:
    return str(value)


def _number_text(field: Field, value: float) -> str:
    """Return as many digits as were entered, at least the field's decimals."""
    shown_value = value / field.scale
    full = repr(round(shown_value, field.most_decimals))
    digits = len(full.partition(".")[2].rstrip("0")) if "e" not in full else field.decimals
    return f"{shown_value:.{max(digits, field.decimals)}f}"


def _position_text(field: Field, value: Position) -> str:
    return f"{value.lat_deg:.5f}, {value.lon_deg:.5f}"


_SHOWN: Mapping[Kind, Callable[[Field, Any], str]] = {
    Kind.NUMBER: _number_text,
    Kind.POSITION: _position_text,
    Kind.DATE: lambda field, value: value.isoformat(),
    Kind.FLAG: lambda field, value: "yes" if value else "no",
    Kind.CATALOGUE: lambda field, value: CHOOSERS[field.catalogue].shown(value),
}
_READ: Mapping[Kind, Callable[[Field, str], object]] = {
    Kind.TEXT: lambda field, text: text,
    Kind.LONG_TEXT: lambda field, text: text,
    Kind.NUMBER: _read_number,
    Kind.INTEGER: _read_integer,
    Kind.CHOICE: _read_choice,
    Kind.DATE: _read_date,
    Kind.FLAG: _flag,
}
_SUFFIXES: Mapping[str, tuple[tuple[str, float], ...]] = {
    "m": (("ft", FOOT_M), ("km", 1000.0)),
    "ft": (("ft", 1.0), ("km", 1000.0 / FOOT_M), ("m", 1.0 / FOOT_M)),
    "mm": (("in", 1000.0 * INCH_M), ("mm", 1.0), ("cm", 10.0)),
    "in": (("mm", 0.001 / INCH_M), ("cm", 0.01 / INCH_M)),
    "m/s": (("mph", MILE_PER_HOUR_M_S), ("km/h", 1 / 3.6), ("m/s", 1.0)),
    "mph": (("km/h", 1 / 3.6 / MILE_PER_HOUR_M_S), ("m/s", 1 / MILE_PER_HOUR_M_S)),
    "kg": (("lb", POUND_KG), ("kg", 1.0), ("g", 1e-3)),
    "lb": (("kg", 1 / POUND_KG), ("g", 1e-3 / POUND_KG)),
    "N m": (("lbf ft", POUND_FOOT_N_M),),
    "lbf ft": (("N m", 1 / POUND_FOOT_N_M),),
    "MHz": (("kHz", 1e-3), ("MHz", 1.0), ("GHz", 1e3)),
    "kHz": (("kHz", 1.0), ("MHz", 1e3)),
    "mA": (("mA", 1.0), ("A", 1e3)),
    "Wh": (("kWh", 1e3), ("Wh", 1.0)),
    "W": (("mW", 1e-3),),
}
_ABSENT: Mapping[str, Callable[[], object]] = {
    "battery": lambda: Battery(chemistry=Chemistry.LIFEPO4),
    "panel": Panel,
    "generator": Generator,
    "radio_rule": lambda: RadioRule(name="entered by hand", limit_dbm=math.nan, limit_kind="EIRP"),
}
