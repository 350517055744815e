"""GeoPackage (OGC 12-128r18, version 1.3): points and lines in WGS 84 in an SQLite file."""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterator, Sequence
from contextlib import closing

from guyline.errors import InputError
from guyline.services.interchange.own_fields import FIELDS, place_from
from guyline.services.interchange.place import (
    DEGREE_DECIMALS,
    MOST_PLACES,
    Line,
    Place,
    PlacesRead,
    check_count,
    check_size,
    clean,
    finite,
    position_problem,
)

_WGS_84 = 4326
_APPLICATION_ID = 0x47504B47  # "GPKG", clause 1.1.1.1.1
_VERSION = 10300
_MOST_STEPS = 20_000  # times a thousand instructions: a list of places needs far fewer
_POINT = 1
_SCHEMA = """
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY,
  organization TEXT NOT NULL, organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL,
  identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER);
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL,
  m TINYINT NOT NULL, PRIMARY KEY (table_name, column_name), UNIQUE (table_name));
CREATE TABLE sites (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom POINT,
  identifier TEXT, name TEXT, function TEXT, antenna_agl_m DOUBLE, uncertainty_m DOUBLE,
  height_m DOUBLE, notes TEXT, source TEXT);
CREATE TABLE links (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom LINESTRING,
  link_from TEXT, link_to TEXT);
INSERT INTO gpkg_geometry_columns VALUES ('sites', 'geom', 'POINT', 4326, 0, 0),
  ('links', 'geom', 'LINESTRING', 4326, 0, 0);
INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id)
  VALUES ('sites', 'features', 'sites', 4326), ('links', 'features', 'links', 4326);
"""
_WGS_84_TEXT = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
    'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433],AUTHORITY["EPSG","4326"]]'
)
_SYSTEMS = (  # the three that every file must know, clause 1.1.2.1.2
    ("Undefined cartesian SRS", -1, "NONE", -1, "undefined"),
    ("Undefined geographic SRS", 0, "NONE", 0, "undefined"),
    ("WGS 84 geodetic", _WGS_84, "EPSG", _WGS_84, _WGS_84_TEXT),
)


def geopackage_of_places(places: Sequence[Place], lines: Sequence[Line] = ()) -> bytes:
    """Return a GeoPackage with a layer of sites and one of links."""
    with closing(sqlite3.connect(":memory:")) as file:
        file.execute(f"PRAGMA application_id = {_APPLICATION_ID}")
        file.execute(f"PRAGMA user_version = {_VERSION}")
        file.executescript(_SCHEMA)
        file.executemany("INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, NULL)", _SYSTEMS)
        columns = ("geom", "identifier", *FIELDS)
        file.executemany(
            f"INSERT INTO sites ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})",
            [_row(place) for place in places],
        )
        file.executemany(
            "INSERT INTO links (geom, link_from, link_to) VALUES (?, ?, ?)",
            [
                (_line(line), clean(line.from_place.identifier), clean(line.to_place.identifier))
                for line in lines
            ],
        )
        file.commit()
        return bytes(file.serialize())


def _row(place: Place) -> tuple[object, ...]:
    values = (getattr(place, name) for name in ("identifier", *FIELDS))
    known = (clean(value) if isinstance(value, str) else value for value in values)
    return (_point(place), *(None if value == "" else value for value in known))


def _point(place: Place) -> bytes:
    return _head() + struct.pack("<BIdd", 1, _POINT, *_lon_lat(place))


def _line(line: Line) -> bytes:
    ends = (*_lon_lat(line.from_place), *_lon_lat(line.to_place))
    return _head() + struct.pack("<BIIdddd", 1, 2, 2, *ends)


def _head() -> bytes:
    """Return what stands before well-known binary: magic, version, little-endian, system."""
    return b"GP" + struct.pack("<BBi", 0, 1, _WGS_84)


def _lon_lat(place: Place) -> tuple[float, float]:
    return round(place.lon_deg, DEGREE_DECIMALS), round(place.lat_deg, DEGREE_DECIMALS)


