"""Our own fields as words, for the places where other formats let programs keep theirs."""

from __future__ import annotations

from collections.abc import Mapping

from guyline.services.interchange.place import Place, clean, finite, function_of

FIELDS = ("name", "function", "antenna_agl_m", "uncertainty_m", "height_m", "notes", "source")


def own_fields(place: Place, *names: str) -> dict[str, str]:
    """Return those fields of a place that are known, as texts."""
    values = {name: getattr(place, name) for name in names or FIELDS}
    return {name: _text(value) for name, value in values.items() if value not in (None, "")}


def place_from(
    lat_deg: float, lon_deg: float, identifier: str, fields: Mapping[str, str | float | None]
) -> Place:
    """Return a place from fields that came with it.

    Raises
    ------
    InputError
        A number among them is none.
    """

    def text(name: str) -> str:
        value = fields.get(name)
        return "" if value is None else clean(str(value))

    return Place(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        identifier=clean(identifier),
        name=text("name"),
        height_m=finite(fields.get("height_m")),
        antenna_agl_m=finite(fields.get("antenna_agl_m")),
        uncertainty_m=finite(fields.get("uncertainty_m")),
        function=function_of(text("function")),
        notes=text("notes"),
        source=text("source"),
    )


def _text(value: object) -> str:
    return repr(value) if isinstance(value, float) else clean(str(value))
