"""Check values of trade handbooks, rederived on WGS 84; laws; independent libraries."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pyproj import Transformer

from guyline.services.geodesy import (
    LocalFrame,
    Utm,
    decimal_degrees,
    degrees_minutes,
    degrees_minutes_seconds,
    direct,
    elevation_angle_deg,
    from_mgrs,
    from_utm,
    geo_uri,
    grid_convergence_deg,
    inverse,
    mgrs,
    points_along,
    utm,
    utm_position,
    utm_zone,
)

MEDIAN_RADIUS_M = 6_371_000.0 * 4 / 3

# Rederived with another library for three places of both hemispheres; last figure as printed.
WRITTEN = [
    (-41.29, 174.80, "41°17.400′S 174°48.000′E", "41°17′24.0″S 174°48′00.0″E"),
    (51.50, -3.20, "51°30.000′N 3°12.000′W", "51°30′00.0″N 3°12′00.0″W"),
    (39.74, -105.25, "39°44.400′N 105°15.000′W", "39°44′24.0″N 105°15′00.0″W"),
]
GRIDS = [
    (-41.29, 174.80, 60, False, 315784.0, 5426715.0, "60GUV1578426715", "60GUV15782671", 1.452),
    (51.50, -3.20, 30, True, 486117.5, 5705448.1, "30UVC8611705448", "30UVC86110544", -0.157),
    (39.74, -105.25, 13, True, 478579.3, 4398930.3, "13SDD7857998930", "13SDD78579893", -0.160),
]

latitudes = st.floats(-79.9, 83.9)
longitudes = st.floats(-180.0, 180.0)


@pytest.mark.parametrize(("lat", "lon", "minutes", "seconds"), WRITTEN)
def test_a_place_is_written_in_minutes_and_in_seconds(lat, lon, minutes, seconds):
    assert degrees_minutes(lat, lon) == minutes
    assert degrees_minutes_seconds(lat, lon) == seconds


@pytest.mark.parametrize(
    ("lat", "lon", "zone", "north", "easting", "northing", "metre", "ten_metres", "turn"), GRIDS
)
def test_grid_references_are_those_of_the_handbook(
    lat, lon, zone, north, easting, northing, metre, ten_metres, turn
):
    position = utm_position(lat, lon)
    assert (position.zone, position.is_north) == (zone, north)
    assert position.easting_m == pytest.approx(easting, abs=0.05)
    assert position.northing_m == pytest.approx(northing, abs=0.05)
    assert mgrs(lat, lon) == metre
    assert mgrs(lat, lon, 4) == ten_metres
    assert grid_convergence_deg(lat, lon) == pytest.approx(turn, abs=0.0005)


def test_utm_names_its_hemisphere_in_full():
    assert utm(-41.29, 174.80) == "60 South 315784 5426715"
    assert utm(39.74, -105.25) == "13 North 478579 4398930"


def test_mgrs_is_cut_off_and_never_rounded():
    # 15784 and 26715 would round to 1578|2672 and 158|267
    assert mgrs(-41.29, 174.80, 3) == "60GUV157267"


def test_utm_ends_towards_the_poles_while_mgrs_goes_on():
    assert utm(85.0, 10.0) == ""
    assert utm_position(-80.5, 10.0) is None
    assert grid_convergence_deg(84.0, 10.0) is None
    assert mgrs(85.0, 10.0, 3).startswith("Z")


def test_zones_are_widened_in_the_north_east_atlantic():
    # DMA TM 8358.1: 32V takes 3 to 12 E between 56 and 64 N; 31X, 33X, 35X, 37X above 72 N
    assert utm_zone(60.0, 5.0) == 32
    assert utm_zone(60.0, 2.9) == 31
    assert [utm_zone(75.0, lon) for lon in (8.9, 9.0, 21.0, 33.0, 42.0)] == [31, 33, 35, 37, 38]
    assert utm_zone(0.0, 180.0) == 1


@given(latitudes, longitudes)
def test_the_zone_is_the_one_that_the_mgrs_library_takes(lat, lon):
    # the library rounds places within nanometres of a zone's edge into its neighbour
    assume(all(abs(edge - round(edge)) > 1e-9 for edge in (lon / 3.0, lat / 8.0)))
    assert utm_zone(lat, lon) == int(mgrs(lat, lon)[:-13])


@given(latitudes, longitudes)
def test_a_grid_reference_leads_back_to_its_place(lat, lon):
    assert inverse(lat, lon, *from_utm(utm_position(lat, lon))).distance_m < 0.01
    assert inverse(lat, lon, *from_mgrs(mgrs(lat, lon))).distance_m < math.sqrt(2.0) + 0.01


def test_mgrs_can_be_read_back_a_hair_south_of_the_equator():
    for lat in (-1e-12, -8.8e-10, -9.9e-9, -9.9e-8, -1.1e-7, -1e-6, -1e-5):
        assert inverse(lat, 0.0, *from_mgrs(mgrs(lat, 0.0))).distance_m < math.sqrt(2.0) + 0.01


def test_what_is_no_mgrs_reference_is_refused():
    for reference in ("60GUV157842671", "13TDD7857998930"):  # odd digits; no such square
        with pytest.raises(ValueError, match="no MGRS reference"):
            from_mgrs(reference)


def test_minutes_carry_over_where_they_round_to_sixty():
    assert degrees_minutes(-11.9999999, 0.0) == "12°00.000′S 0°00.000′E"
    assert degrees_minutes_seconds(11.9999999, -0.9999999) == "12°00′00.0″N 1°00′00.0″W"


def test_decimal_degrees_carry_letters_and_never_a_bare_sign():
    assert decimal_degrees(-41.29, 174.8) == "41.29000°S 174.80000°E"


def test_a_geo_uri_gives_latitude_first():
    assert geo_uri(-41.29, 174.8, 10.0) == "geo:-41.29000,174.80000;u=10"
    assert geo_uri(0.00001, -0.000001) == "geo:0.00001,-0.00000"


@pytest.mark.parametrize(
    ("ends", "distance", "azimuth", "back"),
    [  # rederived with Karney's algorithm; printed to 0.01 m and 0.01 degree
        ((-41.29, 174.80, -41.20, 174.95), 16062.27, 51.57, 231.47),
        ((51.5, -3.2, 51.6, -3.0), 17783.20, 51.19, 231.35),
    ],
)
def test_geodesics_are_those_of_the_handbook(ends, distance, azimuth, back):
    way = inverse(*ends)
    assert way.distance_m == pytest.approx(distance, abs=0.005)
    assert way.azimuth_deg == pytest.approx(azimuth, abs=0.005)
    assert way.back_azimuth_deg == pytest.approx(back, abs=0.005)


def test_azimuths_run_from_0_to_360():
    assert inverse(0.0, 1.0, 0.0, 0.0).azimuth_deg == pytest.approx(270.0)
    assert inverse(0.0, 1.0, 0.0, 0.0).back_azimuth_deg == pytest.approx(90.0)
    assert inverse(10.0, 5.0, 11.0, 5.0).back_azimuth_deg == pytest.approx(180.0)


@given(st.floats(-85, 85), longitudes, st.floats(0, 360), st.floats(1.0, 200_000.0))
def test_going_out_and_measuring_back_agree(lat, lon, azimuth, distance):
    way = inverse(lat, lon, *direct(lat, lon, azimuth, distance))
    assert way.distance_m == pytest.approx(distance, abs=1e-6)
    assert math.cos(math.radians(way.azimuth_deg - azimuth)) == pytest.approx(1.0, abs=1e-9)


def test_points_along_keep_both_ends_and_the_step():
    distance, lat, lon = points_along(-41.29, 174.80, -41.20, 174.95, 30.0)
    assert (lat[0], lon[0], lat[-1], lon[-1]) == (-41.29, 174.80, -41.20, 174.95)
    assert distance[-1] == pytest.approx(16062.27, abs=0.005)
    assert np.all(np.diff(distance) <= 30.0)
    assert np.all(np.diff(distance) > 29.0)
    middle = inverse(-41.29, 174.80, float(lat[100]), float(lon[100]))
    assert middle.distance_m == pytest.approx(distance[100], abs=1e-6)


def test_a_path_to_itself_has_two_samples_at_zero():
    distance, _, _ = points_along(10.0, 20.0, 10.0, 20.0, 30.0)
    assert distance.tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("drop", "distance", "depression", "tolerance"),
    [  # tan = (dh + d^2/2ka)/d with k = 4/3, a = 6371 km; printed to 0.01 degree
        (300.0, 2_000.0, 8.54, 0.005),
        (150.0, 3_000.0, 2.87, 0.005),
        (550.0, 10_000.0, 3.18, 0.005),
        (10.0, 30_000.0, 0.12, 0.005),
    ],
)
def test_depression_counts_the_curvature(drop, distance, depression, tolerance):
    angle = elevation_angle_deg(distance, drop, 0.0, MEDIAN_RADIUS_M)
    assert angle == pytest.approx(-depression, abs=tolerance)


def test_the_local_frame_keeps_distance_and_bearing_from_its_origin():
    frame = LocalFrame(-41.29, 174.80)
    x, y = frame.to_xy(-41.20, 174.95)
    way = inverse(-41.29, 174.80, -41.20, 174.95)
    assert math.hypot(x, y) == pytest.approx(way.distance_m, abs=1e-6)
    assert math.degrees(math.atan2(x, y)) == pytest.approx(way.azimuth_deg, abs=1e-9)


def test_a_local_frame_may_be_set_up_from_an_array():
    lat, lon = np.array([-41.29, 174.80])
    assert LocalFrame(lat, lon).crs == LocalFrame(-41.29, 174.80).crs


def test_the_local_frame_is_true_within_6e_6_in_a_box_of_60_km():
    frame = LocalFrame(47.0, -31.0)
    random = np.random.default_rng(1)
    x, y = random.uniform(-30e3, 30e3, (2, 200))
    lat, lon = frame.to_lat_lon(x, y)
    error = [
        math.hypot(x[i] - x[j], y[i] - y[j])
        / inverse(float(lat[i]), float(lon[i]), float(lat[j]), float(lon[j])).distance_m
        - 1.0
        for i, j in zip(range(0, 200, 2), range(1, 200, 2), strict=True)
    ]
    assert max(map(abs, error)) < 6e-6


@pytest.mark.parametrize(("lat0", "lon0"), [(-45.0, -30.0), (68.0, 179.9), (0.0, 0.0), (89.9, 10)])
def test_the_local_frame_is_the_projection_that_its_files_name(lat0, lon0):
    # independent implementation: PROJ's azimuthal equidistant projection
    frame = LocalFrame(lat0, lon0)
    to_xy = Transformer.from_crs("EPSG:4326", frame.crs, always_xy=True)
    x, y = np.random.default_rng(4).uniform(-200e3, 200e3, (2, 500))
    lat, lon = frame.to_lat_lon(x, y)
    assert np.asarray(to_xy.transform(lon, lat)) == pytest.approx(np.array([x, y]), abs=1e-6)
    assert np.array(frame.to_xy(lat, lon)) == pytest.approx(np.array([x, y]), abs=1e-6)


@given(st.floats(-80, 80), longitudes, st.floats(-5e4, 5e4), st.floats(-5e4, 5e4))
def test_the_local_frame_leads_back(lat0, lon0, x, y):
    frame = LocalFrame(lat0, lon0)
    there = frame.to_xy(*frame.to_lat_lon(x, y))
    assert there[0] == pytest.approx(x, abs=1e-3)
    assert there[1] == pytest.approx(y, abs=1e-3)


def test_utm_rounds_to_the_nearest_metre():
    assert str(Utm(zone=30, is_north=True, easting_m=1.5, northing_m=2.49)) == "30 North 2 2"
