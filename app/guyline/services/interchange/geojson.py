"""GeoJSON (RFC 7946): points and lines in WGS 84, longitude first."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from guyline.errors import InputError
from guyline.services.interchange.own_fields import FIELDS, place_from
from guyline.services.interchange.place import (
    DEGREE_DECIMALS,
    Line,
    Place,
    PlacesRead,
    check_count,
    check_size,
    clean,
    position_problem,
)


def geojson_of_places(places: Sequence[Place], lines: Sequence[Line] = ()) -> bytes:
    """Return a feature collection of points, and of the links among them as lines."""
    features = [_point(place) for place in places] + [_line(line) for line in lines]
    collection: dict[str, Any] = {"type": "FeatureCollection", "features": features}
    return json.dumps(collection, ensure_ascii=False, indent=1, allow_nan=False).encode() + b"\n"


def _point(place: Place) -> dict[str, Any]:
    coordinates = [*_lon_lat(place), *([] if place.height_m is None else [place.height_m])]
    known = {name: getattr(place, name) for name in FIELDS if name != "height_m"}
    properties = {
        name: clean(str(value)) if isinstance(value, str) else value
        for name, value in {"identifier": place.identifier, **known}.items()
        if value not in (None, "")
    }
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": coordinates},
        "properties": properties,
    }


def _line(line: Line) -> dict[str, Any]:
    ends = (line.from_place, line.to_place)
    from_identifier, to_identifier = (clean(end.identifier) for end in ends)
    return {
        "type": "Feature",
        "geometry": _drawn(*(_lon_lat(end) for end in ends)),
        "properties": {"link_from": from_identifier, "link_to": to_identifier},
    }


def _drawn(start: list[float], end: list[float]) -> dict[str, Any]:
    """Return a line, cut in two where it crosses the 180th meridian (RFC 7946, 3.1.9)."""
    turn = end[0] - start[0]
    if abs(turn) <= 180.0:
        return {"type": "LineString", "coordinates": [start, end]}
    rim = 180.0 if start[0] > 0.0 else -180.0
    share = (rim - start[0]) / (turn - 360.0 * (1 if turn > 0 else -1))
    lat = round(start[1] + share * (end[1] - start[1]), DEGREE_DECIMALS)
    halves = [[start, [rim, lat]], [[-rim, lat], end]]
    return {"type": "MultiLineString", "coordinates": halves}


def _lon_lat(place: Place) -> list[float]:
    return [round(place.lon_deg, DEGREE_DECIMALS), round(place.lat_deg, DEGREE_DECIMALS)]


def places_of_geojson(data: bytes) -> PlacesRead:
    """Return the points of a GeoJSON file.

    Raises
    ------
    InputError
        It is no such file, or not in WGS 84.
    """
    features = _features(_parsed(data))
    check_count(features)
    places, problems, left_out = [], [], 0
    for number, feature in enumerate(features, 1):
        geometry = feature.get("geometry") if isinstance(feature, dict) else None
        if not isinstance(geometry, dict) or geometry.get("type") != "Point":
            left_out += 1
            continue
        try:
            places.append(_place(feature, geometry))
        except InputError as error:
            problems.append(f"Feature {number} {error}.")
    if left_out:
        problems.append(f"{left_out} lines and areas were left out; only points are places.")
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def features_of_geojson(data: bytes) -> list[Any]:
    """Return the features of a GeoJSON file as they stand in it, whatever their geometry.

    Raises
    ------
    InputError
        It is no such file, or not in WGS 84.
    """
    return _features(_parsed(data))


def _parsed(data: bytes) -> dict[str, Any]:
    check_size(data)
    try:
        content = json.loads(data.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise InputError(
            "The file is no GeoJSON file, or is damaged.", advice="Fetch or export it again."
        ) from error
    if not isinstance(content, dict):
        raise InputError("The file is JSON, but not GeoJSON.", advice="Choose another file.")
    return content


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number")


def _features(content: dict[str, Any]) -> list[Any]:
    crs = content.get("crs")
    named = str(crs.get("properties", {})) if isinstance(crs, dict) else ""
    if named and not any(known in named for known in ("CRS84", "EPSG::4326", "EPSG:4326")):
        raise InputError(
            f"The file uses the coordinate system {named[:80]}.",
            advice="Export it in WGS 84, which is what GeoJSON asks for (RFC 7946).",
        )
    if content.get("type") == "FeatureCollection" and isinstance(content.get("features"), list):
        features: list[Any] = content["features"]
        return features
    if content.get("type") == "Feature":
        return [content]
    if content.get("type") == "Point":
        return [{"geometry": content}]
    raise InputError("The file is JSON, but not GeoJSON.", advice="Choose another file.")


def _place(feature: dict[str, Any], geometry: dict[str, Any]) -> Place:
    coordinates = geometry.get("coordinates")
    if not isinstance(coordinates, list) or len(coordinates) < 2:
        raise InputError("has no coordinates")
    numbers = [_number(value) for value in coordinates[:3]]
    problem = position_problem(numbers[1], numbers[0])
    if problem:
        raise InputError(problem)
    properties = feature.get("properties")
    fields: dict[str, str | float | None] = {
        str(name): value
        for name, value in (properties if isinstance(properties, dict) else {}).items()
        if isinstance(value, str | int | float) and not isinstance(value, bool)
    }
    identifier = str(fields.get("identifier", fields.get("id", "")))
    fields["height_m"] = numbers[2] if len(numbers) == 3 else None
    return place_from(numbers[1], numbers[0], identifier, fields)


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError("has coordinates that are no numbers")
    if not abs(value) < 1e9:
        raise InputError("has coordinates that cannot be on Earth")
    return float(value)
