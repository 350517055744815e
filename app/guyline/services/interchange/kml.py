"""KML 2.3 (OGC 12-007r2): placemarks, for maps; zipped as KMZ too."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, register_namespace, tostring

from guyline.errors import InputError
from guyline.services.interchange.archive import MOST_ENTRIES, content_of, opened_archive
from guyline.services.interchange.own_fields import own_fields, place_from
from guyline.services.interchange.place import (
    DEGREE_DECIMALS,
    Line,
    Place,
    PlacesRead,
    check_count,
    check_size,
    clean,
    finite,
    position_problem,
)
from guyline.services.interchange.xml_text import all_named, child_text, local_name, parsed

_KML = "http://www.opengis.net/kml/2.2"  # KML 2.3 keeps the namespace of 2.2
_EXTRA = ("name", "function", "antenna_agl_m", "uncertainty_m", "notes", "source")


def kml_of_places(places: Sequence[Place], lines: Sequence[Line] = ()) -> bytes:
    """Return a KML file of placemarks, the links among them as lines."""
    register_namespace("", _KML)
    root = Element(f"{{{_KML}}}kml")
    document = _sub(root, "Document")
    _sub(document, "name", "Guyline plan")
    for place in places:
        _placemark(document, place)
    for line in lines:
        placemark = _sub(document, "Placemark")
        ends = (line.from_place, line.to_place)
        _sub(placemark, "name", " - ".join(clean(end.identifier) for end in ends))
        drawn = _sub(placemark, "LineString")
        _sub(drawn, "tessellate", "1")
        _sub(drawn, "coordinates", " ".join(_coordinates(end) for end in ends))
    indent(root)
    return bytes(tostring(root, encoding="UTF-8", xml_declaration=True)) + b"\n"


def _placemark(document: Element, place: Place) -> None:
    placemark = _sub(document, "Placemark")
    if place.identifier:
        _sub(placemark, "name", clean(place.identifier))
    extra = own_fields(place, *_EXTRA)
    if extra:
        data = _sub(placemark, "ExtendedData")
        for name, text in extra.items():
            entry = SubElement(data, f"{{{_KML}}}Data", {"name": name})
            _sub(entry, "value", text)
    point = _sub(placemark, "Point")  # clamped to the ground unless it says otherwise
    height = "" if place.height_m is None else f",{place.height_m!r}"
    _sub(point, "coordinates", _coordinates(place) + height)


def _coordinates(place: Place) -> str:
    return f"{place.lon_deg:.{DEGREE_DECIMALS}f},{place.lat_deg:.{DEGREE_DECIMALS}f}"


def _sub(parent: Element, name: str, text: str | None = None) -> Element:
    element = SubElement(parent, f"{{{_KML}}}{name}")
    element.text = text
    return element


def places_of_kml(data: bytes) -> PlacesRead:
    """Return the point placemarks of a KML or KMZ file.

    Raises
    ------
    InputError
        It is no such file, or one that could do harm.
    """
    check_size(data)
    root = parsed(_unzipped(data) if data[:2] == b"PK" else data, "kml")
    places, problems, left_out = [], [], 0
    marks = list(all_named(root, "Placemark"))
    check_count(marks)
    for number, placemark in enumerate(marks, 1):
        point = next((child for child in placemark if local_name(child) == "Point"), None)
        if point is None:
            left_out += 1
            continue
        try:
            places.append(_place(placemark, point))
        except InputError as error:
            problems.append(f"Placemark {number} {error}.")
    if left_out:
        problems.append(f"{left_out} lines and areas were left out; only points are places.")
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _place(placemark: Element, point: Element) -> Place:
    numbers = child_text(point, "coordinates").strip().split(",")
    if len(numbers) not in (2, 3):
        raise InputError("has no coordinates that can be read")
    lon, lat, *height = [finite(number) for number in numbers]
    problem = position_problem(lat, lon)
    if problem:
        raise InputError(problem)
    assert lat is not None
    assert lon is not None
    fields: dict[str, str | float | None] = {
        "height_m": height[0] if height else None,
        "name": child_text(placemark, "description"),
    }
    for entry in all_named(placemark, "Data"):
        fields[entry.get("name", "")] = child_text(entry, "value")
    return place_from(lat, lon, child_text(placemark, "name"), fields)


def _unzipped(data: bytes) -> bytes:
    """Return the first KML file of an archive, read in memory and never further than allowed."""
    with opened_archive(data, "Ask for it again as KML.") as archive:
        entries = archive.infolist()
        inside = [e for e in entries if e.filename.lower().endswith(".kml")]
        if len(entries) > MOST_ENTRIES or not inside:
            raise InputError(
                f"The archive holds {len(entries)} files and {len(inside)} KML files.",
                advice="A KMZ file needs one KML file and little else.",
            )
        return content_of(archive, inside[0])
