"""Reads two angles, whatever stands between, before and after their numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from guyline.errors import InputError
from guyline.services.coordinates.notation import LEFT_OUT, METRES_PER_DEGREE, Candidate, Notation

_ADVICE = "Write latitude and longitude as in 41.29 S 174.80 E, 41 17.4 S 174 48.0 E or MGRS."
_DATUM = re.compile(r"\bwgs[ -]?(?:19)?84\b|\bepsg:4326\b", re.IGNORECASE)
_OTHER_DATUM = re.compile(
    r"\b(?:nad[ -]?(?:19)?27|ed[ -]?(?:19)?50|osgb[ -]?36|agd[ -]?(?:66|84)|nzgd[ -]?49|tokyo"
    r"|pulkovo(?:[ -]?42)?)\b",
    re.IGNORECASE,
)
_WORDS = {
    "latitude": "LAT", "lat": "LAT", "longitude": "LON", "long": "LON", "lon": "LON", "lng": "LON",
    "north": "N", "nord": "N", "south": "S", "sud": "S", "süd": "S", "east": "E", "ost": "E",
    "est": "E", "west": "W", "ouest": "W", "n": "N", "s": "S", "e": "E", "w": "W", "o": "O",
    "degrees": "°", "degree": "°", "deg": "°", "d": "°", "minutes": "'", "minute": "'",
    "min": "'", "m": "'", "seconds": '"', "second": '"', "sec": '"',
    "minus": "-", "point": ".", "decimal": ".",
}  # fmt: skip
_TOKEN = re.compile(r"[-+]?\d+(?:\.\d+)?|[^\W\d_]+|[°'\"]|[,;|/:()\[\]=+.-]")
_NUMBER = re.compile(r"[-+]?\d")
_LETTERED = re.compile(r"(\d+)\s?d\s?(\d+)\s?m\s?(\d+(?:[.,]\d+)?)\s?s", re.IGNORECASE)
_ISO_6709 = re.compile(r"^\s*[-+]\d+(?:\.\d+)?[-+]\d+(?:\.\d+)?([-+]\d+(?:\.\d+)?)?/?\s*$")
_DECIMAL_COMMA = re.compile(r"(?<![\d,.])(\d+),(\d+)(?![\d,.])")


@dataclass
class _Angle:
    """The numbers of one angle, and the letter or word that says which it is."""

    numbers: list[str] = field(default_factory=list)
    letter: str = ""

    @property
    def is_lat(self) -> bool:
        return self.letter in ("N", "S", "LAT")

    @property
    def is_lon(self) -> bool:
        return self.letter in ("E", "W", "O", "LON")


def read_angles(text: str) -> tuple[Candidate, ...]:
    """Return the places that two angles may mean, the likeliest first.

    Raises
    ------
    InputError
        There are not two angles, or they cannot be latitude and longitude.
    """
    notes = _datum_notes(text)
    text = _OTHER_DATUM.sub(" ", _DATUM.sub(" ", text))
    tokens, left_out = _tokens(_with_points(_with_marks(text)))
    if left_out:
        notes = (*notes, f"{LEFT_OUT}{', '.join(left_out)}")
    first, second, height = _two_angles(tokens, text)
    if height is not None:
        notes = (*notes, "third number taken as a height")
    return _candidates(first, second, height, notes, text)


def _datum_notes(text: str) -> tuple[str, ...]:
    other = _OTHER_DATUM.search(text)
    if other is None:
        return ()
    return (f"says {other.group().upper()}, taken as WGS 84: may be off by hundreds of metres",)


def _with_marks(text: str) -> str:
    """Return the text with marks for the letters of 41d17m24s, spaces for hyphens of 41-17."""
    text = _LETTERED.sub(r"\1°\2'\3\"", text)
    # in +41.29-174.80/ and its like (ISO 6709) a hyphen is the sign of the longitude
    return text if _ISO_6709.match(text) else re.sub(r"(?<=\d)-(?=\d)", " ", text)


def _with_points(text: str) -> str:
    """Return the text with decimal points where commas are decimal ones."""
    four = re.fullmatch(r"\s*([-+]?\d+),(\d+),\s*([-+]?\d+),(\d+)\s*", text)
    if four:
        return f"{four[1]}.{four[2]} {four[3]}.{four[4]}"
    commas = _DECIMAL_COMMA.findall(text)
    if not commas or re.search(r"\d\.\d", text):
        return text
    if len(commas) == 1 and re.fullmatch(r"\s*[-+]?\d+,\d+\s*", text):
        return text  # two whole numbers
    return _DECIMAL_COMMA.sub(r"\1.\2", text)


def _tokens(text: str) -> tuple[list[str], list[str]]:
    """Return numbers, letters and marks in order, and the words that were left out."""
    tokens, left_out = [], []
    for token in _TOKEN.findall(text):
        if not token[0].isalpha():
            tokens.append(token)
            continue
        known = _WORDS.get(token.lower())
        if known:
            tokens.append(known)
        elif len(token) > 2:
            left_out.append(token)
        else:
            raise InputError(f"“{token}” is not understood in a position.", advice=_ADVICE)
    return _spoken(tokens), left_out


def _spoken(tokens: list[str]) -> list[str]:
    """Join what was dictated: "minus 41 point 29" is one number."""
    joined: list[str] = []
    for token in tokens:
        before = joined[-1] if joined else ""
        if _NUMBER.match(token) and before == "-":
            joined[-1] = f"-{token}"
        elif token.isdigit() and before == "." and _is_whole(joined[-2:-1]):
            joined[-2:] = [f"{joined[-2]}.{token}"]
        else:
            joined.append(token)
    return joined


def _is_whole(tokens: list[str]) -> bool:
    return bool(tokens) and re.fullmatch(r"[-+]?\d+", tokens[0]) is not None


def _two_angles(tokens: list[str], text: str) -> tuple[_Angle, _Angle, float | None]:
    if any(token in _LETTERS for token in tokens):
        angles = _by_letters(tokens)
    else:
        angles = _by_marks(tokens) or _by_separators(tokens) or _by_count(tokens)
    height = None
    if len(angles) == 3 and not angles[2].letter and len(angles[2].numbers) == 1:
        height = float(angles.pop().numbers[0])
    if len(angles) != 2:
        count = sum(bool(_NUMBER.match(token)) for token in tokens)
        raise InputError(
            f"“{_short(text)}” has {count} numbers that are not two angles.", advice=_ADVICE
        )
    return angles[0], angles[1], height


_LETTERS = ("N", "S", "E", "W", "O", "LAT", "LON")


def _by_letters(tokens: Sequence[str]) -> list[_Angle]:
    """Split at hemisphere letters and axis words, which lead or trail their numbers."""
    words = [t for t in tokens if t in _LETTERS or _NUMBER.match(t)]
    leads = words[0] in _LETTERS
    angles = [_Angle()]
    for word in words:
        if word not in _LETTERS:
            if not leads and angles[-1].letter:
                angles.append(_Angle())
            angles[-1].numbers.append(word)
        elif leads and angles[-1].numbers and not _completes(angles[-1], word):
            angles.append(_Angle(letter=word))
        elif _completes(angles[-1], word) or not angles[-1].letter:
            angles[-1].letter = word
        else:
            raise InputError(f"“{word}” stands where a number should be.", advice=_ADVICE)
    return _with_loose_numbers(angles)


def _completes(angle: _Angle, letter: str) -> bool:
    """Whether a hemisphere follows its axis word: "lat 41.29 S"."""
    return (angle.letter == "LAT" and letter in "NS") or (
        angle.letter == "LON" and letter in "EWO"
    )


def _with_loose_numbers(angles: list[_Angle]) -> list[_Angle]:
    """Split off a number that follows where only one of two angles has a letter."""
    if len(angles) == 1 and angles[0].letter and len(angles[0].numbers) in (2, 4, 6):
        numbers, half = angles[0].numbers, len(angles[0].numbers) // 2
        return [_Angle(numbers[:half], angles[0].letter), _Angle(numbers[half:])]
    return angles


def _by_marks(tokens: Sequence[str]) -> list[_Angle]:
    """Split before each number that a degree sign follows."""
    starts = [
        i
        for i, token in enumerate(tokens)
        if _NUMBER.match(token) and i + 1 < len(tokens) and tokens[i + 1] == "°"
    ]
    if len(starts) != 2:
        return []
    return [_numbers(tokens[: starts[1]]), _numbers(tokens[starts[1] :])]


def _by_separators(tokens: Sequence[str]) -> list[_Angle]:
    """Split at the strongest separator that leaves two or three like parts."""
    for separator in (";", "|", "/", ","):
        parts = [_numbers(part) for part in _split(tokens, separator)]
        parts = [part for part in parts if part.numbers]
        lengths = [len(part.numbers) for part in parts]
        if len(parts) == 2 and lengths[0] == lengths[1] <= 3:
            return parts
        if len(parts) == 3 and lengths[:2] == [1, 1] and lengths[2] == 1:
            return parts
    return []


def _split(tokens: Sequence[str], separator: str) -> list[list[str]]:
    parts: list[list[str]] = [[]]
    for token in tokens:
        if token == separator:
            parts.append([])
        else:
            parts[-1].append(token)
    return parts


def _by_count(tokens: Sequence[str]) -> list[_Angle]:
    numbers = _numbers(tokens).numbers
    if len(numbers) == 3 and "." in numbers[0] and "." in numbers[1]:
        return [_Angle([number]) for number in numbers]
    if len(numbers) not in (2, 4, 6):
        return [_Angle(numbers)]
    half = len(numbers) // 2
    return [_Angle(numbers[:half]), _Angle(numbers[half:])]


def _numbers(tokens: Sequence[str]) -> _Angle:
    return _Angle([token for token in tokens if _NUMBER.match(token)])


def _candidates(
    first: _Angle, second: _Angle, height: float | None, notes: tuple[str, ...], text: str
) -> tuple[Candidate, ...]:
    if (first.is_lat and second.is_lat) or (first.is_lon and second.is_lon):
        both = "latitudes" if first.is_lat else "longitudes"
        raise InputError(f"“{_short(text)}” gives two {both}.", advice=_ADVICE)
    known_order = bool(first.letter or second.letter)
    lat_first = first.is_lat or second.is_lon or not known_order
    orders = [(first, second)] if lat_first else [(second, first)]
    if not known_order:
        orders.append((second, first))
    found, reasons = [], []
    for i, (lat, lon) in enumerate(orders):
        note = ("taken as longitude first",) if i else ()
        for flip_east in (False, True) if lon.letter == "O" else (False,):
            try:
                found.append(_candidate(lat, lon, height, (*notes, *note), west_o=flip_east))
            except InputError as error:
                reasons.append(error)
    if not found:
        raise reasons[0]
    return tuple(dict.fromkeys(found))


def _candidate(
    lat: _Angle, lon: _Angle, height: float | None, notes: tuple[str, ...], *, west_o: bool
) -> Candidate:
    lat_deg, lat_resolution, lat_parts = _degrees(lat, "latitude", 90)
    lon_deg, lon_resolution, lon_parts = _degrees(lon, "longitude", 180)
    if lon.letter == "O":
        # the letter is east in German and west in French, Italian, Spanish and Portuguese
        lon_deg = -abs(lon_deg) if west_o else abs(lon_deg)
        notes = (*notes, "O taken as west" if west_o else "O taken as east")
    if not (lat.letter in ("N", "S") and lon.letter in ("E", "W", "O")):
        notes = (*notes, "no letters for the hemispheres: signs taken as they stand")
    for angle in (lat, lon):
        if angle.numbers[0].startswith("-") and angle.letter in ("N", "S", "E", "W", "O"):
            notes = (*notes, f"both a minus and {angle.letter}: the letter was believed")
    notations = (Notation.DECIMAL, Notation.MINUTES, Notation.SECONDS)
    return Candidate(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        notation=notations[max(lat_parts, lon_parts) - 1],
        resolution_m=max(lat_resolution, lon_resolution) * METRES_PER_DEGREE,
        height_m=height,
        notes=notes,
    )


def _degrees(angle: _Angle, name: str, limit: int) -> tuple[float, float, int]:
    """Return degrees, half a unit of the last digit in degrees, and how many parts were given."""
    numbers = _unpacked(angle, limit)
    written = " ".join(numbers)
    if not 1 <= len(numbers) <= 3:
        raise InputError(f"The {name} has {len(numbers)} numbers.", advice=_ADVICE)
    if any("." in number for number in numbers[:-1]) or any(
        number[0] in "+-" for number in numbers[1:]
    ):
        raise InputError(f"“{written}” is not one {name}.", advice=_ADVICE)
    parts = [abs(float(number)) for number in numbers]
    if any(part >= 60.0 for part in parts[1:]):
        raise InputError(
            f"The {name} {written} has 60 or more minutes or seconds.", advice=_ADVICE
        )
    degrees = sum(part / 60.0**i for i, part in enumerate(parts))
    if degrees > limit:
        raise InputError(f"The {name} {written} lies beyond {limit} degrees.", advice=_ADVICE)
    decimals = len(numbers[-1].partition(".")[2])
    half_unit = 0.5 * 10.0**-decimals / 60.0 ** (len(numbers) - 1)
    is_negative = angle.letter in ("S", "W") or (
        angle.letter in ("", "LAT", "LON") and numbers[0].startswith("-")
    )
    return (-degrees if is_negative else degrees), half_unit, len(numbers)


def _unpacked(angle: _Angle, limit: int) -> list[str]:
    """Return degrees, minutes and seconds of numbers written without spaces: 4117.4, 411724."""
    if len(angle.numbers) != 1 or abs(float(angle.numbers[0])) <= limit:
        return angle.numbers
    sign, whole, rest = re.fullmatch(r"([-+]?)(\d+)(\.\d+)?", angle.numbers[0]).groups()  # type: ignore[union-attr]
    width = 2 if limit == 90 else 3
    cuts = {width + 2: (width,), width + 4: (width, width + 2)}.get(len(whole))
    if cuts is None:
        return angle.numbers
    edges = (0, *cuts, len(whole))
    parts = [whole[a:b] for a, b in pairwise(edges)]
    return [sign + parts[0], *parts[1:-1], parts[-1] + (rest or "")]


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
