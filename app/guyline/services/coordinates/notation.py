"""A place as it was understood from what somebody wrote."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from guyline.services.geodesy import decimal_degrees, degrees_minutes, degrees_minutes_seconds

METRES_PER_DEGREE = 111_320.0  # of a great circle on the mean Earth, for rounding errors only

LEFT_OUT = "left out: "
"""Begins the note that names the words of a text which are no part of the place."""


class Notation(StrEnum):
    """How a place was written."""

    DECIMAL = "decimal degrees"
    MINUTES = "degrees and minutes"
    SECONDS = "degrees, minutes and seconds"
    UTM = "UTM"
    MGRS = "MGRS"
    GEO_URI = "geo URI"
    LINK = "numbers of a link"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One way to understand a text; the text may allow several.

    Attributes
    ----------
    resolution_m
        How far the place may be off for want of digits alone.
    height_m
        A third number that came with the place, None where none did. Above what, only the
        writer knows: a satellite receiver may mean the ellipsoid.
    notes
        What had to be assumed, in words.
    """

    lat_deg: float
    lon_deg: float
    notation: Notation
    resolution_m: float
    height_m: float | None = None
    notes: tuple[str, ...] = ()

    @property
    def echo(self) -> str:
        """The place in the notation it was written in, to be read back before it is accepted."""
        written = _ECHOES.get(self.notation, decimal_degrees)
        return written(self.lat_deg, self.lon_deg)


_ECHOES = {
    Notation.MINUTES: degrees_minutes,
    Notation.SECONDS: degrees_minutes_seconds,
}
