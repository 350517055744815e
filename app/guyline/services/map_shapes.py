"""Areas and tracks from a GeoJSON file, to be seen on the map beside the plan."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from shapely.errors import ShapelyError
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from guyline.core.plan import LayerKind
from guyline.core.units import Numbers
from guyline.errors import InputError
from guyline.services.interchange.geojson import features_of_geojson

MOST_CORNERS = 500_000
NAMES = ("name", "title", "label", "description", "kind", "type")
AREAS, LINES = ("Polygon", "MultiPolygon"), ("LineString", "MultiLineString")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapShape:
    """An area with its rings, or a track with its lines, as latitudes and longitudes. [degrees].

    `anchor` is a place inside or on it, for its name.
    """

    name: str
    is_area: bool
    parts: tuple[tuple[Numbers, Numbers], ...]
    anchor: tuple[float, float]
    kind: LayerKind = LayerKind.OTHER
    """What the plan says of the file it is from."""

    @property
    def label(self) -> str:
        """Kind and name, as it is written on a map."""
        kind = "" if self.kind is LayerKind.OTHER else str(self.kind)
        return ": ".join(part for part in (kind, self.name) if part)

    def covers(self, lat_deg: float, lon_deg: float) -> bool:
        """Whether an area lies over a place; a ring inside another one is a hole."""
        return self.is_area and sum(_crossings(*p, lat_deg, lon_deg) for p in self.parts) % 2 == 1


def _crossings(lat: Numbers, lon: Numbers, lat_deg: float, lon_deg: float) -> int:
    """How often a ring crosses the parallel of a place to the east of it."""
    spans = np.flatnonzero((lat[:-1] > lat_deg) != (lat[1:] > lat_deg))
    share = (lat_deg - lat[spans]) / (lat[spans + 1] - lat[spans])
    return int((lon[spans] + share * (lon[spans + 1] - lon[spans]) > lon_deg).sum())


def read_map_shapes(path: Path) -> tuple[MapShape, ...]:
    """Areas and lines of a GeoJSON file in WGS 84; points are left to the import of places.

    Raises
    ------
    InputError
        The file cannot be read, or holds no area and no line.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"{path.name} cannot be read: {error.strerror}.", advice="Check the file."
        ) from error
    found = tuple(made for feature in features_of_geojson(data) for made in _shapes(feature))
    if not found:
        raise InputError(
            f"{path.name} holds no areas and no lines.", advice="Choose a file with some."
        )
    corners = sum(lat.size for known in found for lat, _ in known.parts)
    if corners > MOST_CORNERS:
        raise InputError(
            f"{path.name} has {corners} corners; the map draws up to {MOST_CORNERS}.",
            advice="Simplify it, or cut out the area of the plan.",
        )
    return found


def _shapes(feature: object) -> list[MapShape]:
    """The shape of a feature as a list of one, or nothing where it is no area and no line."""
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    if not isinstance(geometry, dict) or geometry.get("type") not in (*AREAS, *LINES):
        return []
    assert isinstance(feature, dict)
    try:
        drawn: BaseGeometry = shape(geometry)
    except (ShapelyError, ValueError, TypeError, IndexError, AttributeError, KeyError) as error:
        raise InputError(
            "An area or line of the file has broken coordinates.", advice="Export it again."
        ) from error
    if drawn.is_empty:
        return []
    parts = tuple(_lat_lon(ring) for ring in _rings(drawn))
    lat = np.concatenate([p[0] for p in parts])
    lon = np.concatenate([p[1] for p in parts])
    if not (np.abs(lat) <= 90.0).all() or not (np.abs(lon) <= 360.0).all():
        raise InputError(
            "The file has positions off the globe.", advice="Export it in WGS 84 degrees."
        )
    inner = drawn.representative_point()
    return [
        MapShape(
            name=_name(feature),
            is_area=geometry["type"] in AREAS,
            parts=parts,
            anchor=(float(inner.y), float(inner.x)),
        )
    ]


def _rings(drawn: BaseGeometry) -> list[Any]:
    singles = list(getattr(drawn, "geoms", [drawn]))
    if singles[0].geom_type == "Polygon":
        return [ring for one in singles for ring in (one.exterior, *one.interiors)]
    return singles


def _lat_lon(ring: Any) -> tuple[Numbers, Numbers]:
    corners = np.asarray(ring.coords, dtype=float)
    return corners[:, 1], corners[:, 0]


def _name(feature: dict[str, Any]) -> str:
    properties = feature.get("properties")
    if not isinstance(properties, dict):
        return ""
    words = (properties.get(key) for key in NAMES)
    return next((word[:40] for word in words if isinstance(word, str) and word.strip()), "")
