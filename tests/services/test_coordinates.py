"""A corpus of positions as people write them, good and bad; doubts about those that read well."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Plan, Position, Site, SiteFunction, SiteId, TerrainSource
from guyline.errors import InputError
from guyline.services.coordinates import DoubtCode, Notation, doubts, read_coordinates
from guyline.services.elevation import Terrain
from guyline.services.geodesy import (
    decimal_degrees,
    degrees_minutes,
    degrees_minutes_seconds,
    direct,
    geo_uri,
    inverse,
    mgrs,
    utm,
)
from guyline.services.plan_files import load_plan

DEMO = Path(__file__).parents[2] / "demo_projects" / "ullerby_sound"

DECIMAL, MINUTES, SECONDS = Notation.DECIMAL, Notation.MINUTES, Notation.SECONDS
# All mean 41.29 S 174.80 E (the check place of the coordinate formats) unless they say otherwise.
SOUTH_EAST = [
    ("-41.29000, 174.80000", DECIMAL),
    ("-41.29,174.80", DECIMAL),
    ("-41.29 174.80", DECIMAL),
    ("  -41.29\t174.80\n", DECIMAL),
    ("-41.29;174.80", DECIMAL),
    ("-41.29/174.80", DECIMAL),
    ("(-41.29, 174.80)", DECIMAL),
    ("[-41.29, 174.80]", DECIMAL),
    ("−41.29, +174.80", DECIMAL),
    ("–41.29, 174.80", DECIMAL),
    ("-41,29 174,80", DECIMAL),
    ("-41,29; 174,80", DECIMAL),
    ("-41,29, 174,80", DECIMAL),
    ("-41,29,174,80", DECIMAL),
    ("41.29S 174.80E", DECIMAL),
    ("41.29 S, 174.80 E", DECIMAL),
    ("S41.29 E174.80", DECIMAL),
    ("s 41.29 e 174.80", DECIMAL),
    ("174.80E 41.29S", DECIMAL),
    ("E 174.80 S 41.29", DECIMAL),
    ("41.29°S 174.80°E", DECIMAL),
    ("41.29º S, 174.80º E", DECIMAL),
    ("-41.29° 174.80°", DECIMAL),
    ("41,29° S 174,80° E", DECIMAL),
    ("lat -41.29 lon 174.80", DECIMAL),
    ("Lat: -41.29, Long: 174.80", DECIMAL),
    ("lat=-41.29 lng=174.80", DECIMAL),
    ("longitude 174.80 latitude -41.29", DECIMAL),
    ("Latitude 41.29 South, Longitude 174.80 East", DECIMAL),
    ("41.29 degrees south 174.80 degrees east", DECIMAL),
    ("minus 41 point 29, 174 point 80", DECIMAL),
    ("WGS84 -41.29 174.80", DECIMAL),
    ("-41.29 174.80 (WGS 84)", DECIMAL),
    ("the hut: 41.29 S 174.80 E", DECIMAL),
    ("-41.29 / 174.80", DECIMAL),
    ("-41.29+174.80/", DECIMAL),
    ("41.29\u00a0S\u00a0174.80\u00a0E", DECIMAL),
    ("\ufeff-41.29, 174.80", DECIMAL),
    ("41°17.400′S 174°48.000′E", MINUTES),
    ("41°17.4'S 174°48.0'E", MINUTES),
    ("41 17.4 S 174 48.0 E", MINUTES),
    ("S 41 17.400 E 174 48.000", MINUTES),
    ("S41°17.4 E174°48.0", MINUTES),
    ("41 17,4 S 174 48,0 E", MINUTES),
    ("-41 17.4, 174 48.0", MINUTES),
    ("-41 17.4 174 48.0", MINUTES),
    ("-41:17.4 174:48.0", MINUTES),
    ("41-17.4S 174-48.0E", MINUTES),
    ("41 deg 17.4 min S, 174 deg 48 min E", MINUTES),
    ("41 degrees 17.4 minutes south 174 degrees 48 minutes east", MINUTES),
    ("4117.400S 17448.000E", MINUTES),
    ("4117.4,S,17448.0,E", MINUTES),
    ("-4117.4+17448.0/", MINUTES),
    ("41°17′24.0″S 174°48′00.0″E", SECONDS),
    ("41°17'24\"S 174°48'00\"E", SECONDS),
    ("41°17'24''S, 174°48'0''E", SECONDS),
    ("41° 17’ 24” S 174° 48’ 0” E", SECONDS),
    ("41 17 24 S 174 48 00 E", SECONDS),
    ("S41 17 24 E174 48 00", SECONDS),
    ("41:17:24S 174:48:00E", SECONDS),
    ("41-17-24 S 174-48-00 E", SECONDS),
    ("-41 17 24, 174 48 0", SECONDS),
    ("-41 17 24 174 48 0", SECONDS),
    ("41d17m24s S 174d48m0s E", SECONDS),
    ("411724S 1744800E", SECONDS),
    ("-411724+1744800/", SECONDS),
    ("60 South 315784 5426715", Notation.UTM),
    ("60South 315784 5426715", Notation.UTM),
    ("zone 60 south 315784 5426715", Notation.UTM),
    ("UTM 60S 315784 5426715", Notation.UTM),
    ("60S 315784mE 5426715mN", Notation.UTM),
    ("60 S 5426715 mN 315784 mE", Notation.UTM),
    ("60G 315784, 5426715", Notation.UTM),
    ("60G 315784.0 5426715.0", Notation.UTM),
    ("60GUV1578426715", Notation.MGRS),
    ("60G UV 15784 26715", Notation.MGRS),
    ("60guv 15784 26715", Notation.MGRS),
    ("MGRS: 60GUV 1578 2671", Notation.MGRS),
    ("60 G UV 1578426715", Notation.MGRS),
    ("geo:-41.29000,174.80000;u=10", Notation.GEO_URI),
    ("GEO:-41.29,174.80", Notation.GEO_URI),
    ("geo:-41.29,174.80,320;crs=wgs84;u=5", Notation.GEO_URI),
    ("geo:-41.29,174.80?z=12", Notation.GEO_URI),
    ("https://maps.example/?q=-41.29,174.80", Notation.LINK),
    ("https://maps.example/?lat=-41.29&lon=174.80&zoom=12", Notation.LINK),
    ("https://maps.example/#map=12/-41.29000/174.80000", Notation.LINK),
    ("https://maps.example/place/@-41.29,174.80,15z", Notation.LINK),
    ("https://maps.example/?ll=-41.29%2C174.80", Notation.LINK),
    ("https://maps.example/?x=174.80&y=-41.29", Notation.LINK),
]


@pytest.mark.parametrize(("text", "notation"), SOUTH_EAST)
def test_one_place_is_read_in_every_way_it_is_written(text, notation):
    first = read_coordinates(text)[0]
    assert first.notation is notation
    # MGRS names a square, the rest is exact to the digits given
    off = inverse(-41.29, 174.80, first.lat_deg, first.lon_deg).distance_m
    assert off <= (8.0 if notation is Notation.MGRS else 1.0)
    assert off <= 2.0 * first.resolution_m + 0.1


OTHER_PLACES = [
    ("51.5N 3.2W", 51.5, -3.2),
    ("N 51° 30.000' W 003° 12.000'", 51.5, -3.2),
    ("51 30 N 003 12 W", 51.5, -3.2),
    ("5130N 00312W", 51.5, -3.2),
    ("51,5 N 3,2 W", 51.5, -3.2),
    ("51.5, -3.2", 51.5, -3.2),
    ("+51.5-003.2/", 51.5, -3.2),
    ("30 North 486117.5 5705448.1", 51.5, -3.2),
    ("30UVC8611705448", 51.5, -3.2),
    ("13 North 478579 4398930", 39.74, -105.25),
    ("13S 478579 4398930", 39.74, -105.25),
    ("39.74 N 105.25 W", 39.74, -105.25),
    ("0.5 S 0.25 W", -0.5, -0.25),
    ("-0 30, -0 15", -0.5, -0.25),
    ("90 N 0 E", 90.0, 0.0),
    ("0, 0", 0.0, 0.0),
    ("12 S, 180 W", -12.0, -180.0),
    ("41, 174", 41.0, 174.0),
    ("41,174", 41.0, 174.0),
    ("48,5 Nord 12,25 Ost", 48.5, 12.25),
    ("48.5 N 2.25 ouest", 48.5, -2.25),
]


@pytest.mark.parametrize(("text", "lat", "lon"), OTHER_PLACES)
def test_places_of_all_quarters_are_read(text, lat, lon):
    candidates = read_coordinates(text)
    best = min(inverse(lat, lon, c.lat_deg, c.lon_deg).distance_m for c in candidates)
    assert best < 1.5


BAD = [
    ("", "No position was given"),
    ("   ", "No position was given"),
    ("hello there", "0 numbers"),
    ("41.29", "1 numbers"),
    ("41.29 S", "1 numbers"),
    ("1 2 3 4 5", "5 numbers"),
    ("1 2 3 4 5 6 7", "7 numbers"),
    ("41.29 S 174.80 S", "two latitudes"),
    ("41.29 E 174.80 W", "two longitudes"),
    ("91 N 20 E", "beyond 90 degrees"),
    ("41 S 181 E", "beyond 180 degrees"),
    ("95.5, 200.5", "beyond 90 degrees"),
    ("-41 61.0, 174 48.0", "60 or more minutes"),
    ("41 17 60 S 174 48 0 E", "60 or more minutes"),
    ("41.5 17.4 S 174.2 48.0 E", "is not one latitude"),
    ("41 -17 S 174 48 E", "is not one latitude"),
    ("41 . 17 . 4 S 174 . 48 . 0 E", "“41.17 4” is not one latitude"),
    ("41.29 Q 174.80 E", "“Q” is not understood"),
    ("S E 41 174", "stands where a number should be"),
    ("60GUV157842671", "has 9 digits"),
    ("60GUV 15784 26715 11", "has 12 digits"),
    ("60GII 15784 26715", ""),
    ("61GUV 15784 26715", "There is no MGRS square 61GUV"),
    ("61 North 315784 5426715", "There is no UTM zone 61"),
    ("60 North 15784 5426715", "are not in zone 60"),
    ("geo:91,0", "not on Earth"),
    ("geo:47,11;crs=nad27", "coordinate system nad27"),
    ("https://maps.example/", "no numbers"),
    ("https://maps.example/?q=95.123,200.456", "no numbers"),
    ("nan, inf", ""),
    ("1e999, 1e999", ""),
    ("41.29 S 174.80 E" * 200, "more than a position needs"),
    ("'; DROP TABLE sites; --", "0 numbers"),
]


@pytest.mark.parametrize(("text", "says"), BAD)
def test_what_is_no_place_gets_a_sentence_with_what_is_wrong(text, says):
    with pytest.raises(InputError) as caught:
        read_coordinates(text)
    assert says in str(caught.value)
    assert caught.value.advice
    assert len(str(caught.value)) < 200


def test_the_corpus_holds_at_least_sixty_texts_and_many_bad_ones():
    assert len(SOUTH_EAST) + len(OTHER_PLACES) + len(BAD) >= 60
    assert len(BAD) >= 20


def test_two_bare_numbers_may_be_either_way_round():
    first, second = read_coordinates("12.5, 47.25")
    assert (first.lat_deg, first.lon_deg) == (12.5, 47.25)
    assert (second.lat_deg, second.lon_deg) == (47.25, 12.5)
    assert "taken as longitude first" in second.notes


def test_a_number_beyond_90_can_only_be_the_longitude():
    (only,) = read_coordinates("174.80, -41.29")
    assert (only.lat_deg, only.lon_deg) == (-41.29, 174.80)
    assert "taken as longitude first" in only.notes


def test_missing_letters_are_said():
    notes = read_coordinates("-41.29, 174.80")[0].notes
    assert any("no letters for the hemispheres" in note for note in notes)
    assert read_coordinates("41.29 S 174.80 E")[0].notes == ()


def test_a_minus_beside_a_letter_is_said_and_the_letter_believed():
    first = read_coordinates("-41.29 S 174.80 E")[0]
    assert first.lat_deg == -41.29
    assert any("the letter was believed" in note for note in first.notes)


def test_the_letter_o_may_be_east_or_west():
    east, west = read_coordinates("48.5 N 2.25 O")
    assert (east.lon_deg, west.lon_deg) == (2.25, -2.25)


def test_zone_60_s_is_south_unless_the_band_can_be_meant():
    (south,) = read_coordinates("60S 315784 5426715")  # 48.9 N is not in band S, 32 to 40 N
    assert south.lat_deg == pytest.approx(-41.29, abs=1e-5)
    south, north = read_coordinates("60S 315784 3900000")
    assert south.lat_deg < 0.0
    assert 32.0 < north.lat_deg < 40.0
    assert "band S" in north.notes[0]


def test_a_band_letter_that_does_not_fit_is_said():
    (only,) = read_coordinates("60K 315784 5426715")
    assert "latitude band K does not fit this northing" in only.notes


def test_another_datum_is_said():
    notes = read_coordinates("NAD27 39.74 N 105.25 W")[0].notes
    assert any("NAD27" in note and "hundreds of metres" in note for note in notes)


def test_words_that_were_left_out_are_said():
    notes = read_coordinates("hut near gate 41.29 S 174.80 E")[0].notes
    assert "left out: hut, near, gate" in notes


def test_a_third_number_is_offered_as_a_height():
    assert read_coordinates("-41.29, 174.80, 320")[0].height_m == 320.0
    assert read_coordinates("41.29 S 174.80 E 320 m")[0].height_m == 320.0
    assert read_coordinates("geo:-41.29,174.80,320")[0].height_m == 320.0
    assert read_coordinates("-41.29, 174.80")[0].height_m is None


@pytest.mark.parametrize(
    ("text", "resolution_m"),
    [  # half a unit of the last digit, 111.32 km to the degree
        ("-41.29, 174.80", 556.6),
        ("-41.29000, 174.80000", 0.5566),
        ("41 17.4 S 174 48.0 E", 92.77),
        ("41 17 24 S 174 48 00 E", 15.46),
        ("60GUV1578", 500.0),
        ("60GUV1578426715", 0.5),
        ("60 South 315784 5426715", 0.5),
        ("geo:-41.29,174.80;u=10", 10.0),
    ],
)
def test_the_digits_tell_how_far_the_place_may_be_off(text, resolution_m):
    assert read_coordinates(text)[0].resolution_m == pytest.approx(resolution_m, rel=1e-3)


def test_the_echo_repeats_the_notation_with_letters():
    assert read_coordinates("-41 17.4 174 48")[0].echo == "41°17.400′S 174°48.000′E"
    assert read_coordinates("-41 17 24 174 48 0")[0].echo == "41°17′24.0″S 174°48′00.0″E"
    assert read_coordinates("-41.29 174.8")[0].echo == "41.29000°S 174.80000°E"


places = st.tuples(st.floats(-79.9, 83.9), st.floats(-179.99, 179.99))


@given(places)
def test_whatever_the_program_writes_it_can_read(place):
    for text, within_m in (
        (decimal_degrees(*place), 1.0),
        (degrees_minutes(*place), 2.0),
        (degrees_minutes_seconds(*place), 4.0),
        (geo_uri(*place), 1.0),
        (utm(*place), 1.0),
        (mgrs(*place), 1.0),
    ):
        candidates = read_coordinates(text)
        found = candidates[0]
        assert inverse(*place, found.lat_deg, found.lon_deg).distance_m < within_m, text


@given(st.text(max_size=60) | st.from_regex(r"[-+NSEW0-9°'\". ,;:/]{1,40}", fullmatch=True))
def test_any_text_gives_places_on_earth_or_a_sentence(text):
    try:
        candidates = read_coordinates(text)
    except InputError:
        return  # its sentence is tested above
    assert candidates
    assert all(abs(c.lat_deg) <= 90 and abs(c.lon_deg) <= 180 for c in candidates)


# Doubts


def plan_at(*places):
    sites = (
        Site(site_id=SiteId(f"S{i}"), position=Position(lat_deg=lat, lon_deg=lon))
        for i, (lat, lon) in enumerate(places)
    )
    return Plan(sites=tuple(sites))


COAST = plan_at((-46.05, -129.05), (-46.10, -128.95))


def codes(*args, **facts):
    return [doubt.code for doubt in doubts(*args, **facts)]


def test_a_place_among_the_others_raises_no_doubt():
    assert doubts(-46.07, -129.0, plan=COAST) == ()
    assert doubts(10.0, 10.0) == ()
    assert doubts(10.0, 10.0, plan=Plan()) == ()


@pytest.mark.parametrize(
    ("lat", "lon", "code"),
    [
        (46.07, -129.0, DoubtCode.SIGN_LOST),
        (-46.07, 129.0, DoubtCode.SIGN_LOST),
        (46.07, 129.0, DoubtCode.SIGN_LOST),
    ],
)
def test_a_lost_sign_is_suspected_and_the_place_meant_is_offered(lat, lon, code):
    (doubt,) = doubts(lat, lon, plan=COAST)
    assert doubt.code is code
    assert doubt.instead == (-46.07, -129.0)


def test_swapped_numbers_are_suspected():
    valley = plan_at((46.5, 8.5), (46.6, 8.6))
    (doubt,) = doubts(8.55, 46.55, plan=valley)
    assert doubt.code is DoubtCode.SWAPPED
    assert doubt.instead == (46.55, 8.55)


def test_a_place_that_no_mistake_explains_is_just_far():
    (doubt,) = doubts(-30.0, 20.0, plan=COAST)
    assert doubt.code is DoubtCode.FAR_AWAY
    assert doubt.instead is None
    assert "from the nearest other site, S" in doubt.message


def test_an_empty_field_is_no_place():
    assert codes(0.0, 0.0)[0] is DoubtCode.NO_PLACE


def test_two_sites_in_one_place_are_suspected_but_no_site_of_itself():
    assert codes(-46.05, -129.0501, plan=COAST) == [DoubtCode.TWIN]  # 8 m
    assert codes(-46.05, -129.0501, plan=COAST, site_id=SiteId("S0")) == []


def test_few_digits_are_doubted():
    assert codes(-46.1, -129.0, plan=COAST, resolution_m=5_566.0) == [DoubtCode.COARSE]


def test_a_height_is_held_against_the_terrain():
    terrain = Terrain.open([TerrainSource(path="terrain.tif")], DEMO)
    lat, lon = -46.0, -129.0
    while terrain.height_amsl_m(lat, lon) < 100.0:
        lat -= 0.005
    ground = terrain.height_amsl_m(lat, lon)
    assert codes(lat, lon, terrain=terrain, stated_amsl_m=ground + 20.0) == []
    (doubt,) = doubts(lat, lon, terrain=terrain, stated_amsl_m=ground + 80.0)
    assert doubt.code is DoubtCode.HEIGHT
    assert f"the terrain says {ground:.0f} m" in doubt.message
    assert codes(-lat, lon, terrain=terrain) == [DoubtCode.SIGN_LOST]
    assert codes(10.0, 10.0, terrain=terrain) == [DoubtCode.FAR_AWAY]


def test_a_new_position_is_held_against_the_last_version():
    here = SiteId("S0")
    assert codes(-46.0503, -129.05, plan=COAST, site_id=here) == []  # 33 m, as receivers differ
    (doubt,) = doubts(-46.0515, -129.0485, plan=COAST, site_id=here)
    assert doubt.code is DoubtCode.MOVED
    # rederived: 1852 m a minute: 0.09' south 166.7 m; 0.09' east at 46 S 115.7 m; together 203 m
    assert doubt.message == "203 m from where it was: another datum, or the gate for the mast?"
    (doubt,) = doubts(-46.10, -129.05, plan=COAST, site_id=here)
    assert doubt.message.endswith("from where it was: is it the same site?")


def test_a_position_known_to_be_unsure_may_move_as_far_as_that():
    site = replace(COAST.sites[0], position=Position(lat_deg=-46.05, lon_deg=-129.05,
                                                     uncertainty_m=500.0))  # fmt: skip
    plan = COAST.with_site(site)
    assert codes(-46.055, -129.05, plan=plan, site_id=site.site_id) == []  # 556 m


def seeded_faults():
    """Return every site of the demo plan with each mistake that people make, and without any.

    Swapped numbers of that coast are refused outright, as no latitude exceeds 90 degrees.
    """
    plan = load_plan(DEMO / "ullerby_sound.plan.json")
    right, wrong = [], []
    for site in plan.sites:
        if site.position is None:
            continue
        lat, lon = site.position.lat_deg, site.position.lon_deg
        right += [(site, lat, lon), (site, round(lat, 4), round(lon, 4))]
        wrong += [(site, -lat, lon), (site, lat, -lon), (site, -lat, -lon)]  # sign
        wrong += [(site, *direct(lat, lon, azimuth, 200.0)) for azimuth in (45.0, 225.0)]  # datum
        wrong += [(site, *direct(lat, lon, azimuth, 250.0)) for azimuth in (0.0, 120.0)]  # gate
    return plan, right, wrong


def test_of_seeded_mistakes_19_in_20_are_doubted_and_of_right_places_none_in_50():
    plan, right, wrong = seeded_faults()
    terrain = Terrain.of_plan(plan, DEMO)

    def doubted(places):
        return sum(
            bool(doubts(lat, lon, plan=plan, terrain=terrain, site_id=site.site_id))
            for site, lat, lon in places
        ) / len(places)

    assert doubted(wrong) >= 0.95
    assert doubted(right) <= 0.02


def test_a_relay_below_higher_ground_may_be_the_gate_and_not_the_mast():
    plan = load_plan(DEMO / "ullerby_sound.plan.json")
    terrain = Terrain.of_plan(plan, DEMO)
    found = []
    for site in plan.sites:
        if site.function is SiteFunction.RELAY and site.position is not None:
            lat, lon = site.position.lat_deg, site.position.lon_deg
            moved = [direct(lat, lon, azimuth, 280.0) for azimuth in range(0, 360, 45)]
            lowest = min(moved, key=lambda place: terrain.height_amsl_m(*place))
            nameless = replace(site, position=None)
            found += [
                (terrain.height_amsl_m(lat, lon) - terrain.height_amsl_m(*lowest), doubt)
                for doubt in doubts(
                    *lowest, plan=plan.with_site(nameless), terrain=terrain, site_id=site.site_id
                )
                if doubt.code is DoubtCode.GATE
            ]
    assert found
    assert all("is this the gate" in doubt.message for _, doubt in found)
    assert max(drop for drop, _ in found) > 30.0
