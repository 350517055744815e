"""Grid lines lie where they say they lie."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.plan import Units
from guyline.services.geodesy import LocalFrame, utm_position
from guyline.viewmodels.ground_view_area import Area
from guyline.viewmodels.ground_view_grid import GridKind, grid_lines, scale_bar_m

FRAME = LocalFrame(-46.08, -129.0)
AREA = Area(west_m=-12_000.0, south_m=-9_000.0, east_m=12_000.0, north_m=9_000.0)


def test_meridians_and_parallels_lie_on_round_minutes() -> None:
    lines = grid_lines(GridKind.LAT_LON, FRAME, AREA)
    assert 4 <= len(lines) <= 16
    for line in lines:
        lat, lon = FRAME.to_lat_lon(line.x_m, line.y_m)
        fixed = lon if line.is_upright else lat
        assert np.ptp(fixed) < 1e-7
        minutes = abs(float(fixed[0])) * 60.0
        assert minutes == pytest.approx(round(minutes), abs=1e-4)
        degrees, rest = line.label[:-1].rstrip("′").split("°")
        assert float(degrees) + float(rest) / 60.0 == pytest.approx(minutes / 60.0, abs=1e-6)
        assert line.label[-1] == ("W" if line.is_upright else "S")


def test_utm_lines_lie_on_round_kilometres() -> None:
    lines = grid_lines(GridKind.UTM, FRAME, AREA)
    assert len(lines) >= 4
    for line in lines:
        for x, y in zip(line.x_m, line.y_m, strict=True):
            lat, lon = FRAME.to_lat_lon(x, y)
            utm = utm_position(float(lat), float(lon))
            assert utm is not None
            value = utm.easting_m if line.is_upright else utm.northing_m
            assert value / 1000.0 == pytest.approx(float(line.label.split()[0]), abs=0.002)


def test_no_grid_has_no_lines() -> None:
    assert grid_lines(GridKind.NONE, FRAME, AREA) == ()


def test_beyond_the_utm_grid_there_are_no_utm_lines() -> None:
    assert grid_lines(GridKind.UTM, LocalFrame(86.0, 10.0), AREA) == ()


@pytest.mark.parametrize(
    ("metres_per_px", "length_m", "words"),
    [(40.0, 5000.0, "5 km"), (1.0, 100.0, "100 m"), (7.2, 1000.0, "1 km")],
)
def test_scale_bars_are_round_and_fit(metres_per_px: float, length_m: float, words: str) -> None:
    assert scale_bar_m(metres_per_px, Units.METRIC) == (pytest.approx(length_m), words)
    assert length_m / metres_per_px <= 140.0


def test_scale_bars_of_imperial_plans_are_in_miles() -> None:
    length, words = scale_bar_m(40.0, Units.IMPERIAL)
    assert words == "2 mi"
    assert length == pytest.approx(2 * 1609.344)
