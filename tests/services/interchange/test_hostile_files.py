"""Files that are damaged, lie or mean harm: a sentence, in bounded memory and time."""

from __future__ import annotations

import io
import json
import sqlite3
import zipfile
from contextlib import closing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.errors import InputError
from guyline.services.interchange import (
    Place,
    geopackage_of_places,
    places_of_geojson,
    places_of_geopackage,
    places_of_gpx,
    places_of_kml,
    read_places,
)

GPX_HEAD = b'<?xml version="1.0"?><gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1">'
BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    b'<!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
    b"<%s>&c;</%s>"
)
OUTSIDE = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]><%s>&f;</%s>'
)


@pytest.mark.parametrize(("read", "root"), [(places_of_gpx, b"gpx"), (places_of_kml, b"kml")])
@pytest.mark.parametrize("document", [BOMB, OUTSIDE])
def test_entities_are_refused(read, root, document):
    with pytest.raises(InputError, match="entities of its own"):
        read(document % (root, root))


@pytest.mark.parametrize("read", [places_of_gpx, places_of_kml])
@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<gpx",
        b"\xff\xfe\x00",
        b'<?xml version="1.0" encoding="nonsense"?><gpx/>',
        b"<html/>",
        b"{}",
    ],
)
def test_what_is_no_such_document_gets_a_sentence(read, data):
    with pytest.raises(InputError, match="The file is no "):
        read(data)


def test_deep_nesting_is_refused():
    with pytest.raises(InputError, match="levels deep"):
        places_of_gpx(GPX_HEAD + b"<a>" * 100 + b"</a>" * 100 + b"</gpx>")
    with pytest.raises(InputError, match="no GeoJSON"):
        places_of_geojson(b'{"type":' + b"[" * 200_000 + b"]" * 200_000 + b"}")


@pytest.mark.parametrize("read", [places_of_gpx, places_of_kml, places_of_geojson])
def test_more_than_20_mb_is_refused_before_it_is_read(read):
    with pytest.raises(InputError, match="more than 20 MB"):
        read(b" " * 20_000_001)


def test_more_than_5000_places_are_refused():
    with pytest.raises(InputError, match="more than 5,000"):
        places_of_gpx(GPX_HEAD + b'<wpt lat="1" lon="2"/>' * 5_001 + b"</gpx>")


@pytest.mark.parametrize(
    ("attributes", "says"),
    [
        (b'lat="91" lon="2"', "Waypoint 2 has a latitude of 91, beyond 90 degrees."),
        (b'lat="1" lon="-181"', "Waypoint 2 has a longitude of -181, beyond 180 degrees."),
        (b'lat="nan" lon="2"', "Waypoint 2 has “nan” where a number should be."),
        (b'lat="1e999" lon="2"', "Waypoint 2 has “1e999” where a number should be."),
        (b'lat="x" lon="2"', "Waypoint 2 has “x” where a number should be."),
        (b'lon="2"', "Waypoint 2 has no position."),
    ],
)
def test_a_bad_waypoint_is_told_and_the_others_are_kept(attributes, says):
    good = b'<wpt lat="1" lon="2"><name>A</name></wpt>'
    read = places_of_gpx(GPX_HEAD + good + b"<wpt " + attributes + b"/>" + good + b"</gpx>")
    assert [place.identifier for place in read.places] == ["A", "A"]
    assert read.problems == (says,)


def test_a_gpx_file_of_another_program_is_read():
    read = places_of_gpx(
        GPX_HEAD + b'<metadata/><wpt lat="-41.29" lon="174.8"><ele>320.5</ele>'
        b"<time>2027-01-01T00:00:00Z</time>"
        b"<name>HUT</name><cmt>by the gate</cmt><sym>Flag</sym>"
        b"<extensions><other xmlns='urn:x'><height_m>1</height_m></other></extensions></wpt>"
        b"<trk><name>walk</name></trk><rte/></gpx>"
    )
    (place,) = read.places
    assert (place.identifier, place.name, place.height_m) == ("HUT", "by the gate", 320.5)
    assert read.problems == ("2 tracks and routes were left out; only waypoints are places.",)


