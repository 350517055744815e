"""Reads a place in any of the notations that people send: first the marked ones, then angles."""

from __future__ import annotations

import re
import unicodedata
from urllib.parse import unquote

from guyline.errors import InputError
from guyline.services.coordinates.angles import read_angles
from guyline.services.coordinates.grid_references import read_mgrs, read_utm
from guyline.services.coordinates.notation import METRES_PER_DEGREE, Candidate, Notation

MOST_CHARACTERS = 2_000
ADVICE = "Write latitude and longitude as in 41.29 S 174.80 E, 41 17.4 S 174 48.0 E or MGRS."

_GEO = re.compile(
    r"geo:\s*(?P<lat>[-+]?\d+(?:\.\d+)?),(?P<lon>[-+]?\d+(?:\.\d+)?)"
    r"(?:,(?P<height>[-+]?\d+(?:\.\d+)?))?(?P<parameters>(?:;[^?\s]*)?)",
    re.IGNORECASE,
)
_LINK = re.compile(r"^[a-z][a-z0-9+.-]*://", re.IGNORECASE)
_KEYED = re.compile(
    r"\b(?P<key>lat|latitude|mlat|y|lon|lng|long|longitude|mlon|x)=(?P<value>[-+]?\d+(?:\.\d+)?)",
    re.IGNORECASE,
)
_PAIR = re.compile(r"(?<![\d.])([-+]?\d{1,3}\.\d{2,})\s*[,/ ;+]\s*([-+]?\d{1,3}\.\d{2,})(?![\d.])")
_SAME = str.maketrans(
    {
        "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-",
        "º": "°", "˚": "°", "ᵒ": "°",
        "’": "'", "‘": "'", "′": "'", "´": "'", "`": "'", "ʹ": "'",
        "”": '"', "“": '"', "″": '"', "ʺ": '"', "„": '"',
    }
)  # fmt: skip


def read_coordinates(text: str) -> tuple[Candidate, ...]:
    """Return the places that a text may mean, the likeliest first; never an empty tuple.

    Raises
    ------
    InputError
        The text is no place, or one that cannot be on Earth.
    """
    if len(text) > MOST_CHARACTERS:
        raise InputError(f"{len(text)} characters are more than a position needs.", advice=ADVICE)
    plain = _plain(text)
    if not plain:
        raise InputError("No position was given.", advice=ADVICE)
    for read in (_geo_uri, _link, read_mgrs, read_utm):
        found = read(plain)
        if found:
            return found
    return read_angles(plain)


def _plain(text: str) -> str:
    """Return the text with one sign for each mark, and single spaces."""
    # marks first: NFKC would turn the ordinal º into the letter o
    text = unicodedata.normalize("NFKC", text.translate(_SAME)).translate(_SAME)
    text = text.replace("''", '"')
    return " ".join(c for c in re.split(r"[\s\u200b\u200e\u200f\ufeff]+", text) if c)


def _geo_uri(text: str) -> tuple[Candidate, ...]:
    match = _GEO.search(text)
    if match is None:
        return ()
    parameters = dict(
        part.partition("=")[::2] for part in match["parameters"].lower().split(";") if part
    )
    crs = parameters.get("crs", "wgs84")
    if crs != "wgs84":
        raise InputError(
            f"The geo URI uses the coordinate system {crs}, which is not read here.",
            advice="Ask for the position in WGS 84.",
        )
    lat, lon = float(match["lat"]), float(match["lon"])
    # without u the writer leaves the uncertainty unknown (RFC 5870, 3.4.3): the digits remain
    resolution = _resolution_m(match["lat"], match["lon"])
    stated = parameters.get("u", "")
    if re.fullmatch(r"\d+(\.\d+)?", stated):
        resolution = float(stated)
    height = None if match["height"] is None else float(match["height"])
    return (_checked(lat, lon, Notation.GEO_URI, resolution, height, ()),)


def _link(text: str) -> tuple[Candidate, ...]:
    """Return the first pair of numbers in a link that can be a place."""
    if not _LINK.match(text):
        return ()
    text = unquote(text)
    keyed = {match["key"].lower(): match["value"] for match in _KEYED.finditer(text)}
    lat = next((v for k, v in keyed.items() if "lat" in k or k == "y"), None)
    lon = next((v for k, v in keyed.items() if ("l" in k and "lat" not in k) or k == "x"), None)
    if lat is not None and lon is not None:
        pairs = [(lat, lon)]
    else:
        pairs = [(m[1], m[2]) for m in _PAIR.finditer(text)]
    note = ("from the numbers of a link, taken as latitude and longitude: see it on the map",)
    found = [
        _checked(float(a), float(b), Notation.LINK, _resolution_m(a, b), None, note)
        for a, b in pairs
        if abs(float(a)) <= 90.0 and abs(float(b)) <= 180.0
    ]
    if not found:
        raise InputError("The link holds no numbers that can be a position.", advice=ADVICE)
    return tuple(dict.fromkeys(found))


def _resolution_m(*numbers: str) -> float:
    digits = min(len(number.partition(".")[2]) for number in numbers)
    return float(0.5 * METRES_PER_DEGREE * 10.0**-digits)


def _checked(
    lat_deg: float,
    lon_deg: float,
    notation: Notation,
    resolution_m: float,
    height_m: float | None,
    notes: tuple[str, ...],
) -> Candidate:
    if abs(lat_deg) > 90.0 or abs(lon_deg) > 180.0:
        raise InputError(
            f"Latitude {lat_deg:g}, longitude {lon_deg:g} is not on Earth.", advice=ADVICE
        )
    return Candidate(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        notation=notation,
        resolution_m=resolution_m,
        height_m=height_m,
        notes=notes,
    )
