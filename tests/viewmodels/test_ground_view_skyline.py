"""The skyline round a place, and what it leaves of the sun."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from guyline.core.plan import Incident, Plan, Position, Site, SiteId
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view_skyline import (
    DECEMBER,
    JUNE,
    UNKNOWN_GROUND,
    Skyline,
    SkylineModel,
    skyline_of,
)
from guyline.viewmodels.selection import Selection

LAT, LON = -46.0, 170.0
Ground = Callable[[np.ndarray, np.ndarray], np.ndarray]


class Drawn:
    """Terrain whose height is a function of metres north and east of the place."""

    def __init__(self, ground: Ground) -> None:
        self._ground = ground

    def height_amsl_m(self, lat_deg: object, lon_deg: object) -> object:
        north = (np.asarray(lat_deg, float) - LAT) * 111_132.0
        east = (np.asarray(lon_deg, float) - LON) * 111_320.0 * np.cos(np.radians(LAT))
        height = np.asarray(self._ground(north, east), dtype=float)
        return float(height) if height.ndim == 0 else height

    def pitch_m(self, *places_deg: float) -> float:
        return 30.0


def flat(north: np.ndarray, east: np.ndarray) -> np.ndarray:
    return np.zeros(np.broadcast(north, east).shape)


def wall_in_the_north(north: np.ndarray, east: np.ndarray) -> np.ndarray:
    return np.where(north > 1000.0, 400.0, 0.0)


def void_in_the_west(north: np.ndarray, east: np.ndarray) -> np.ndarray:
    return np.where(east < -500.0, np.nan, 0.0)


def seen(ground: Ground, month: int | None = 5) -> Skyline:
    skyline = skyline_of(Drawn(ground), "HUT", LAT, LON, 2.0, month)  # type: ignore[arg-type]
    assert skyline is not None
    return skyline


def test_on_flat_ground_all_sun_is_clear() -> None:
    for track in seen(flat).tracks:
        assert track.hours_clear == pytest.approx(track.hours_up, abs=0.2)  # a step or two


def test_days_are_as_long_as_the_latitude_makes_them() -> None:
    # law: cos(half a day) = -tan(lat) tan(declination); June's mean day has -46, 23.1 degrees
    for track in seen(flat).tracks:
        if track.month == JUNE:
            half = np.degrees(np.arccos(-np.tan(np.radians(LAT)) * np.tan(np.radians(23.09))))
            assert track.hours_up == pytest.approx(2 * half / 15.0, abs=0.2)


def test_a_wall_toward_noon_takes_the_winter_sun_and_leaves_the_summers() -> None:
    # the wall stands atan(398/1000) = 21.7 degrees high; at noon the June sun stands 20.9
    june, december = (
        next(t for t in seen(wall_in_the_north).tracks if t.month == m) for m in (JUNE, DECEMBER)
    )
    assert june.hours_clear is not None
    assert december.hours_clear is not None
    assert june.hours_clear < 0.5 * june.hours_up
    assert december.hours_clear > 0.8 * december.hours_up
    at_noon = seen(wall_in_the_north).horizon.at(0.0)
    assert at_noon == pytest.approx(np.degrees(np.arctan(398.0 / 1000.0)), abs=0.7)


def test_a_skyline_that_is_partly_unknown_counts_no_hours() -> None:
    skyline = seen(void_in_the_west)
    assert all(track.hours_clear is None for track in skyline.tracks)
    assert "skyline partly unknown" in skyline.summary


def test_the_months_are_the_missions_and_the_solstices_each_once() -> None:
    assert [t.month for t in seen(flat, 5).tracks] == [5, JUNE, DECEMBER]
    assert [t.month for t in seen(flat, DECEMBER).tracks] == [DECEMBER, JUNE]
    assert [t.month for t in seen(flat, None).tracks] == [JUNE, DECEMBER]


def test_unknown_ground_has_no_skyline() -> None:
    nothing = Drawn(lambda north, east: np.full(np.broadcast(north, east).shape, np.nan))
    assert skyline_of(nothing, "HUT", LAT, LON, 2.0, 5) is None  # type: ignore[arg-type]


@pytest.fixture
def model(qapp: object) -> SkylineModel:
    site = Site(
        site_id=SiteId("HUT"), position=Position(lat_deg=LAT, lon_deg=LON), antenna_agl_m=6.0
    )
    plan = Plan(incident=Incident(start_on=date(2027, 5, 15)), sites=(site,))
    model = SkylineModel(PlanDocument(plan), Selection())
    model.use_terrain(Drawn(flat))  # type: ignore[arg-type]
    return model


def test_the_selected_site_is_looked_round_from(model: SkylineModel, qtbot: QtBot) -> None:
    model.show(True)
    with qtbot.waitSignal(model.changed, timeout=20_000) as told:
        model._selection.select_site(SiteId("HUT"))
    assert told.args is not None
    assert told.args[0].name == "HUT"
    qtbot.waitUntil(lambda: not model.is_running)


def test_any_place_can_be_looked_round_from(model: SkylineModel, qtbot: QtBot) -> None:
    model.show(True)
    with qtbot.waitSignal(model.changed, timeout=20_000) as told:
        model.look_from(LAT, LON + 0.01)
    assert told.args is not None
    assert told.args[0].name == "This place"
    qtbot.waitUntil(lambda: not model.is_running)


def test_a_place_without_ground_is_told(model: SkylineModel, qtbot: QtBot) -> None:
    model.use_terrain(Drawn(lambda n, e: np.full(np.broadcast(n, e).shape, np.nan)))  # type: ignore[arg-type]
    model.show(True)
    with qtbot.waitSignal(model.refused, timeout=20_000) as told:
        model.look_from(LAT, LON)
    assert told.args == [UNKNOWN_GROUND]
    qtbot.waitUntil(lambda: not model.is_running)


def test_nothing_is_worked_out_until_somebody_asks(model: SkylineModel) -> None:
    model._selection.select_site(SiteId("HUT"))
    assert not model.is_running
