"""Whatever a plan holds of a place comes back from every kind of file."""

from __future__ import annotations

import json
from pathlib import Path

import gpxpy
import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Contact, Permission, Plan, Position, Site, SiteFunction, SiteId
from guyline.errors import InputError
from guyline.services.interchange import (
    FORMATS,
    Line,
    Place,
    csv_of_places,
    geojson_of_places,
    geopackage_of_places,
    gpx_of_places,
    guessed_columns,
    kml_of_places,
    lines_of_plan,
    places_of_geojson,
    places_of_geopackage,
    places_of_gpx,
    places_of_kml,
    places_of_plan,
    places_of_table,
    read_places,
    read_table,
    write_places,
)
from guyline.services.plan_files import load_plan

DEMO = Path(__file__).parents[3] / "demo_projects" / "ullerby_sound" / "ullerby_sound.plan.json"


def places_of_csv(data):
    table = read_table(data)
    return places_of_table(table, guessed_columns(table))


KINDS = [
    (csv_of_places, places_of_csv),
    (gpx_of_places, places_of_gpx),
    (kml_of_places, places_of_kml),
    (geojson_of_places, places_of_geojson),
    (geopackage_of_places, places_of_geopackage),
]

# what every format can carry; the rest is cleaned away, which other tests show
letters = st.characters(exclude_categories=["Cs", "Cc", "Cn"], exclude_characters="\ufffe\uffff")
texts = st.one_of(
    st.text(letters, max_size=20).map(str.strip),
    st.sampled_from(["=1+1", "'=1", "+41", "-x", "@A1", "''", '<&>"', "a;b,c|d", "007", "1E10"]),
    st.just("two\nlines"),
)
metres = st.none() | st.floats(-400.0, 8_000.0, allow_nan=False)
lengths = st.none() | st.floats(0.0, 500.0, allow_nan=False)
degrees = st.integers(-90 * 10**7, 90 * 10**7).map(lambda n: n / 1e7)
wide = st.integers(-180 * 10**7, 180 * 10**7 - 1).map(lambda n: n / 1e7)
places = st.builds(
    Place,
    lat_deg=degrees,
    lon_deg=wide,
    identifier=texts,
    name=texts,
    height_m=metres,
    antenna_agl_m=lengths,
    uncertainty_m=lengths,
    function=st.none() | st.sampled_from(SiteFunction),
    notes=texts,
    source=texts,
)


@pytest.mark.parametrize(("written", "read"), KINDS)
@given(found=st.lists(places, max_size=5))
def test_places_come_back_as_they_went(written, read, found):
    if read is places_of_csv and not found:
        return  # a head alone is a table without places, read below
    back = read(written(found))
    assert back.places == tuple(found)
    assert back.problems == ()


@pytest.mark.parametrize(("written", "read"), KINDS)
def test_no_places_come_back_as_none(written, read):
    assert read(written([])).places == ()


@pytest.mark.parametrize(("written", "read"), KINDS)
def test_the_demo_plan_travels(written, read):
    plan = load_plan(DEMO)
    sent = places_of_plan(plan, with_notes=True)
    assert read(written(sent, lines_of_plan(plan))).places == sent


@pytest.mark.parametrize("ending", [".csv", ".gpx", ".kml", ".geojson", ".gpkg"])
def test_files_are_written_whole_and_read_by_their_ending(tmp_path, ending):
    sent = places_of_plan(load_plan(DEMO))
    write_places(tmp_path / f"sites{ending}", sent)
    assert read_places(tmp_path / f"sites{ending}").places == sent
    assert [path.name for path in tmp_path.iterdir()] == [f"sites{ending}"]


def test_every_kind_says_in_words_what_it_is_for():
    assert all(kind.words for kind in FORMATS.values())


@pytest.mark.parametrize("name", ["sites.xlsx", "sites.kmz"])
def test_what_is_not_written_here_is_said(tmp_path, name):
    with pytest.raises(InputError):
        write_places(tmp_path / name, [])
    with pytest.raises(InputError):
        read_places(tmp_path / name)


@pytest.mark.parametrize(("written", "read"), KINDS)
def test_nothing_secret_leaves_with_a_plan(written, read):
    site = Site(
        site_id=SiteId("HUT"),
        position=Position(lat_deg=1.0, lon_deg=2.0),
        permission=Permission(granted_by="The owner", key_holder="Gate code 4711"),
        contacts=(Contact(name="Shepherd", phone="000-0101"),),
        access="Gate code 4711",
        notes="Gate code 4711",
    )
    text = written(places_of_plan(Plan(sites=(site,)))).decode("utf-8", "replace")
    assert "HUT" in text
    for secret in ("4711", "000-0101", "Shepherd", "owner"):
        assert secret not in text


def test_a_site_without_a_position_stays_at_home():
    plan = Plan(sites=(Site(site_id=SiteId("A")),))
    assert places_of_plan(plan) == ()
    assert lines_of_plan(plan) == ()


# What the standards ask for.


