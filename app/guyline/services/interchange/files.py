"""Files of places by their kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from guyline.errors import InputError
from guyline.services.interchange.csv_columns import guessed_columns
from guyline.services.interchange.csv_places import csv_of_places, places_of_table
from guyline.services.interchange.csv_table import read_table
from guyline.services.interchange.geojson import geojson_of_places, places_of_geojson
from guyline.services.interchange.geopackage import geopackage_of_places, places_of_geopackage
from guyline.services.interchange.gpx import gpx_of_places, places_of_gpx
from guyline.services.interchange.kml import kml_of_places, places_of_kml
from guyline.services.interchange.place import MOST_BYTES, Line, Place, PlacesRead
from guyline.services.interchange.shapefile_places import (
    SIDE_FILES,
    places_of_shapefile,
    zipped_shapefile,
)
from guyline.services.whole_files import write_whole


def _places_of_csv(data: bytes) -> PlacesRead:
    table = read_table(data)
    return places_of_table(table, guessed_columns(table))


@dataclass(frozen=True, slots=True, kw_only=True)
class FileKind:
    """A kind of file; `written` is None where it is only read."""

    words: str
    read: Callable[[bytes], PlacesRead]
    written: Callable[[Sequence[Place], Sequence[Line]], bytes] | None


_KML = FileKind(words="KML, for maps", read=places_of_kml, written=kml_of_places)
_GEOJSON = FileKind(
    words="GeoJSON, for geographic information systems",
    read=places_of_geojson,
    written=geojson_of_places,
)
_SHAPEFILE = FileKind(
    words="shapefile, of geographic information systems",
    read=places_of_shapefile,
    written=None,
)
FORMATS = {
    ".csv": FileKind(words="CSV, for spreadsheets", read=_places_of_csv, written=csv_of_places),
    ".gpx": FileKind(
        words="GPX, for receivers of the crew", read=places_of_gpx, written=gpx_of_places
    ),
    ".geojson": _GEOJSON,
    ".json": _GEOJSON,
    ".gpkg": FileKind(
        words="GeoPackage, for geographic information systems",
        read=places_of_geopackage,
        written=geopackage_of_places,
    ),
    ".kml": _KML,
    ".kmz": FileKind(words="KMZ, for maps", read=places_of_kml, written=None),
    ".shp": _SHAPEFILE,
    ".zip": _SHAPEFILE,
    ".txt": FileKind(words="table of text", read=_places_of_csv, written=None),
}


def read_places(path: Path) -> PlacesRead:
    """Return the places of a file; columns of a CSV file are guessed.

    Raises
    ------
    InputError
        It cannot be read, is of another kind, damaged or could do harm.
    """
    kind = _kind(path)
    if path.suffix.lower() == ".shp":
        return kind.read(zipped_shapefile(path, _with_side_files(path)))
    return kind.read(file_bytes(path))


def _with_side_files(path: Path) -> dict[str, bytes]:
    """Return a .shp file and what stands beside it, by their endings."""
    found = {".shp": file_bytes(path)}
    for ending in SIDE_FILES:
        beside = (path.with_suffix(e) for e in (ending, ending.upper()))
        file = next((file for file in beside if file.is_file()), None)
        if file is not None:
            found[ending] = file_bytes(file)
    return found


def file_bytes(path: Path) -> bytes:
    """Return what a file holds, one byte beyond the limit at most.

    Raises
    ------
    InputError
        It cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as error:
        raise InputError(
            f"{path.name} cannot be read: {error.strerror}.", advice="Choose another file."
        ) from error


def write_places(path: Path, places: Sequence[Place], lines: Sequence[Line] = ()) -> None:
    """Write places, and links where the kind of file has room for them.

    Raises
    ------
    InputError
        The file's ending names no kind that is written here.
    PlanFileError
        It cannot be written.
    """
    kind = _kind(path)
    if kind.written is None:
        raise InputError(
            f"{path.suffix} files are only read here.", advice="Write KML or GeoPackage instead."
        )
    write_whole(path, kind.written(places, lines))


def _kind(path: Path) -> FileKind:
    kind = FORMATS.get(path.suffix.lower())
    if kind is None:
        raise InputError(
            f"{path.name} is of a kind that holds no places here.",
            advice=f"Choose one of {', '.join(FORMATS)}.",
        )
    return kind