def test_a_kml_file_of_another_program_is_read():
    read = places_of_kml(
        b'<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><Placemark>'
        b"<name>HUT</name><description>by the gate</description><Point><coordinates>\n"
        b" 174.8,-41.29,0 \n</coordinates></Point></Placemark></Folder>"
        b"<Placemark><name>area</name><Polygon/></Placemark>"
        b"<Placemark><Point><coordinates>x,y</coordinates></Point></Placemark>"
        b"<Placemark><Point><coordinates>1</coordinates></Point></Placemark>"
        b"</Document></kml>"
    )
    (place,) = read.places
    assert (place.identifier, place.lat_deg, place.lon_deg) == ("HUT", -41.29, 174.8)
    assert read.problems == (
        "Placemark 3 has “x” where a number should be.",
        "Placemark 4 has no coordinates that can be read.",
        "1 lines and areas were left out; only points are places.",
    )


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ([], "not GeoJSON"),
        ({"type": "Topology"}, "not GeoJSON"),
        ({"type": "FeatureCollection", "features": 5}, "not GeoJSON"),
        (
            {
                "type": "FeatureCollection",
                "features": [],
                "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::2193"}},
            },
            "coordinate system",
        ),
    ],
)
def test_json_that_is_no_geojson_in_wgs_84_is_refused(content, says):
    with pytest.raises(InputError, match=says):
        places_of_geojson(json.dumps(content).encode())


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity"])
def test_numbers_that_json_does_not_know_are_refused(number):
    with pytest.raises(InputError, match="no GeoJSON"):
        places_of_geojson(f'{{"type": "Point", "coordinates": [{number}, 1]}}'.encode())


def feature(coordinates, properties=None):
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": coordinates},
        "properties": properties,
    }


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        (feature([1]), "has no coordinates"),
        (feature("12"), "has no coordinates"),
        (feature([True, 1]), "has coordinates that are no numbers"),
        (feature(["1", "2"]), "has coordinates that are no numbers"),
        (feature([174.8, -91]), "has a latitude of -91, beyond 90 degrees"),
        (feature([10**400, 1]), "has coordinates that cannot be on Earth"),
        (feature([1, 2], {"antenna_agl_m": 10**400}), "where a number should be"),
        (feature([1, 2], {"antenna_agl_m": "tall"}), "has “tall” where a number should be"),
    ],
)
def test_a_bad_feature_is_told_and_the_others_are_kept(bad, says):
    good = feature([174.8, -41.29], {"identifier": "A", "nested": {"a": 1}, "flag": True})
    content = {"type": "FeatureCollection", "features": [good, bad, None, {"geometry": 3}]}
    read = places_of_geojson(json.dumps(content).encode())
    assert [place.identifier for place in read.places] == ["A"]
    assert says in read.problems[0]
    assert read.problems[1] == "2 lines and areas were left out; only points are places."


def zipped(*entries):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries:
            archive.writestr(name, content)
    return packed.getvalue()


KML = (
    b'<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>A</name><Point>'
    b"<coordinates>174.8,-41.29</coordinates></Point></Placemark></kml>"
)


def test_a_kmz_archive_is_read_in_memory_whatever_its_names(tmp_path):
    path = tmp_path / "places.kmz"
    path.write_bytes(zipped(("../../evil.kml", KML), ("image.png", b"")))
    assert [place.identifier for place in read_places(path).places] == ["A"]
    assert [p.name for p in tmp_path.iterdir()] == ["places.kmz"]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (zipped(("doc.kml", b"\0" * 200_000_000)), "more than 20 MB"),
        (zipped(("image.png", b"x")), "0 KML files"),
        (zipped(*((f"{i}.kml", b"") for i in range(1_001))), "1001 files"),
        (zipped(("doc.kml", KML))[:-30], "damaged or locked"),
        (b"PK\x03\x04", "damaged or locked"),
    ],
    ids=["bomb", "no kml", "many", "cut", "stub"],
)
def test_archives_that_mean_harm_are_refused(data, says):
    with pytest.raises(InputError, match=says):
        places_of_kml(data)


