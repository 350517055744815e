"""Shapefiles (ESRI technical description, July 1998): points, with the files that stand beside.

A shapefile is several files. They come zipped, or are looked for beside the .shp and zipped here,
so that one reader serves both.
"""

from __future__ import annotations

import codecs
import io
import re
import struct
import warnings
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from guyline.errors import InputError
from guyline.services.interchange.archive import MOST_ENTRIES, content_of, opened_archive
from guyline.services.interchange.csv_columns import Column, meaning_of
from guyline.services.interchange.own_fields import place_from
from guyline.services.interchange.place import (
    MOST_PLACES,
    Place,
    PlacesRead,
    check_count,
    check_size,
    clean,
    position_problem,
)

if TYPE_CHECKING:
    from pyproj import Transformer

SIDE_FILES = (".dbf", ".prj", ".cpg")
_POINTS = (1, 11, 21)  # point, point with height and measure, point with measure
_WITH_HEIGHT = 11
_NOTHING = 0
_MOST_PRJ_BYTES = 100_000
_FIELDS: dict[Column | None, str] = {
    Column.NAME: "name",
    Column.FUNCTION: "function",
    Column.UNCERTAINTY: "uncertainty_m",
    Column.HEIGHT: "height_m",
    Column.ANTENNA: "antenna_agl_m",
    Column.SOURCE: "source",
    Column.NOTES: "notes",
}
_SAME = 0.5  # degrees or metres: far outside its system a projection leads somewhere else
_AGAIN = "Ask for it again, as one zip file with .shp, .dbf and .prj."
_DAMAGE = (struct.error, ValueError, IndexError, KeyError, TypeError, OSError, OverflowError)


def zipped_shapefile(path: Path, read: Mapping[str, bytes]) -> bytes:
    """Return the files of a shapefile as one archive; `read` holds them by their endings."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        for ending, data in read.items():
            packed.writestr(path.stem + ending, data)
    return archive.getvalue()


def places_of_shapefile(data: bytes) -> PlacesRead:
    """Return the points of a zipped shapefile, in WGS 84.

    Raises
    ------
    InputError
        It is no such file, damaged, without its coordinate system, or could do harm.
    """
    check_size(data)
    parts = _unzipped(data)
    to_degrees = _transformer(parts.get(".prj"))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a head that lies about its length is no matter
            records = list(islice(_records(parts), MOST_PLACES + 1))
    except _DAMAGE as error:
        raise InputError("The shapefile is damaged.", advice=_AGAIN) from error
    check_count(records)
    places: list[Place] = []
    problems = [] if ".dbf" in parts else ["The .dbf file is missing, and names with it."]
    left_out = 0
    for number, (shape, fields) in enumerate(records, 1):
        if shape is None:
            left_out += 1
            continue
        try:
            places.append(_place(shape, fields, to_degrees))
        except InputError as error:
            problems.append(f"Record {number} {error}.")
    if left_out:
        problems.append(f"{left_out} lines and areas were left out; only points are places.")
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _unzipped(data: bytes) -> dict[str, bytes]:
    """Return the files of the one shapefile in an archive by their endings, read in memory."""
    with opened_archive(data, _AGAIN) as archive:
        entries = archive.infolist()
        inside = [entry for entry in entries if _is_shape(entry.filename)]
        if len(entries) > MOST_ENTRIES or len(inside) != 1:
            raise InputError(
                f"The archive holds {len(entries)} files and {len(inside)} shapefiles.",
                advice="Zip one shapefile with its .dbf and .prj, and nothing else.",
            )
        stem = inside[0].filename[:-4].casefold()
        beside = {stem + ending: ending for ending in (".shp", *SIDE_FILES)}
        wanted = [(beside.get(entry.filename.casefold()), entry) for entry in entries]
        return {ending: content_of(archive, entry) for ending, entry in wanted if ending}


def _is_shape(name: str) -> bool:
    return name.lower().endswith(".shp") and not name.startswith("__MACOSX")


def _transformer(prj: bytes | None) -> Transformer:
    """Return what turns the file's coordinates into longitude and latitude."""
    from pyproj import CRS, Transformer
    from pyproj.exceptions import CRSError, ProjError

    if prj is None or not prj.strip():
        raise InputError(
            "The shapefile does not say which coordinates it uses: its .prj file is missing.",
            advice="Ask for the .prj file too; it stands beside the .shp where that came from.",
        )
    try:
        crs = CRS.from_wkt(prj[:_MOST_PRJ_BYTES].decode("utf-8", "replace"))
        return Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    except (CRSError, ProjError) as error:
        raise InputError(
            "The coordinate system in the .prj file is not understood.",
            advice="Ask for the shapefile in WGS 84.",
        ) from error


