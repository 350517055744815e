"""Places in free text, one a line: a name, then a position in any notation."""

from __future__ import annotations

import re

from guyline.errors import InputError
from guyline.services.coordinates import LEFT_OUT, Candidate, read_coordinates
from guyline.services.interchange.place import Place, PlacesRead, check_count, clean

_MOST_NAME_WORDS = 8
_LONGEST_LINE = 500
_EDGES = " \t,;:|-–—"
_WORD = re.compile(r"\S+")
_SIGNED = re.compile(r"[-–—]\d")


def places_of_lines(text: str) -> PlacesRead:
    """Return the places of a text in which every line holds one.

    What stands before the position is the name; a line without a position is a problem told.

    Raises
    ------
    InputError
        No line holds a position, or there are too many.
    """
    places, problems = [], []
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1)]
    lines = [(number, line) for number, line in lines if line]
    check_count(lines)
    for number, line in lines:
        try:
            places.append(_place(clean(line)))
        except InputError as error:
            problems.append(f"Line {number}: {error}")
    if not places:
        raise InputError(
            "No line of the text holds a position.",
            advice="Write one place a line, as in: Hall 41.29 S 174.80 E.",
        )
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _place(line: str) -> Place:
    if len(line) > _LONGEST_LINE:
        raise InputError(f"it has {len(line)} characters, more than a place needs.")
    found, name = _found(line)
    return Place(
        lat_deg=found.lat_deg,
        lon_deg=found.lon_deg,
        name=name,
        height_m=found.height_m,
        source=f"read from “{line}”"[:200],
    )


def _found(line: str) -> tuple[Candidate, str]:
    """Return the position and the name: what stands before it, or was left out within it."""
    found: tuple[Candidate, str] | None = None
    with_rest: Candidate | None = None
    failure: InputError | None = None
    for word in list(_WORD.finditer(line))[: _MOST_NAME_WORDS + 1]:
        try:
            read = read_coordinates(_from(line, word.start()))[0]
        except InputError as error:
            failure = failure or error
            continue
        if _left_out(read):
            with_rest = with_rest or read
        elif found is None or _is_same(found[0], read):  # the word before was no part of it
            found = read, line[: word.start()].strip(_EDGES)
    if found is not None:
        return found
    if with_rest is not None:
        return with_rest, _left_out(with_rest)
    raise failure or InputError("it has no position.")


def _is_same(one: Candidate, other: Candidate) -> bool:
    return (one.lat_deg, one.lon_deg) == (other.lat_deg, other.lon_deg)


def _left_out(found: Candidate) -> str:
    """Return the words within a text that are no part of the position."""
    notes = (note for note in found.notes if note.startswith(LEFT_OUT))
    return next((note.removeprefix(LEFT_OUT) for note in notes), "")


def _from(line: str, start: int) -> str:
    """Return the rest of a line, with the minus sign that belongs to its first number."""
    rest = line[start:]
    return rest if _SIGNED.match(rest) else rest.lstrip(_EDGES)
