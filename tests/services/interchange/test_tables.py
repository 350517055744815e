"""Tables as volunteers send them: any separator, decimal sign, encoding and head."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import SiteFunction
from guyline.errors import InputError
from guyline.services.interchange import (
    Column,
    Place,
    csv_of_places,
    guessed_columns,
    places_of_table,
    read_table,
)


def read(text):
    table = read_table(text if isinstance(text, bytes) else text.encode())
    return places_of_table(table, guessed_columns(table))


@pytest.mark.parametrize(
    "text",
    [
        "name,lat,lon\nHut,-41.29,174.80\n",
        "name;lat;lon\nHut;-41.29;174.80\n",
        "name;lat;lon\nHut;-41,29;174,80\n",
        "name\tlat\tlon\nHut\t-41,29\t174,80\n",
        'name,lat,lon\nHut,"-41,29","174,80"\n',
        "name|Latitude|Longitude\nHut|-41.29|174.80\n",
        "Longitude (deg),Latitude (deg),Name\n174.80,-41.29,Hut\n",
        "Name,x,y\nHut,174.80,-41.29\n",
        "Hut,-41.29,174.80\n",
        "Hut,174.80,-41.29\n",
        "Hut;-41,29;174,80\n",
        "name,position\nHut,41.29 S 174.80 E\n",
        'name,coordinates\nHut,"-41.29, 174.80"\n',
        "name,grid ref\nHut,60GUV1578426715\n",
        "name,latitude,longitude\nHut,41 17.4 S,174 48 E\n",
        "name,latitude,longitude\nHut,41°17.4'S,174°48'E\n",
        "name,latitude,longitude\nHut,−41.29,174.80\n",
        "\ufeffname,lat,lon\r\nHut,-41.29,174.80\r\n",
        "\n\nname,lat,lon\n\n\nHut,-41.29,174.80\n\n",
        "name,lat,lon,,\nHut,-41.29,174.80,,\n",
        "name,lat,lon\nHut,-41.29,174.80".encode("utf-16"),
    ],
)
def test_a_table_is_read_however_it_is_written(text):
    (place,) = read(text).places
    assert place.name == "Hut"
    assert place.lat_deg == pytest.approx(-41.29, abs=1e-5)
    assert place.lon_deg == pytest.approx(174.80, abs=1e-5)


def test_columns_are_guessed_from_their_heads():
    table = read_table(
        b"Site ID,Description,Lat (WGS84),Lon (WGS84),Elevation (m),Mast height,Remarks,Type\n"
        b"H1,Hut,-41.29,174.80,320,6.5,windy,relay\n"
    )
    assert guessed_columns(table) == (
        Column.IDENTIFIER,
        Column.NAME,
        Column.LATITUDE,
        Column.LONGITUDE,
        Column.HEIGHT,
        Column.ANTENNA,
        Column.NOTES,
        Column.FUNCTION,
    )
    (place,) = places_of_table(table, guessed_columns(table)).places
    assert place == Place(
        lat_deg=-41.29,
        lon_deg=174.80,
        identifier="H1",
        name="Hut",
        height_m=320.0,
        antenna_agl_m=6.5,
        notes="windy",
        function=SiteFunction.RELAY,
    )


def test_a_person_may_say_what_the_columns_mean():
    table = read_table(b"a,b,c\n174.80,-41.29,Hut\n")
    places = places_of_table(table, (Column.LONGITUDE, Column.LATITUDE, Column.NAME)).places
    assert (places[0].lat_deg, places[0].lon_deg, places[0].name) == (-41.29, 174.80, "Hut")


def test_how_a_text_was_understood_stays_with_the_place():
    assert read("name,position\nHut,41.29 S 174.80 E\n").places[0].source == (
        "read from “41.29 S 174.80 E”"
    )


def test_a_bad_row_is_told_by_its_number_and_the_others_are_kept():
    read_back = read("name,lat,lon\nA,1.5,2.5\nB,95.5,2.5\nC,,\nD,x,y\nE,3.5,4.5\n")
    assert [place.name for place in read_back.places] == ["A", "E"]
    assert read_back.problems == (
        "Row 3: it has a latitude of 95.5, beyond 90 degrees.",
        "Row 4: it has no position.",
        "Row 5: “x” is not understood in a position.",
    )


def test_a_table_without_positions_is_refused_with_advice():
    with pytest.raises(InputError, match="No column") as caught:
        read("name,colour\nHut,red\n")
    assert "latitude and longitude" in caught.value.advice


def test_an_older_encoding_is_read_and_said():
    found = read("name,lat,lon\nHütte,-41.29,174.80\n".encode("cp1252"))
    assert found.places[0].name == "Hütte"
    assert "older encoding" in found.problems[0]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"\n\n , ,\n", "empty"),
        (b"PK\x03\x04\x00\x00\x00", "no text"),
        (b"\xff\xfea", "cut off"),
        (b"a,b\n" + b"1," * 200 + b"\n", "100 columns"),
        (b"a,b\n" * 6_000, "5,000 rows"),
        (b'a,"' + b"x" * 200_000 + b'"\n', "cannot be read"),
        (b"x" * 20_000_001, "more than 20 MB"),
    ],
)
def test_what_is_no_table_gets_a_sentence(data, says):
    with pytest.raises(InputError, match=says):
        read_table(data)


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "=cmd|' /C calc'!A0"])
def test_no_cell_can_be_taken_for_a_formula(cell):
    place = Place(lat_deg=1.0, lon_deg=2.0, identifier=cell, name=cell, notes=cell)
    text = csv_of_places([place]).decode("utf-8-sig")
    row = text.splitlines()[1]
    assert row.count(f"\"'{cell.strip()}") == 3
    (back,) = read(text).places
    assert back.name == cell.strip()


@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_any_bytes_give_places_on_earth_or_a_sentence(data):
    try:
        found = read(data)
    except InputError:
        return
    assert all(abs(p.lat_deg) <= 90 and abs(p.lon_deg) <= 180 for p in found.places)
