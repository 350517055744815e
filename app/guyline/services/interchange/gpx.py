"""GPX 1.1: waypoints, for the satellite receivers of the crew.

The order of a waypoint's children is fixed by the schema: ele, time, magvar, geoidheight, name,
cmt, desc, src, link, sym, type, fix, sat, hdop, vdop, pdop, ageofdgpsdata, dgpsid, extensions.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, register_namespace, tostring

from guyline.errors import InputError
from guyline.services.interchange.own_fields import own_fields, place_from
from guyline.services.interchange.place import (
    DEGREE_DECIMALS,
    Line,
    Place,
    PlacesRead,
    check_count,
    clean,
    finite,
    position_problem,
)
from guyline.services.interchange.xml_text import (
    OWN_NAMESPACE,
    all_named,
    child_text,
    local_name,
    namespace,
    parsed,
)

_GPX = "http://www.topografix.com/GPX/1/1"
_EXTRA = ("function", "antenna_agl_m", "uncertainty_m", "notes", "source")


def gpx_of_places(places: Sequence[Place], lines: Sequence[Line] = ()) -> bytes:
    """Return a GPX file of waypoints named by their identifiers; it has no place for `lines`."""
    register_namespace("", _GPX)
    register_namespace("guyline", OWN_NAMESPACE)
    root = Element(f"{{{_GPX}}}gpx", {"version": "1.1", "creator": "Guyline"})
    for place in places:
        _waypoint(root, place)
    indent(root)
    return bytes(tostring(root, encoding="UTF-8", xml_declaration=True)) + b"\n"


def _waypoint(root: Element, place: Place) -> None:
    waypoint = SubElement(
        root,
        f"{{{_GPX}}}wpt",
        {
            "lat": f"{place.lat_deg:.{DEGREE_DECIMALS}f}",
            # the schema takes -180 and not 180
            "lon": f"{-180.0 if place.lon_deg >= 180.0 else place.lon_deg:.{DEGREE_DECIMALS}f}",
        },
    )
    children = (
        ("ele", "" if place.height_m is None else repr(place.height_m)),
        ("name", clean(place.identifier)),
        ("desc", clean(place.name)),
    )
    for name, text in children:
        if text:
            SubElement(waypoint, f"{{{_GPX}}}{name}").text = text
    extra = own_fields(place, *_EXTRA)
    if extra:
        extensions = SubElement(waypoint, f"{{{_GPX}}}extensions")
        for name, text in extra.items():
            SubElement(extensions, f"{{{OWN_NAMESPACE}}}{name}").text = text


def places_of_gpx(data: bytes) -> PlacesRead:
    """Return the waypoints of a GPX file, 1.0 or 1.1.

    Raises
    ------
    InputError
        It is no GPX file, or one that could do harm.
    """
    root = parsed(data, "gpx")
    waypoints = [child for child in root if local_name(child) == "wpt"]
    check_count(waypoints)
    places, problems = [], []
    for number, waypoint in enumerate(waypoints, 1):
        try:
            places.append(_place(waypoint))
        except InputError as error:
            problems.append(f"Waypoint {number} {error}.")
    left_out = sum(local_name(child) in ("trk", "rte") for child in root)
    if left_out:
        problems.append(f"{left_out} tracks and routes were left out; only waypoints are places.")
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _place(waypoint: Element) -> Place:
    lat, lon = finite(waypoint.get("lat")), finite(waypoint.get("lon"))
    problem = position_problem(lat, lon)
    if problem:
        raise InputError(problem)
    assert lat is not None
    assert lon is not None
    fields: dict[str, str | float | None] = {
        "height_m": finite(child_text(waypoint, "ele")),
        "name": child_text(waypoint, "desc") or child_text(waypoint, "cmt"),
        "source": child_text(waypoint, "src"),
    }
    for extensions in all_named(waypoint, "extensions"):
        own = (child for child in extensions if namespace(child) == OWN_NAMESPACE)
        fields.update({local_name(child): child.text for child in own})
    return place_from(lat, lon, child_text(waypoint, "name"), fields)
