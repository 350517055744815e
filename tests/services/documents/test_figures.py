from __future__ import annotations

from datetime import date

import pytest

from guyline.core.plan import Units
from guyline.services.declination import Declination
from guyline.services.documents import figures

EAST = Declination(deg=23.3, model="WMM-2025", on=date(2026, 11, 25))
WEST = Declination(deg=-15.6, model="WMM-2025", on=date(2026, 11, 25))


@pytest.mark.parametrize(
    ("true_deg", "declination", "written"),
    [
        (51.57, EAST, "052° T / 028° M"),  # 51.57 - 23.3 = 28.27
        (10.0, EAST, "010° T / 347° M"),  # 10 - 23.3 + 360 = 346.7
        (350.0, WEST, "350° T / 006° M"),  # 350 + 15.6 - 360 = 5.6
        (359.7, WEST, "000° T / 015° M"),
        (51.57, None, "052° T / magnetic unknown"),
    ],
)
def test_a_bearing_has_three_digits_from_both_norths(
    true_deg: float, declination: Declination | None, written: str
) -> None:
    assert figures.bearing(true_deg, declination) == written


def test_the_declination_is_printed_with_its_model_and_day() -> None:
    assert figures.declination_words(EAST) == "23.3° east (WMM-2025, 25 Nov 2026)"
    assert figures.declination_words(WEST).startswith("15.6° west")


def test_imperial_sheets_keep_the_metres() -> None:
    # worked: 6 m / 0.3048 = 19.7 ft; 1609.344 m are one mile by definition
    assert figures.height(6.0, Units.IMPERIAL, 1) == "20 ft (6.0 m)"
    assert figures.distance(1609.344, Units.IMPERIAL) == "1.00 mi (1.61 km)"
    assert figures.distance(1609.344, Units.METRIC) == "1.61 km"


def test_tilt_says_up_or_down_and_never_a_bare_sign() -> None:
    assert figures.tilt(3.0) == "3° down"
    assert figures.tilt(-2.0) == "2° up"
    assert figures.tilt(0.0) == "0° (level)"


@pytest.mark.parametrize(
    ("azimuth_deg", "word"),
    [(0.0, "north"), (22.4, "north"), (22.6, "north-east"), (180.0, "south"), (359.0, "north")],
)
def test_the_nearest_of_eight_winds_is_named(azimuth_deg: float, word: str) -> None:
    assert figures.compass_point(azimuth_deg) == word


def test_a_grid_reference_is_written_in_groups() -> None:
    # 60GUV1578426715: check value of the trade for 41.29 S, 174.80 E
    assert figures.grid_reference("60GUV1578426715") == "60G UV 15784 26715"


def test_hours_become_days_after_two_days() -> None:
    assert figures.hours(47.0) == "47 h"
    assert figures.hours(84.0) == "3.5 days"