def geopackage(script=""):
    with closing(sqlite3.connect(":memory:")) as file:
        file.deserialize(geopackage_of_places([Place(lat_deg=1.0, lon_deg=2.0, identifier="A")]))
        file.executescript(script)
        file.commit()
        return file.serialize()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"SQLite format 3\0" + b"x" * 5_000,
        geopackage()[:9_000],
        geopackage("DROP TABLE gpkg_geometry_columns"),
        geopackage("DROP TABLE sites"),
    ],
    ids=["empty", "noise", "cut", "no layers", "lost layer"],
)
def test_a_damaged_geopackage_gets_a_sentence(data):
    with pytest.raises(InputError, match="no GeoPackage"):
        places_of_geopackage(data)


def test_a_geopackage_can_run_nothing_for_ever():
    endless = (
        "DROP TABLE sites; CREATE VIEW sites AS WITH RECURSIVE n(i) AS "
        "(SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT NULL AS geom FROM n WHERE i < 0"
    )
    with pytest.raises(InputError, match="no GeoPackage"):
        places_of_geopackage(geopackage(endless))


def test_a_geopackage_with_a_write_ahead_log_is_read():
    data = geopackage()
    logged = data[:18] + b"\2\2" + data[20:]
    assert [place.identifier for place in places_of_geopackage(logged).places] == ["A"]


def test_layers_of_a_geopackage_in_another_system_are_left_out():
    script = "UPDATE gpkg_geometry_columns SET srs_id = 2193 WHERE table_name = 'sites'"
    read = places_of_geopackage(geopackage(script))
    assert read.places == ()
    assert read.problems == ("Layer sites was left out: it is not in WGS 84.",)


# head of a geometry, little-endian point, longitude 50, latitude -100
BEYOND = "47500001E6100000" + "0101000000" + "0000000000004940" + "00000000000059C0"


@pytest.mark.parametrize(
    ("script", "problem"),
    [
        ("UPDATE sites SET geom = NULL", "1 lines and areas were left out"),
        ("UPDATE sites SET geom = x'4750'", "1 lines and areas were left out"),
        ("UPDATE sites SET geom = x'475000FF00000000'", "1 lines and areas were left out"),
        ("UPDATE sites SET antenna_agl_m = 9e999", "sites 1 has “inf” where a number"),
        ("UPDATE sites SET antenna_agl_m = 'tall'", "sites 1 has “tall” where a number"),
        (f"UPDATE sites SET geom = x'{BEYOND}'", "sites 1 has a latitude of -100, beyond"),
    ],
)
def test_a_bad_row_of_a_geopackage_is_told(script, problem):
    read = places_of_geopackage(geopackage(script))
    assert read.places == ()
    assert problem in read.problems[0]


@given(st.binary(max_size=40), st.integers(0, 40_000))
def test_a_geopackage_with_any_bytes_changed_gives_places_or_a_sentence(noise, where):
    data = bytearray(geopackage())
    data[where : where + len(noise)] = noise
    try:
        found = places_of_geopackage(bytes(data))
    except InputError:
        return
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in found.places)


def test_a_file_that_is_not_there_gets_a_sentence(tmp_path):
    with pytest.raises(InputError, match=r"gone\.gpx cannot be read"):
        read_places(tmp_path / "gone.gpx")


XML_LIKE = st.text(st.sampled_from('<>/="gpxwtlaon 0123.&;kmlPintcords,'), max_size=200)


@pytest.mark.parametrize("read", [places_of_gpx, places_of_kml, places_of_geojson])
@given(data=st.binary(max_size=200) | XML_LIKE.map(str.encode))
def test_any_bytes_give_places_on_earth_or_a_sentence(read, data):
    try:
        found = read(data)
    except InputError:
        return
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in found.places)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["type", "features", "geometry", "coordinates", "properties", "crs"])
            | st.text(max_size=3),
            inner,
            max_size=4,
        )
    ),
    max_leaves=15,
)


@given(JSON, st.sampled_from(["Point", "Feature", "FeatureCollection", ""]))
def test_any_json_gives_places_on_earth_or_a_sentence(content, kind):
    if isinstance(content, dict) and kind:
        content = {**content, "type": kind}
    try:
        found = places_of_geojson(json.dumps(content).encode())
    except InputError:
        return
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in found.places)
