"""Makes flood.geojson and tracks.geojson: what others could have drawn of Ullerby Sound.

They are not part of the plan: add them under Layers, and see which sites they concern. The flood
is the low ground along the eastern shore, invented like the ground itself.

    python demo_projects/ullerby_sound/make_maps.py
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import rasterio
import shapely
from pyproj import Transformer
from rasterio.features import shapes
from shapely.geometry import LineString, Polygon, box, mapping, shape
from shapely.geometry.base import BaseGeometry

HERE = Path(__file__).resolve().parent
TO_DEGREES = Transformer.from_crs("EPSG:32709", "EPSG:4326", always_xy=True)
SHORE = box(502_300, 4_888_400, 505_500, 4_893_000)
FLOODED_M = 12.0  # above the sea
SMOOTHED_M = 40.0
TRACKS_M = {
    "Shore road to South landing": (
        (504_300, 4_894_600),
        (504_000, 4_893_300),
        (503_700, 4_892_300),
        (504_000, 4_891_200),
        (504_580, 4_890_230),
    ),
    "Ridge track to Kite Rigg": (
        (504_300, 4_894_600),
        (504_900, 4_896_300),
        (505_300, 4_897_500),
        (505_540, 4_898_230),
    ),
    "Quarry track to Hob Top": (
        (501_200, 4_896_400),
        (499_600, 4_896_900),
        (498_100, 4_896_500),
        (496_850, 4_896_800),
    ),
}


def flood() -> dict[str, object]:
    """The largest piece of low ground by the eastern shore."""
    with rasterio.open(HERE / "terrain.tif") as raster:
        heights, place = raster.read(1), raster.transform
    low = (heights > 0.0) & (heights <= FLOODED_M)
    pieces = [shape(g) for g, _ in shapes(low.astype(np.uint8), mask=low, transform=place)]
    cut = [piece.intersection(SHORE) for piece in pieces]
    parts = [p for c in cut for p in getattr(c, "geoms", [c]) if isinstance(p, Polygon)]
    largest = max(parts, key=lambda part: part.area).simplify(SMOOTHED_M)
    return collection([("Shore flood, third night", largest)])


def tracks() -> dict[str, object]:
    """How crews would drive and walk to three of the sites."""
    return collection([(name, LineString(points)) for name, points in TRACKS_M.items()])


def collection(named: list[tuple[str, BaseGeometry]]) -> dict[str, object]:
    """Shapes in metres as GeoJSON in degrees (RFC 7946)."""
    return {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "properties": {"name": name},
                "geometry": mapping(shapely.transform(drawn, _degrees)),
            }
            for name, drawn in named
        ],
    }


def _degrees(places_m: np.ndarray) -> np.ndarray:
    return np.round(np.column_stack(TO_DEGREES.transform(*places_m.T)), 5)


if __name__ == "__main__":
    for name, made in (("flood", flood()), ("tracks", tracks())):
        text = json.dumps(made, indent=1, allow_nan=False)
        (HERE / f"{name}.geojson").write_text(text + "\n", encoding="utf-8")
