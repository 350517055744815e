"""Shapefiles as another program writes them (pyogrio 0.13, GDAL), whole and in pieces."""

from __future__ import annotations

import contextlib
import io
import struct
import zipfile
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import SiteFunction
from guyline.errors import InputError
from guyline.services.interchange import PlacesRead, places_of_shapefile, read_places

HALL, HILL = (-128.95, -46.10), (-128.9012345, -46.0812345)


def written(
    path: Path, geometry: list[object], fields: dict[str, list[object]], **options: object
) -> Path:
    kinds = {"crs": "EPSG:4326", "geometry_type": "Point", **options}
    pyogrio.raw.write(
        path,
        shapely.to_wkb(np.array(geometry, dtype=object)),
        [np.array(column, dtype=object) for column in fields.values()],
        list(fields),
        driver="ESRI Shapefile",
        **kinds,
    )
    return path


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """Two points with the columns that a survey would have."""
    folder = tmp_path / "survey"
    folder.mkdir()
    return written(
        folder / "sites.shp",
        [shapely.Point(HALL), shapely.Point(HILL)],
        {
            "ID": ["HALL", "HILL"],
            "NAME": ["Old häll", "Bare hill"],
            "TYPE": ["gateway", "relay"],
            "ELEV": [12.5, 240.0],
            "REMARKS": ["", "mud"],
        },
        encoding="UTF-8",
    )


def parts_of(path: Path) -> dict[str, bytes]:
    return {file.suffix: file.read_bytes() for file in path.parent.glob(f"{path.stem}.*")}


def zipped(parts: dict[str, bytes], stem: str = "sites") -> bytes:
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
        for ending, data in parts.items():
            packed.writestr(stem + ending, data)
    return archive.getvalue()


def places_or_none(data: bytes) -> PlacesRead | None:
    """Return what was read, None where it was refused with a sentence; any other error fails."""
    with contextlib.suppress(InputError):
        return places_of_shapefile(data)
    return None


def test_points_come_in_with_what_their_columns_mean(two: Path) -> None:
    read = read_places(two)
    assert read.problems == ()
    hall, hill = read.places
    assert (hall.lon_deg, hall.lat_deg) == pytest.approx(HALL, abs=1e-9)
    assert (hill.lon_deg, hill.lat_deg) == pytest.approx(HILL, abs=1e-9)
    assert (hall.identifier, hall.name, hall.height_m) == ("HALL", "Old häll", 12.5)
    assert (hall.function, hill.function) == (SiteFunction.GATEWAY, SiteFunction.RELAY)
    assert (hall.notes, hill.notes) == ("", "mud")


@pytest.mark.parametrize("stem", ["sites", "a/b/Sites", "../../etc/sites", "C:\\x\\sites"])
def test_a_zip_file_is_read_in_memory_whatever_its_names(
    two: Path, tmp_path: Path, stem: str
) -> None:
    path = tmp_path / "sites.zip"
    path.write_bytes(zipped(parts_of(two), stem))
    before = sorted(tmp_path.rglob("*"))
    assert read_places(path) == read_places(two)
    assert sorted(tmp_path.rglob("*")) == before


def test_side_files_in_capitals_are_found(two: Path) -> None:
    for ending in (".dbf", ".prj", ".cpg"):
        two.with_suffix(ending).rename(two.with_suffix(ending.upper()))
    assert read_places(two).places[0].name == "Old häll"


def test_without_its_prj_file_nobody_can_tell_where_it_lies(two: Path) -> None:
    two.with_suffix(".prj").unlink()
    with pytest.raises(InputError, match=r"its \.prj file is missing") as refused:
        read_places(two)
    assert "Ask for the .prj file" in refused.value.advice


def test_without_its_dbf_file_the_points_come_without_names(two: Path) -> None:
    two.with_suffix(".dbf").unlink()
    read = read_places(two)
    assert read.problems == ("The .dbf file is missing, and names with it.",)
    assert [place.name for place in read.places] == ["", ""]
    assert read.places[0].lat_deg == pytest.approx(HALL[1])


def test_without_its_shx_file_all_points_are_found(two: Path) -> None:
    two.with_suffix(".shx").unlink()
    assert len(read_places(two).places) == 2


def test_another_coordinate_system_is_turned_into_degrees(tmp_path: Path) -> None:
    """Law: on the equator and the central meridian of UTM zone 8 lies 500 km east, 0 km north."""
    path = written(
        tmp_path / "utm.shp",
        [shapely.Point(500_000.0, 0.0), shapely.Point(500_000.0, 1e30)],
        {"NAME": ["Middle", "Nowhere"]},
        crs="EPSG:32608",
    )
    read = read_places(path)
    (place,) = read.places
    assert (place.lat_deg, place.lon_deg) == pytest.approx((0.0, -135.0), abs=1e-9)
    assert len(read.problems) == 1
    assert read.problems[0].startswith("Record 2 has")


