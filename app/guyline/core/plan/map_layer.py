"""Areas and tracks that somebody drew elsewhere and the plan keeps in sight."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class LayerKind(StrEnum):
    """What the areas or tracks of a file are; the value is what people read."""

    FLOOD = "flood"
    FIRE = "fire"
    ACCESS = "access track"
    OTHER = "other"

    @property
    def is_hazard(self) -> bool:
        return self in (LayerKind.FLOOD, LayerKind.FIRE)


@dataclass(frozen=True, slots=True, kw_only=True)
class MapLayer:
    """A GeoJSON file of areas or tracks; `path` is relative to the plan file unless absolute."""

    path: str
    kind: LayerKind = LayerKind.OTHER
    description: str = ""
    """Whose it is, and of which day."""
