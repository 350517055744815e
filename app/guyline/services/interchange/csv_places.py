"""Places out of a table of text, and into one."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence

from guyline.errors import InputError
from guyline.services.coordinates import read_coordinates
from guyline.services.interchange.csv_columns import Column
from guyline.services.interchange.csv_table import CsvTable, defused, number
from guyline.services.interchange.place import (
    DEGREE_DECIMALS,
    Line,
    Place,
    PlacesRead,
    clean,
    function_of,
    position_problem,
)


def _number_text(value: float | None) -> str:
    return "" if value is None else repr(value)


_WRITTEN: dict[Column, Callable[[Place], str]] = {
    Column.IDENTIFIER: lambda place: defused(clean(place.identifier)),
    Column.NAME: lambda place: defused(clean(place.name)),
    Column.FUNCTION: lambda place: place.function or "",
    Column.LATITUDE: lambda place: f"{place.lat_deg:.{DEGREE_DECIMALS}f}",
    Column.LONGITUDE: lambda place: f"{place.lon_deg:.{DEGREE_DECIMALS}f}",
    Column.UNCERTAINTY: lambda place: _number_text(place.uncertainty_m),
    Column.HEIGHT: lambda place: _number_text(place.height_m),
    Column.ANTENNA: lambda place: _number_text(place.antenna_agl_m),
    Column.SOURCE: lambda place: defused(clean(place.source)),
    Column.NOTES: lambda place: defused(clean(place.notes)),
}


def csv_of_places(places: Sequence[Place], lines: Sequence[Line] = ()) -> bytes:
    """Return a table for spreadsheets; it has no place for `lines`.

    A byte order mark tells spreadsheets that it is UTF-8. Texts are quoted, because an
    identifier such as 1E10 or 007 would become a number.
    """
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow([column.value for column in _WRITTEN])
    for place in places:
        writer.writerow([written(place) for written in _WRITTEN.values()])
    return text.getvalue().encode("utf-8-sig")


def places_of_table(table: CsvTable, columns: Sequence[Column | None]) -> PlacesRead:
    """Return the places of a table whose columns have a meaning each.

    Raises
    ------
    InputError
        No column holds a position.
    """
    meanings = set(columns)
    if Column.POSITION not in meanings and not (
        Column.LATITUDE in meanings and Column.LONGITUDE in meanings
    ):
        raise InputError(
            "No column of the table is known to hold the position.",
            advice="Say which columns are latitude and longitude.",
        )
    places, problems = [], list(table.notes)
    for row_number, row in enumerate(table.rows, 2 if table.header else 1):
        cells = {
            column: row[i] if i < len(row) else ""
            for i, column in enumerate(columns)
            if column is not None
        }
        try:
            places.append(_place(cells, decimal_comma=table.decimal_comma))
        except InputError as error:
            problems.append(f"Row {row_number}: {error}")
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _place(cells: dict[Column, str], *, decimal_comma: bool) -> Place:
    def value(column: Column) -> float | None:
        text = cells.get(column, "")
        try:
            return number(text, decimal_comma=decimal_comma)
        except ValueError as error:
            raise InputError(f"“{text[:40]}” is no number for the {column.value}.") from error

    lat, lon, how = _position(cells, decimal_comma=decimal_comma)
    return Place(
        lat_deg=lat,
        lon_deg=lon,
        identifier=cells.get(Column.IDENTIFIER, ""),
        name=cells.get(Column.NAME, ""),
        function=function_of(cells.get(Column.FUNCTION)),
        uncertainty_m=value(Column.UNCERTAINTY),
        height_m=value(Column.HEIGHT),
        antenna_agl_m=value(Column.ANTENNA),
        source=cells.get(Column.SOURCE, "") or how,
        notes=cells.get(Column.NOTES, ""),
    )


def _position(cells: dict[Column, str], *, decimal_comma: bool) -> tuple[float, float, str]:
    """Return latitude, longitude and, where they were written in words, how they were read."""
    lat_text, lon_text = cells.get(Column.LATITUDE, ""), cells.get(Column.LONGITUDE, "")
    try:
        lat = number(lat_text, decimal_comma=decimal_comma)
        lon = number(lon_text, decimal_comma=decimal_comma)
    except ValueError:  # degrees and minutes, or letters
        return _understood(f"lat {lat_text} lon {lon_text}", f"{lat_text} {lon_text}")
    if lat is None and lon is None and cells.get(Column.POSITION):
        return _understood(cells[Column.POSITION])
    problem = position_problem(lat, lon)
    if problem:
        raise InputError(f"it {problem}.")
    assert lat is not None
    assert lon is not None
    return lat, lon, ""


def _understood(*texts: str) -> tuple[float, float, str]:
    error = InputError("it has no position.")
    for text in texts:
        try:
            found = read_coordinates(text)[0]
        except InputError as failed:
            error = failed
            continue
        return found.lat_deg, found.lon_deg, f"read from “{text}”"[:200]
    raise error
