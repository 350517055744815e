"""A climate asked over HTTP of a server of its own process, whatever its manners."""

from __future__ import annotations

import subprocess
import sys
import threading
from functools import partial
from pathlib import Path
from urllib.parse import parse_qs, urlsplit
from urllib.request import urlopen

import numpy as np
import pytest

from guyline.errors import JobCancelled, WeatherError
from guyline.services import fetched_climate as module
from guyline.services.fetched_climate import (
    Service,
    ask_nasa_power,
    ask_pvgis,
    fetch_climate,
    kept_climate,
)
from guyline.services.job import Job
from guyline.services.sun_and_weather import daily_extraterrestrial_wh_m2

LAT, LON = 0.5, -1.0  # solar time is UTC there, within 4 minutes
ASKS = {Service.PVGIS: ask_pvgis, Service.NASA_POWER: ask_nasa_power}
OURS = {Service.PVGIS: "{}/{}/", Service.NASA_POWER: "{}/{}/point"}


@pytest.fixture(scope="module")
def server():
    script = Path(__file__).with_name("climate_server.py")
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, text=True
    ) as process:
        yield f"http://127.0.0.1:{int(process.stdout.readline())}"
        process.terminate()


@pytest.fixture(autouse=True)
def no_proxy(monkeypatch):
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


@pytest.fixture(autouse=True)
def few_years(monkeypatch):
    monkeypatch.setattr(module, "NASA_YEARS", (2015, 2016))


def fetched(server, service, manner, folder, job=None):
    ask = partial(ASKS[service], url=OURS[service].format(server, manner))
    return fetch_climate(LAT, LON, service, job or Job(), folder=folder, ask=ask)


def last_asked(server):
    with urlopen(f"{server}/asked", timeout=10.0) as answer:
        return urlsplit(answer.read().decode().splitlines()[-1])


@pytest.mark.parametrize("service", list(Service))
@pytest.mark.parametrize("manner", ["ok", "slow"])
def test_the_hours_of_a_service_become_its_months(server, service, manner, tmp_path):
    climate = fetched(server, service, manner, tmp_path)
    # Rederived: the server sends 12 hours of 200 + 20 m W/m² on each day of month m, at m °C.
    outside = daily_extraterrestrial_wh_m2(LAT, np.arange(1.0, 366.0))
    first = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    for month in range(1, 13):
        days = outside[first[month - 1] : first[month]]
        expected = (12.0 * (200.0 + 20.0 * month) / days).mean()
        assert climate.days.mean[month - 1] == pytest.approx(expected, rel=0.01)
    assert np.allclose(climate.temperature.month_c, np.arange(1, 13), atol=1e-9)
    assert kept_climate(LAT, LON, tmp_path).source == climate.source


def test_pvgis_is_asked_as_its_manual_says(server, tmp_path):
    fetched(server, Service.PVGIS, "ok", tmp_path)
    url = last_asked(server)
    assert url.path == "/ok/tmy"
    assert parse_qs(url.query) == {
        "lat": [str(LAT)],
        "lon": [str(LON)],
        "outputformat": ["json"],
        "usehorizon": ["0"],
    }


def test_nasa_power_is_asked_as_its_manual_says(server, tmp_path):
    fetched(server, Service.NASA_POWER, "ok", tmp_path)
    query = parse_qs(last_asked(server).query)
    assert query["latitude"] == [str(LAT)]
    assert query["longitude"] == [str(LON)]
    assert (query["start"], query["end"]) == (["20150101"], ["20161231"])
    assert query["parameters"] == ["ALLSKY_SFC_SW_DWN,T2M"]
    assert query["time-standard"] == ["utc"]


def test_a_day_with_a_gap_is_left_out_and_moves_no_other(server):
    hours = ask_nasa_power(LAT, LON, url=f"{server}/ok/point")
    assert len(hours.month) == (365 + 366 - 1) * 24
    by_hour = hours.ghi_w_m2.reshape(-1, 24)
    assert (by_hour[:, :6] == 0.0).all()
    assert (by_hour[:, 6:18] > 0.0).all()


@pytest.mark.parametrize("service", list(Service))
@pytest.mark.parametrize(
    ("manner", "said"),
    [
        ("refuse", "refused: '.*Location over the sea"),
        ("busy", "refused|cannot be read"),
        ("login", "cannot be read"),
        ("empty", "cannot be read"),
        ("short", "cannot be read"),
        ("cut", "cannot be reached"),
    ],
)
def test_a_bad_answer_is_a_sentence_and_keeps_nothing(server, service, manner, said, tmp_path):
    with pytest.raises(WeatherError, match=said) as caught:
        fetched(server, service, manner, tmp_path)
    assert "stays in use" in caught.value.advice
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("service", list(Service))
def test_nobody_at_the_door_is_a_sentence(service, tmp_path):
    with pytest.raises(WeatherError, match="cannot be reached"):
        fetched("http://127.0.0.1:9", service, "ok", tmp_path)


@pytest.mark.parametrize("service", list(Service))
def test_a_service_that_says_nothing_is_waited_for_no_longer_than_set(
    server, service, tmp_path, monkeypatch
):
    monkeypatch.setattr(module, "LONGEST_WAIT_S", 0.5)
    with pytest.raises(WeatherError, match="did not answer"):
        fetched(server, service, "silent", tmp_path)


def test_pvgis_is_given_up_when_it_falls_silent(server, tmp_path, monkeypatch):
    monkeypatch.setattr(module, "LONGEST_SILENCE_S", 0.3)
    with pytest.raises(WeatherError, match="cannot be reached"):
        fetched(server, Service.PVGIS, "silent", tmp_path)


@pytest.mark.parametrize("service", list(Service))
def test_the_waiting_can_be_cancelled(server, service, tmp_path):
    job = Job()
    threading.Timer(0.5, job.cancel).start()
    with pytest.raises(JobCancelled):
        fetched(server, service, "silent", tmp_path, job)
    assert list(tmp_path.iterdir()) == []
