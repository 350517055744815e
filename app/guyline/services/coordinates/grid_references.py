"""Reads UTM coordinates and MGRS references."""

from __future__ import annotations

import re

from guyline.errors import InputError
from guyline.services.coordinates.notation import Candidate, Notation
from guyline.services.geodesy import Utm, from_mgrs, from_utm, utm_zone

_MGRS = re.compile(
    r"\b(?P<square>(?:\d{1,2}\s?[C-HJ-NP-X]|[ABYZ])\s?[A-HJ-NP-Z]{2})"
    r"\s?(?P<digits>\d[\d ]*)?(?![\w°'\".])",
    re.IGNORECASE,
)
_UTM = re.compile(
    r"(?:\b(?:utm|zone)\b[\s:,]*)*\b(?P<zone>\d{1,2})\s?(?P<letter>north|south|[c-hj-np-x])\b"
    r"[\s,;:]*(?P<first>\d{5,8}(?:[.,]\d+)?)\s?(?P<first_axis>m?\s?[en])?\b"
    r"[\s,;]*(?P<second>\d{1,8}(?:[.,]\d+)?)\s?(?P<second_axis>m?\s?[en])?\b",
    re.IGNORECASE,
)


def read_mgrs(text: str) -> tuple[Candidate, ...]:
    """Return the middle of an MGRS square, nothing where the text is none."""
    match = _MGRS.fullmatch(text) or _MGRS.search(re.sub(r"(?i)\bmgrs\b:?", " ", text))
    if match is None or not (match["digits"] or match.group() == text):
        return ()
    digits = (match["digits"] or "").replace(" ", "")
    square = match["square"].replace(" ", "").upper()
    if square.endswith("UTM") and len(digits) > 10:
        return ()  # the word, not a square
    if len(digits) % 2 or len(digits) > 10:
        raise InputError(
            f"The MGRS reference {square} {digits} has {len(digits)} digits.",
            advice="It needs an even number of digits, at most ten: half are easting.",
        )
    try:
        lat, lon = from_mgrs(square + digits)
    except ValueError as error:
        raise InputError(
            f"There is no MGRS square {square}.",
            advice="Check its letters: zone, band and two letters of the 100 km square.",
        ) from error
    side_m = 10.0 ** (5 - len(digits) // 2)
    return (
        Candidate(
            lat_deg=lat,
            lon_deg=lon,
            notation=Notation.MGRS,
            resolution_m=side_m / 2.0,
            notes=(f"middle of a square of {side_m:g} m",) if side_m > 1.0 else (),
        ),
    )


def read_utm(text: str) -> tuple[Candidate, ...]:
    """Return the place of UTM coordinates, two where the letter S may mean two things."""
    match = _UTM.search(text)
    if match is None:
        return ()
    first, second = (match[k].replace(",", ".") for k in ("first", "second"))
    axis = (match["first_axis"] or "").lower()
    easting, northing = (second, first) if axis.endswith("n") else (first, second)
    zone, letter = int(match["zone"]), match["letter"].upper()
    if not 1 <= zone <= 60:
        raise InputError(f"There is no UTM zone {zone}.", advice="Zones run from 1 to 60.")
    decimals = min(len(n.partition(".")[2]) for n in (easting, northing))
    found = [
        _of_utm(
            zone, is_north, float(easting), float(northing), 0.5 * 10.0**-decimals, band, notes
        )
        for is_north, band, notes in _meanings(letter)
    ]
    possible = tuple(candidate for candidate in found if candidate is not None)
    if not possible:
        raise InputError(
            f"Easting {easting} and northing {northing} are not in zone {zone} {letter}.",
            advice="Easting comes first and lies between 100 000 and 900 000 m.",
        )
    return possible


def _meanings(letter: str) -> tuple[tuple[bool, str, tuple[str, ...]], ...]:
    """Return what a zone's letter may mean: is it north, in which band, with what note."""
    if letter == "S":
        return (
            (False, "", ("S taken as the southern hemisphere",)),
            (True, "S", ("S taken as latitude band S, which is in the north",)),
        )
    if letter in ("N", "NORTH", "SOUTH"):  # band N is in the north too
        return ((letter != "SOUTH", "", ()),)
    return ((letter > "N", letter, ()),)


def _is_in_band(lat_deg: float, band: str) -> bool:
    """Whether a latitude lies in a band of 8 degrees, counted from 80 S; band X has 12."""
    south = -80.0 + 8.0 * "CDEFGHJKLMNPQRSTUVWX".index(band)
    north = 84.0 if band == "X" else south + 8.0
    return south - 0.01 <= lat_deg <= north + 0.01


def _of_utm(
    zone: int,
    is_north: bool,
    easting_m: float,
    northing_m: float,
    resolution_m: float,
    band: str,
    notes: tuple[str, ...],
) -> Candidate | None:
    if not 100_000.0 <= easting_m <= 900_000.0 or not 0.0 <= northing_m <= 10_000_000.0:
        return None
    position = Utm(zone=zone, is_north=is_north, easting_m=easting_m, northing_m=northing_m)
    lat, lon = from_utm(position)
    if not -80.5 <= lat <= 84.5:
        return None
    if band and not _is_in_band(lat, band):
        if band == "S":
            return None  # then S can only have meant south
        notes = (*notes, f"latitude band {band} does not fit this northing")
    if utm_zone(lat, lon) != zone:
        notes = (*notes, f"outside zone {zone} proper")
    return Candidate(
        lat_deg=lat, lon_deg=lon, notation=Notation.UTM, resolution_m=resolution_m, notes=notes
    )