def places_of_geopackage(data: bytes) -> PlacesRead:
    """Return the points of the layers in WGS 84.

    Raises
    ------
    InputError
        It is no such file, or one that could do harm.
    """
    check_size(data)
    try:
        with closing(sqlite3.connect(":memory:")) as file:
            file.deserialize(_alone(data))
            _disarm(file)
            return _read(file)
    except (sqlite3.Error, OverflowError, UnicodeError) as error:
        raise InputError(
            "The file is no GeoPackage, or is damaged.", advice="Fetch or export it again."
        ) from error


def _alone(data: bytes) -> bytes:
    """Return the file as one without a write-ahead log, which cannot be opened in memory.

    Raises
    ------
    InputError
        It is no SQLite file.
    """
    if not data.startswith(b"SQLite format 3\0") or len(data) < 100:
        raise InputError("The file is no GeoPackage.", advice="Choose a file of that kind.")
    # bytes 18 and 19 of the head: 1 is the rollback journal, 2 the write-ahead log
    return data[:18] + b"\1\1" + data[20:]


def _disarm(file: sqlite3.Connection) -> None:
    """Let a file of strangers be read and nothing else, and not for ever."""
    steps = iter(range(_MOST_STEPS))
    file.execute("PRAGMA trusted_schema = OFF")
    file.execute("PRAGMA query_only = ON")
    file.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, 1_000_000)
    allowed = {sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ}
    file.set_authorizer(
        lambda action, *_: sqlite3.SQLITE_OK if action in allowed else sqlite3.SQLITE_DENY
    )
    file.set_progress_handler(lambda: next(steps, None) is None, 1_000)


def _read(file: sqlite3.Connection) -> PlacesRead:
    places: list[Place] = []
    problems: list[str] = []
    layers = file.execute(
        "SELECT table_name, column_name, srs_id FROM gpkg_geometry_columns LIMIT 100"
    ).fetchall()
    for table, column, system in layers:
        if system != _WGS_84:
            problems.append(f"Layer {str(table)[:40]} was left out: it is not in WGS 84.")
            continue
        rows = list(_rows(file, str(table)))
        check_count(rows)
        found = [
            _place(row, str(column), f"{str(table)[:40]} {n}") for n, row in enumerate(rows, 1)
        ]
        places += [place for place in found if isinstance(place, Place)]
        problems += [problem for problem in found if isinstance(problem, str) and problem]
        left_out = sum(place is None for place in found)
        if left_out:
            problems.append(f"{left_out} lines and areas were left out; only points are places.")
    check_count(places)
    return PlacesRead(places=tuple(places), problems=tuple(problems))


def _rows(file: sqlite3.Connection, table: str) -> Iterator[dict[str, object]]:
    quoted = table.replace('"', '""')
    cursor = file.execute(f'SELECT * FROM "{quoted}" LIMIT {MOST_PLACES + 1}')
    names = [description[0] for description in cursor.description]
    return (dict(zip(names, row, strict=True)) for row in cursor)


def _place(row: dict[str, object], column: str, which: str) -> Place | str | None:
    """Return a place, a sentence where it is none, None where it is no point."""
    try:
        point = _unpacked(row.get(column))
        if point is None:
            return None
        lon, lat = (finite(value) for value in point)
        problem = position_problem(lat, lon)
        if problem:
            raise InputError(problem)
        assert lat is not None
        assert lon is not None
        fields = {
            name: value for name, value in row.items() if isinstance(value, str | int | float)
        }
        identifier = str(fields.get("identifier", ""))
        return place_from(lat, lon, identifier, fields)
    except InputError as error:
        return f"{which} {error}."


def _unpacked(blob: object) -> tuple[float, float] | None:
    """Return longitude and latitude of a geometry, None where it is no point."""
    if not isinstance(blob, bytes) or blob[:2] != b"GP" or len(blob) < 8:
        return None
    envelope = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}.get(blob[3] >> 1 & 7)
    if envelope is None or blob[3] >> 4 & 1:  # an empty geometry
        return None
    shape = blob[8 + envelope :]
    if len(shape) < 21 or shape[0] not in (0, 1):
        return None
    order = "<" if shape[0] else ">"
    (kind,) = struct.unpack_from(order + "I", shape, 1)
    if kind % 1000 != _POINT or kind > 3001:  # 1001, 2001, 3001 carry height and measure
        return None
    lon, lat = struct.unpack_from(order + "dd", shape, 5)
    return lon, lat
