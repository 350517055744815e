"""What the horizon takes of the sun."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.core.plan import Position
from guyline.core.terrain.horizon import Horizon, azimuths_deg
from guyline.services import panel_horizon as module
from guyline.services.panel_horizon import panel_horizon, sun_arc


def test_noon_stands_where_latitude_and_season_put_it():
    # Published: London 21 December: noon elevation 15.12° with refraction; our mean day of
    # December is the 10th, declination -23.05°: 90 - 51.5 - 23.05 = 15.45°.
    arc = sun_arc(51.5, 12)
    assert arc.elevation_deg.max() == pytest.approx(15.45, abs=0.1)
    highest = int(np.argmax(arc.elevation_deg))
    assert arc.azimuth_deg[highest] == pytest.approx(180.0, abs=3.0)
    assert arc.solar_hour[highest] == pytest.approx(12.0, abs=0.2)


def test_the_noon_sun_of_the_south_stands_in_the_north():
    arc = sun_arc(-44.0, 6)
    highest = int(np.argmax(arc.elevation_deg))
    assert min(arc.azimuth_deg[highest], 360.0 - arc.azimuth_deg[highest]) < 4.0


def test_day_lengths():
    # Law: twelve hours at the equator, none in the polar night, all in the polar day.
    assert sun_arc(0.0, 3).hours_up == pytest.approx(12.0, abs=0.3)
    assert sun_arc(80.0, 12).hours_up == 0.0
    assert sun_arc(80.0, 6).hours_up == 24.0


def test_a_ridge_takes_the_hours_it_hides():
    free = sun_arc(51.5, 12)
    assert free.hours_lost == 0.0
    assert sun_arc(51.5, 12, (90.0,) * 36).hours_lost == free.hours_up
    east = tuple(30.0 if 0 < a < 180 else 0.0 for a in range(0, 360, 5))
    half = sun_arc(51.5, 12, east)
    assert half.hours_lost == pytest.approx(free.hours_up / 2.0, abs=0.5)
    assert not half.is_free[half.solar_hour < 11.5].any()


def test_unknown_and_lower_ground_shade_nothing(monkeypatch):
    elevation = np.array([np.nan, -3.0, 12.34, 0.0])
    seen = Horizon(
        azimuth_deg=azimuths_deg(4),
        elevation_deg=elevation,
        distance_m=np.full(4, 1000.0),
        known_to_m=np.full(4, 1000.0),
    )
    monkeypatch.setattr(module, "horizon_at", lambda *place, **how: seen)
    position = Position(lat_deg=-44.0, lon_deg=170.0)
    assert panel_horizon(None, position) == (0.0, 0.0, 12.3, 0.0)
    monkeypatch.setattr(module, "horizon_at", lambda *place, **how: None)
    assert panel_horizon(None, position) is None
