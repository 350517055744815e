"""Declination against published and rederived values of the World Magnetic Model."""

from datetime import date

import pytest

from guyline.services.declination import declination


@pytest.mark.parametrize(
    ("lat", "lon", "east_deg"),
    [(-41.29, 174.80, 23.30), (51.50, -3.20, 0.20), (39.74, -105.25, 7.62)],
)
def test_declination_is_that_of_wmm2025_late_in_2026(lat, lon, east_deg):
    # rederived at 2026.9 and 0.3 km, printed to 0.01 degree; the day is 0.0005 years off
    found = declination(lat, lon, 300.0, date(2026, 11, 25))
    assert found.deg == pytest.approx(east_deg, abs=0.006)
    assert found.model == "WMM-2025"


def test_declination_is_that_of_the_published_test_values():
    # WMM2025 test value (from memory of the report's table): 80 N 0 E 0 km 2025.0, D = 1.28
    assert declination(80.0, 0.0, 0.0, date(2025, 1, 1)).deg == pytest.approx(1.28, abs=0.005)


def test_declination_is_unknown_outside_the_models_life():
    assert declination(50.0, 0.0, 0.0, date(2024, 12, 31)) is None
    assert declination(50.0, 0.0, 0.0, date(2025, 1, 1)) is not None
    assert declination(50.0, 0.0, 0.0, date(2029, 12, 31)) is not None
    assert declination(50.0, 0.0, 0.0, date(2030, 1, 1)) is None
