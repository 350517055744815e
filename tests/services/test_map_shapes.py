"""Areas and tracks of GeoJSON files, good and hostile."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from guyline.errors import InputError
from guyline.services.map_shapes import read_map_shapes

RING = [[5.0, 50.0], [5.1, 50.0], [5.1, 50.1], [5.0, 50.1], [5.0, 50.0]]
HOLE = [[5.04, 50.04], [5.06, 50.04], [5.06, 50.06], [5.04, 50.04]]


def feature(geometry: str, coordinates: object, **properties: object) -> dict[str, object]:
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": geometry, "coordinates": coordinates},
    }


def written(folder: Path, *features: dict[str, object]) -> Path:
    path = folder / "flood.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": list(features)}))
    return path


def test_areas_keep_their_rings_and_their_names(tmp_path: Path) -> None:
    (area,) = read_map_shapes(
        written(tmp_path, feature("Polygon", [RING, HOLE], name="Flood of the 3rd"))
    )
    assert area.is_area
    assert area.name == "Flood of the 3rd"
    assert [lat.size for lat, _ in area.parts] == [5, 4]
    lat, lon = area.parts[0]
    assert np.column_stack([lon, lat]).tolist() == RING


def test_the_name_of_an_area_stands_inside_it_and_not_in_its_hole(tmp_path: Path) -> None:
    (area,) = read_map_shapes(written(tmp_path, feature("Polygon", [RING, HOLE])))
    lat, lon = area.anchor
    assert 50.0 < lat < 50.1
    assert 5.0 < lon < 5.1
    assert not (50.04 < lat < 50.06 and 5.05 < lon < 5.06)


def test_tracks_and_several_parts_are_read(tmp_path: Path) -> None:
    track, many = read_map_shapes(
        written(
            tmp_path,
            feature("LineString", [[5.0, 50.0], [5.2, 50.1]], kind="forest road"),
            feature("MultiPolygon", [[RING], [HOLE]]),
        )
    )
    assert not track.is_area
    assert track.name == "forest road"
    assert len(many.parts) == 2


def test_points_are_left_out_and_a_file_of_points_alone_is_refused(tmp_path: Path) -> None:
    point, area = feature("Point", [5.0, 50.0]), feature("Polygon", [RING])
    assert len(read_map_shapes(written(tmp_path, point, area))) == 1
    with pytest.raises(InputError, match="holds no areas and no lines"):
        read_map_shapes(written(tmp_path, point))


@pytest.mark.parametrize(
    "geometry",
    [
        {"type": "Polygon", "coordinates": "north"},
        {"type": "Polygon", "coordinates": [[[5.0], [6.0]]]},
        {"type": "LineString", "coordinates": [[5.0, 50.0]]},
        {"type": "LineString", "coordinates": [["a", "b"], ["c", "d"]]},
        {"type": "LineString", "coordinates": [[5.0, 950.0], [5.0, 51.0]]},
        {"type": "Polygon"},
    ],
)
def test_broken_coordinates_are_refused_in_words(
    tmp_path: Path, geometry: dict[str, object]
) -> None:
    broken = {"type": "Feature", "properties": {}, "geometry": geometry}
    with pytest.raises(InputError) as told:
        read_map_shapes(written(tmp_path, broken))
    assert told.value.advice


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, '{"type": NaN}', "[1, 2]"])
def test_what_is_no_geojson_is_refused_in_words(tmp_path: Path, text: str) -> None:
    path = tmp_path / "broken.geojson"
    path.write_text(text)
    with pytest.raises(InputError):
        read_map_shapes(path)


def test_a_file_that_is_not_there_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_map_shapes(tmp_path / "nowhere.geojson")


def test_an_area_covers_what_is_inside_it_but_not_in_its_hole(tmp_path: Path) -> None:
    area, track = read_map_shapes(
        written(
            tmp_path,
            feature("Polygon", [RING, HOLE]),
            feature("LineString", [[5.0, 50.0], [5.2, 50.1]]),
        )
    )
    assert area.covers(50.02, 5.02)
    assert not area.covers(50.045, 5.056)  # in the hole
    assert not area.covers(50.02, 5.12)
    assert not area.covers(50.12, 5.02)
    assert not track.covers(50.0, 5.0)
