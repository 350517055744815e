"""What the columns of a table mean: guessed from their heads and values, confirmed by people."""

from __future__ import annotations

import re
from enum import StrEnum

from guyline.services.interchange.csv_table import CsvTable, number


class Column(StrEnum):
    """What a column holds; the value heads it when it is written."""

    IDENTIFIER = "identifier"
    NAME = "name"
    FUNCTION = "function"
    LATITUDE = "latitude (degrees)"
    LONGITUDE = "longitude (degrees)"
    POSITION = "position"
    UNCERTAINTY = "position uncertainty (m)"
    HEIGHT = "ground height (m above sea level)"
    ANTENNA = "antenna height (m above ground)"
    SOURCE = "position source"
    NOTES = "notes"


_WORDS = {
    Column.IDENTIFIER: {"identifier", "id", "code", "site id", "site", "no", "nr", "number"},
    Column.NAME: {"name", "title", "place", "description", "site name", "label"},
    Column.FUNCTION: {"function", "type", "role", "kind"},
    Column.LATITUDE: {"latitude", "lat", "y", "lat deg", "breite", "breitengrad", "latitud"},
    Column.LONGITUDE: {
        "longitude", "lon", "long", "lng", "x", "lon deg", "länge", "längengrad", "longitud",
    },
    Column.POSITION: {
        "position", "coordinates", "coordinate", "coords", "location", "grid reference",
        "grid ref", "mgrs", "utm", "lat lon", "latlon", "lat long", "gps",
    },
    Column.UNCERTAINTY: {"uncertainty", "accuracy", "position uncertainty", "error"},
    Column.HEIGHT: {
        "height", "elevation", "altitude", "ele", "ground height", "ground", "alt", "elev",
    },
    Column.ANTENNA: {"antenna height", "antenna", "antenna agl", "agl", "mast height", "mast"},
    Column.SOURCE: {"position source", "source"},
    Column.NOTES: {"notes", "note", "remarks", "remark", "comment", "comments"},
}  # fmt: skip


def guessed_columns(table: CsvTable) -> tuple[Column | None, ...]:
    """Return the likely meaning of each column, None where there is none; each occurs once."""
    columns: list[Column | None] = [None] * table.width
    for i, head in enumerate(table.header):
        meaning = meaning_of(head)
        if meaning is not None and meaning not in columns:
            columns[i] = meaning
    if not _has_position(columns):
        _guess_position(table, columns)
    if Column.IDENTIFIER not in columns and Column.NAME not in columns:
        _guess_name(table, columns)
    return tuple(columns)


def meaning_of(head: str) -> Column | None:
    """Return what a head says, its unit in brackets left aside."""
    words = re.sub(r"[\(\[].*?[\)\]]|[°/]", " ", head.lower().replace("_", " "))
    plain = re.sub(r"\b(degrees|deg|wgs ?84|m|amsl|agl|metres|meters)\b", " ", words)
    for text in (" ".join(words.split()), " ".join(plain.split())):
        for column, names in _WORDS.items():
            if text in names or text == column.value:
                return column
    return None


def _has_position(columns: list[Column | None]) -> bool:
    return Column.POSITION in columns or {Column.LATITUDE, Column.LONGITUDE} <= set(columns)


def _guess_position(table: CsvTable, columns: list[Column | None]) -> None:
    """Take the first two neighbouring columns of numbers with decimals as a position."""
    for i in range(table.width - 1):
        if columns[i] is None and columns[i + 1] is None:
            first, second = (_numbers(table, k) for k in (i, i + 1))
            if first and second and _within(first, 90.0) and _within(second, 180.0):
                columns[i], columns[i + 1] = Column.LATITUDE, Column.LONGITUDE
                return
            if first and second and _within(first, 180.0) and _within(second, 90.0):
                columns[i], columns[i + 1] = Column.LONGITUDE, Column.LATITUDE
                return


def _guess_name(table: CsvTable, columns: list[Column | None]) -> None:
    for i, column in enumerate(columns):
        cells = [row[i] for row in table.rows if i < len(row) and row[i]]
        if column is None and cells and _numbers(table, i) is None:
            columns[i] = Column.NAME
            return


def _numbers(table: CsvTable, column: int) -> list[float] | None:
    """Return the numbers of a column, None where it holds anything else or is empty."""
    found = []
    for row in table.rows:
        try:
            value = number(
                row[column] if column < len(row) else "", decimal_comma=table.decimal_comma
            )
        except ValueError:
            return None
        if value is not None:
            found.append(value)
    return found or None


def _within(values: list[float], limit: float) -> bool:
    return all(abs(value) <= limit for value in values) and any(value % 1.0 for value in values)
