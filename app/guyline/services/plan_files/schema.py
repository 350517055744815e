"""The JSON Schema of a plan file, for other programs and for editors that help while typing."""

from __future__ import annotations

from typing import Any

from guyline.core import plan as p
from guyline.services.plan_files.limits import longest_list, longest_text, range_of
from guyline.services.plan_files.shape import fields_of

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def plan_schema() -> dict[str, Any]:
    """Return the schema: what strict reading asks for, and the limits of every value.

    What must hold between values (identifiers that differ, links between sites that exist)
    no schema can say.
    """
    from guyline.services.plan_files.model import PlanFile

    schema = PlanFile.model_json_schema()
    for group in _groups(p.Plan):
        properties = schema["$defs"][group.__name__]["properties"]
        for shape in fields_of(group):
            for part in _parts(properties[shape.name]):
                part.update(_limits(group, shape.name, part.get("type")))
    return {"$schema": _DIALECT, **schema}


def _groups(group: type) -> set[type]:
    inner = [_groups(shape.kind) for shape in fields_of(group) if shape.is_group]
    return {group}.union(*inner)


def _parts(field: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the alternatives of a field that may also be null, or the field itself."""
    parts: list[dict[str, Any]] = field.get("anyOf", [field])
    return parts


def _limits(group: type, field_name: str, json_type: object) -> dict[str, Any]:
    if json_type == "array":
        return {"maxItems": longest_list(group, field_name)}
    if json_type == "string":
        return {"maxLength": longest_text(field_name)}
    if json_type in ("number", "integer"):
        limit = range_of(group, field_name)
        low = "exclusiveMinimum" if limit.above else "minimum"
        return {low: limit.low, "maximum": limit.high}
    return {}