def _records(parts: Mapping[str, bytes]) -> Iterator[tuple[Any, dict[str, Any]]]:
    """Yield point and fields of each record; None for what is no point."""
    from shapefile import Reader, ShapefileException

    table = parts.get(".dbf")
    try:
        with Reader(
            shp=io.BytesIO(parts[".shp"]),
            dbf=None if table is None else io.BytesIO(table),
            encoding=_encoding(parts.get(".cpg", b""), table or b""),
            encodingErrors="replace",
        ) as reader:
            rows = reader.iterRecords() if table is not None else iter(())
            for shape in reader.iterShapes():
                record = next(rows, None)
                fields = {} if record is None else record.as_dict()
                kind = _NOTHING if shape is None else shape.shapeType
                yield (shape if kind in _POINTS else None), fields
    except ShapefileException as error:
        raise ValueError(str(error)) from error


def _encoding(cpg: bytes, table: bytes) -> str:
    """Return the encoding of the texts: as the .cpg file says, else UTF-8 where that is right."""
    told = cpg[:40].decode("ascii", "replace").strip().lower()
    page = re.fullmatch(r"(?:cp|ansi|windows|oem)?[ _-]?(\d{3,5})", told)
    name = f"cp{page[1]}" if page else told
    with suppress(LookupError, ValueError):
        return str(codecs.lookup(name).name)
    rows = table[int.from_bytes(table[8:10], "little") :]  # the head is no text
    with suppress(ValueError):
        rows.decode()
        return "utf-8"
    return "cp1252"


def _place(shape: Any, fields: Mapping[str, Any], to_degrees: Transformer) -> Place:
    x, y = (float(value) for value in shape.points[0][:2])
    lon, lat = to_degrees.transform(x, y)
    problem = position_problem(lat, lon)
    back = to_degrees.transform(lon, lat, direction="INVERSE")
    if problem or not all(abs(a - b) < _SAME for a, b in zip(back, (x, y), strict=True)):
        raise InputError(problem or "has coordinates that are no place in its system")
    named = _by_meaning(fields)
    if "height_m" not in named and shape.shapeType == _WITH_HEIGHT:
        named["height_m"] = float(shape.z[0])
    return place_from(lat, lon, str(named.pop("identifier", "")), named)


def _by_meaning(fields: Mapping[str, Any]) -> dict[str, str | float | None]:
    """Return what the columns are known to mean; the first text is a name where none is."""
    texts = {
        str(head): clean(str(value)) if isinstance(value, str) else value
        for head, value in fields.items()
        if isinstance(value, str | int | float) and not isinstance(value, bool) and value != ""
    }
    named: dict[str, str | float | None] = {}
    for head, value in texts.items():
        meaning = meaning_of(head)
        field = "identifier" if meaning is Column.IDENTIFIER else _FIELDS.get(meaning)
        if field and field not in named:
            named[field] = value
    if not {"identifier", "name"} & named.keys():
        named["name"] = next((v for v in texts.values() if isinstance(v, str)), "")
    return named
