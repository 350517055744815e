"""A copy of a plan to give away: without telephone numbers, key holders and gate codes."""

from __future__ import annotations

import re
from dataclasses import is_dataclass, replace
from typing import Any

from guyline.core import plan as p
from guyline.core.plan import Plan
from guyline.services.plan_files.shape import FieldShape, fields_of

MASK = "•••"

_PRIVATE = ("phone", "key_holder", "key_identifier", "email", "serial")
_TECHNICAL = (
    p.Radio,
    p.BenchRecord,
    p.Antenna,
    p.Feeder,
    p.RadioRule,
    p.RadioProfile,
    p.TerrainSource,
)
"""Values about things, whose numbers are types and standards."""
_NAMES: dict[type, tuple[str, ...]] = {
    p.Plan: ("land_cover_path", "land_cover_licence"),
    p.Site: ("site_id", "name"),
    p.Link: ("from_id", "to_id"),
    p.Need: ("from_id", "to_id"),
    p.LinkReading: ("talker_id", "listener_id"),
    p.Incident: ("name", "area", "time_zone"),
    p.ChecklistItem: ("name",),
    p.StockItem: ("name", "assigned_to"),
    p.Place: ("name",),
    p.MapLayer: ("path", "description"),
}
_SPOKEN = ("name", "area", "description")
"""Names that people make up, and may put anything into."""
_KEY_WORDS = re.compile(
    r"\b((?:gate|door|key|access)?\s*(?:code|pin|combination|keypad|password|passcode|safe))\b"
    r"[^.;,\n]*",
    re.IGNORECASE,
)
_NUMBERED_KEY = re.compile(
    r"\b((?:code|pin|combination|keypad|password|passcode))\b[^.;,\n\d]{0,10}\d[^.;,\n]*",
    re.IGNORECASE,
)
_CALLED_DIGITS = 7  # our choice: fewer are a number of a street, a height or a type
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_ADDRESS = re.compile(r"[^\s@]{1,64}@[^\s@]+")  # RFC 5321: at most 64 before the @
_NUMBER = re.compile(r"\+?\d(?:[ \-./()]{0,2}\d)*")
_UNIT = re.compile(r"\s*(?:m|km|ft|V|W|Wh|Ah|A|kg|Hz|kHz|MHz|dB|dBm|°|%)(?!\w)")


def share_copy(plan: Plan) -> Plan:
    """Return a plan without what strangers should not read.

    Fields for telephone numbers, key holders and keys are emptied, and contacts who hold a key
    are left out. In every other text that is about people or places, what follows a word such as
    "code" is masked, and so are mail addresses and numbers of three digits or more without a unit.
    Names lose codes and numbers long enough to be called.
    """
    shared: Plan = _group(plan)
    return shared


def masked(text: str) -> str:
    """Return a free text without codes, mail addresses and numbers that could be called."""
    text = _KEY_WORDS.sub(rf"\1 {MASK}", text)
    text = _ADDRESS.sub(MASK, text) if "@" in text else text
    return _NUMBER.sub(_number_or_mask, text)


def masked_name(text: str) -> str:
    """Return a name without codes and long numbers; short ones belong to names, as in Hill 350."""
    text = _NUMBERED_KEY.sub(rf"\1 {MASK}", text)
    text = _ADDRESS.sub(MASK, text) if "@" in text else text
    return _NUMBER.sub(lambda found: _number_or_mask(found, _CALLED_DIGITS), text)


def _number_or_mask(found: re.Match[str], fewest_digits: int = 3) -> str:
    has_unit = _UNIT.match(found.string, found.end()) or _DATE.fullmatch(found[0])
    digits = sum(c.isdigit() for c in found[0])
    return found[0] if has_unit or digits < fewest_digits else MASK


def _group(group: Any) -> Any:
    kind: type = type(group)
    return replace(
        group, **{s.name: _field(kind, s, getattr(group, s.name)) for s in fields_of(kind)}
    )


def _field(kind: type, shape: FieldShape, value: Any) -> Any:
    if any(word in shape.name for word in _PRIVATE):
        return ""
    if shape.is_list and shape.is_group:
        return tuple(_group(entry) for entry in value if not _holds_key(entry))
    if is_dataclass(value):
        return _group(value)
    if shape.kind is not str or shape.is_list or shape.is_set:
        return value
    if not _is_kept(kind, shape.name):
        return masked(value)
    is_spoken = shape.name in _SPOKEN and kind not in _TECHNICAL
    is_spoken = is_spoken or shape.name == "channel_name"
    return masked_name(value) if is_spoken else value


def _is_kept(kind: type, field_name: str) -> bool:
    return kind in _TECHNICAL or field_name in _NAMES.get(kind, ())


def _holds_key(entry: Any) -> bool:
    return isinstance(entry, p.Contact) and "key" in entry.role.lower()
