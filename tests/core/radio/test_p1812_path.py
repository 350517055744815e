"""Zones, ducting incidence and horizons as P.1812 reads them off a path."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.radio.p1812_path import (
    ducting_incidence_percent,
    horizons,
    longest_run_km,
    run_lengths_km,
    sea_fraction,
    zones_over,
)


def test_a_run_reaches_half_way_to_its_neighbours():
    d = np.array([0.0, 1.0, 2.0, 4.0, 5.0, 6.0])
    zone = np.array([1, 1, 4, 4, 3, 1])
    # By hand: sea 0..1.5 and 5.5..6; land 1.5..5.5; inland 1.5..4.5
    assert run_lengths_km(d, zone == 1) == [1.5, 0.5]
    assert longest_run_km(d, zone != 1) == 4.0
    assert longest_run_km(d, zone == 4) == 3.0
    assert sea_fraction(d, zone) == pytest.approx(2.0 / 6.0)


def test_a_single_sample_counts_with_both_halves():
    d = np.array([0.0, 1.0, 3.0, 4.0])
    assert run_lengths_km(d, np.array([False, True, False, False])) == [1.5]


def test_without_a_zone_there_is_no_run():
    assert longest_run_km(np.array([0.0, 1.0]), np.array([False, False])) == 0.0


def test_ducting_incidence_is_that_of_the_equations():
    # Rederived by hand, P.1812 eqs. (2) to (5): all sea, latitude 50: mu1 = min(1, (1 +
    # 10^-2.48)^0.2) = 1 -> beta0 = 10^(-0.75 + 1.67) = 8.318 %
    assert ducting_incidence_percent(50.0, 0.0, 0.0) == pytest.approx(8.3176, abs=1e-4)
    # Latitude 80, all sea: 4.17 %
    assert ducting_incidence_percent(80.0, 0.0, 0.0) == pytest.approx(4.17)
    # 10 km inland at latitude 53.2: tau = 1 - exp(-4.12e-4 * 10^2.41) = 0.10048; mu1 = (10^(-10 /
    # 15.337) + 10^(-2.6579))^0.2 = 0.74128; mu4 = mu1^0.00132; beta0 = 10^0.872 * mu1 * mu4
    assert ducting_incidence_percent(53.2, 10.0, 10.0) == pytest.approx(5.525, abs=0.005)


def test_both_halves_of_the_world_are_alike_and_the_pole_begins_at_70_degrees():
    assert ducting_incidence_percent(-33.0, 40.0, 20.0) == ducting_incidence_percent(33, 40, 20)
    at, beyond = (ducting_incidence_percent(lat, 40.0, 20.0) for lat in (70.0, 70.0001))
    # Both branches meet but for rounded constants: mu1^0.297 and mu1^0.3, 10^0.62 and 4.17.
    assert at == pytest.approx(beyond, rel=0.005)
    assert at != beyond


def test_horizons_of_a_single_hill_are_the_hill():
    d = np.linspace(0.0, 20.0, 201)
    h = np.where(d == 8.0, 300.0, 0.0)
    seen = horizons(d, h, 30.0, 10.0, 0.345, 8500.0)
    assert seen.is_transhorizon
    assert (seen.tx_distance_km, seen.rx_distance_km) == (8.0, 12.0)
    # Rederived: 1000 atan(270/8000 - 8/17000) = 33.267; 1000 atan(290/12000 - 12/17000) = 23.457
    assert seen.tx_angle_mrad == pytest.approx(33.267, abs=0.001)
    assert seen.rx_angle_mrad == pytest.approx(23.457, abs=0.001)
    assert seen.angular_distance_mrad == pytest.approx(20e3 / 8500 + 33.267 + 23.457, abs=0.002)


def test_a_clear_path_has_its_horizon_where_the_zone_is_fullest():
    d = np.linspace(0.0, 20.0, 201)
    h = np.where(d == 5.0, 60.0, 0.0)
    seen = horizons(d, h, 100.0, 100.0, 0.345, 8500.0)
    assert not seen.is_transhorizon
    assert (seen.tx_distance_km, seen.rx_distance_km) == (5.0, 15.0)
    # Rederived: 1000 atan(0/20000 - 20/17000) = -1.1765 at both ends; 20e3/8500 - 2 * 1.1765 = 0
    assert seen.angular_distance_mrad == pytest.approx(0.0, abs=1e-5)


def test_zones_are_read_off_the_heights_as_far_as_they_tell_them():
    # By hand, section 3.3: sea at 0; land up to 100 m and 50 km from it coastal; the rest inland
    d = np.array([0.0, 10.0, 20.0, 60.0, 90.0, 110.0, 120.0])
    h = np.array([30.0, 0.0, 99.0, 40.0, 40.0, 101.0, -0.5])
    assert zones_over(d, h).tolist() == [3, 1, 3, 3, 3, 4, 1]
    d[4], h[6] = 65.0, 5.0
    assert zones_over(d, h).tolist() == [3, 1, 3, 3, 4, 4, 4]


def test_without_the_sea_all_is_inland():
    assert zones_over(np.arange(3.0), np.array([1.0, 2.0, 900.0])).tolist() == [4, 4, 4]