def test_a_coordinate_system_that_is_none_is_refused(two: Path) -> None:
    two.with_suffix(".prj").write_text("over there")
    with pytest.raises(InputError, match="is not understood"):
        read_places(two)


@pytest.mark.parametrize(("cpg", "encoding"), [("1252", "cp1252"), ("", "cp1252"), ("", "utf-8")])
def test_names_are_read_in_the_encoding_that_they_have(
    tmp_path: Path, cpg: str, encoding: str
) -> None:
    path = written(
        tmp_path / "names.shp", [shapely.Point(HALL)], {"NAME": ["Höfn"]}, encoding=encoding
    )
    path.with_suffix(".cpg").write_text(cpg)
    assert read_places(path).places[0].name == "Höfn"


def test_a_height_in_the_point_itself_is_taken(tmp_path: Path) -> None:
    path = written(
        tmp_path / "z.shp",
        [shapely.Point(*HALL, 77.5)],
        {"NAME": ["Hall"]},
        geometry_type="Point Z",
    )
    assert read_places(path).places[0].height_m == 77.5


def test_lines_and_areas_are_left_out_and_that_is_told(tmp_path: Path) -> None:
    path = written(
        tmp_path / "lines.shp",
        [shapely.LineString([HALL, HILL])],
        {"NAME": ["Road"]},
        geometry_type="LineString",
    )
    read = read_places(path)
    assert read.places == ()
    assert read.problems == ("1 lines and areas were left out; only points are places.",)


def test_several_shapefiles_in_one_archive_are_not_guessed_at(two: Path) -> None:
    archive = io.BytesIO(zipped(parts_of(two)))
    with zipfile.ZipFile(archive, "a") as packed:
        packed.writestr("more.shp", b"")
    with pytest.raises(InputError, match="2 shapefiles"):
        places_of_shapefile(archive.getvalue())


@pytest.mark.parametrize("ending", [".shp", ".dbf", ".prj"])
def test_a_zip_bomb_is_refused(two: Path, ending: str) -> None:
    parts = parts_of(two) | {ending: b"\0" * 40_000_000}
    packed = zipped(parts)
    assert len(packed) < 100_000
    with pytest.raises(InputError, match="more than 20 MB"):
        places_of_shapefile(packed)


def test_a_table_that_lies_about_its_length_gives_what_is_there(two: Path) -> None:
    parts = parts_of(two)
    table = bytearray(parts[".dbf"])
    struct.pack_into("<I", table, 4, 2**32 - 1)
    read = places_or_none(zipped(parts | {".dbf": bytes(table)}))
    assert read is None or len(read.places) == 2


def test_more_than_5000_points_are_refused(tmp_path: Path) -> None:
    many = [shapely.Point(HALL)] * 5_001
    path = written(tmp_path / "many.shp", many, {"NAME": ["x"] * 5_001})
    with pytest.raises(InputError, match="more than 5,000"):
        read_places(path)


PARTS: dict[str, bytes] = {}


@pytest.fixture(scope="module", autouse=True)
def whole(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = written(
        tmp_path_factory.mktemp("whole") / "sites.shp",
        [shapely.Point(HALL), shapely.Point(HILL)],
        {"ID": ["HALL", "HILL"], "ELEV": [12.5, 240.0], "NO": [1, 2]},
    )
    PARTS.update(parts_of(path))


@given(
    ending=st.sampled_from([".shp", ".dbf", ".prj", ".cpg"]),
    noise=st.binary(min_size=1, max_size=40),
    where=st.integers(0, 700),
    cut=st.integers(0, 700) | st.none(),
)
def test_a_shapefile_with_any_bytes_changed_gives_places_on_earth_or_a_sentence(
    ending: str, noise: bytes, where: int, cut: int | None
) -> None:
    data = PARTS.get(ending, b"")
    at = where % (len(data) + 1)
    broken = (data[:at] + noise + data[at + len(noise) :])[:cut]
    read = places_or_none(zipped(PARTS | {ending: broken}))
    places = () if read is None else read.places
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in places)


@given(st.binary(max_size=600), st.binary(max_size=300))
def test_any_bytes_as_points_and_table_give_places_on_earth_or_a_sentence(
    points: bytes, table: bytes
) -> None:
    read = places_or_none(zipped(PARTS | {".shp": points, ".dbf": table}))
    places = () if read is None else read.places
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in places)


@given(noise=st.binary(min_size=1, max_size=60), where=st.integers(0, 3_000))
def test_an_archive_with_any_bytes_changed_gives_places_on_earth_or_a_sentence(
    noise: bytes, where: int
) -> None:
    data = zipped(PARTS)
    at = where % (len(data) + 1)
    read = places_or_none(data[:at] + noise + data[at + len(noise) :])
    places = () if read is None else read.places
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in places)