def test_geojson_gives_longitude_first_and_names_no_coordinate_system():
    # RFC 7946: 3.1.1 position, 4 coordinate reference system
    place = Place(lat_deg=-41.29, lon_deg=174.8, height_m=320.0)
    content = json.loads(geojson_of_places([place]))
    assert content["features"][0]["geometry"]["coordinates"] == [174.8, -41.29, 320.0]
    assert "crs" not in content


def test_a_link_over_the_180th_meridian_is_cut_in_two():
    # RFC 7946, 3.1.9
    east, west = Place(lat_deg=-41.0, lon_deg=179.0), Place(lat_deg=-40.0, lon_deg=-178.0)
    for ends, rim in (((east, west), 180.0), ((west, east), -180.0)):
        line = Line(from_place=ends[0], to_place=ends[1])
        geometry = json.loads(geojson_of_places([], [line]))["features"][0]["geometry"]
        first, second = geometry["coordinates"]
        assert geometry["type"] == "MultiLineString"
        assert (first[1][0], second[0][0]) == (rim, -rim)
        # a third of the way from 179 E to 178 W lies the meridian
        assert first[1][1] == second[0][1] == pytest.approx(-41.0 + 1.0 / 3.0, abs=1e-6)


def test_gpx_children_stand_in_the_order_of_the_schema():
    # GPX 1.1 wptType: ele before name before desc before extensions
    place = Place(lat_deg=1.0, lon_deg=180.0, identifier="A", name="B", height_m=5.0, notes="n")
    text = gpx_of_places([place]).decode()
    assert text.index("<ele>") < text.index("<name>") < text.index("<desc>")
    assert text.index("<desc>") < text.index("<extensions>")
    assert 'lon="-180.0000000"' in text
    assert 'version="1.1"' in text


def test_geopackage_tells_what_it_is():
    # OGC 12-128r18, 1.1.1.1: SQLite head, application id "GPKG" at byte 68, version at byte 60
    data = geopackage_of_places([Place(lat_deg=1.0, lon_deg=2.0)])
    assert data[:16] == b"SQLite format 3\0"
    assert data[68:72] == b"GPKG"
    assert int.from_bytes(data[60:64], "big") == 10300


def test_kml_coordinates_have_no_blanks():
    # OGC 12-007r2: tuples are separated by blanks, so there is none inside
    text = kml_of_places([Place(lat_deg=-41.29, lon_deg=174.8, height_m=320.0)]).decode()
    assert "<coordinates>174.8000000,-41.2900000,320.0</coordinates>" in text


def test_an_independent_library_reads_the_waypoints():
    """Independent implementation: gpxpy 1.6."""
    sent = places_of_plan(load_plan(DEMO))
    read = gpxpy.parse(gpx_of_places(sent).decode())
    assert [(w.name, w.latitude, w.longitude) for w in read.waypoints] == [
        (p.identifier, p.lat_deg, p.lon_deg) for p in sent
    ]


@pytest.mark.parametrize(
    ("written", "driver"),
    [
        (geojson_of_places, "GeoJSON"),
        (kml_of_places, "KML"),
        (gpx_of_places, "GPX"),
        (geopackage_of_places, "GPKG"),
    ],
)
def test_a_geographic_information_system_reads_the_places(tmp_path, written, driver):
    """Independent implementation: pyogrio 0.13, which is GDAL's reader."""
    sent = places_of_plan(load_plan(DEMO))
    path = tmp_path / f"sites.{driver.lower()}"
    path.write_bytes(written(sent))
    layer = {"GPX": "waypoints", "GPKG": "sites"}.get(driver)
    _, _, shapes, _ = pyogrio.raw.read(path, layer=layer)
    # well-known binary of a point: byte order, type, x, y
    points = [np.frombuffer(shape[5:21], dtype="<f8").tolist() for shape in shapes]
    assert points == [pytest.approx([p.lon_deg, p.lat_deg], abs=1e-7) for p in sent]


@pytest.mark.parametrize(
    ("written", "ending", "layer"),
    [
        (geojson_of_places, ".geojson", None),
        (kml_of_places, ".kml", None),
        (geopackage_of_places, ".gpkg", "links"),
    ],
)
def test_a_geographic_information_system_reads_the_links(tmp_path, written, ending, layer):
    """Independent implementation: pyogrio 0.13, which is GDAL's reader."""
    plan = load_plan(DEMO)
    lines = lines_of_plan(plan)
    path = tmp_path / f"sites{ending}"
    path.write_bytes(written(places_of_plan(plan), lines))
    _, _, shapes, _ = pyogrio.raw.read(path, layer=layer)
    drawn = [shapely.from_wkb(shape) for shape in shapes]
    ends = [shape.coords for shape in drawn if shape.geom_type == "LineString"]
    assert [(*a[:2], *b[:2]) for a, b in ends] == [
        pytest.approx(
            (
                line.from_place.lon_deg, line.from_place.lat_deg,
                line.to_place.lon_deg, line.to_place.lat_deg,
            ),
            abs=1e-7,
        )
        for line in lines
    ]  # fmt: skip
