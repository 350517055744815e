"""A climate fetched from a service: kept, preferred, and never in the way."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from pvlib import iotools

from guyline.errors import JobCancelled, WeatherError
from guyline.services import climate as climate_module
from guyline.services import fetched_climate as module
from guyline.services.climate import climate_for
from guyline.services.fetched_climate import (
    Hourly,
    Service,
    climate_of_hours,
    fetch_climate,
    hours_of_frame,
    kept_climate,
)
from guyline.services.job import Job
from guyline.services.sun_and_weather import MEAN_DAYS, daily_extraterrestrial_wh_m2

LAT, LON = 36.1, -79.95
CLEAR = np.full(12, 0.75)


def measured(lat: float = LAT, lon: float = LON) -> Hourly:
    """The typical year of NREL's TMY3 that comes with pvlib, as a service would send it."""
    file = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    data, _ = iotools.read_tmy3(file, coerce_year=1990, map_variables=True)
    data.index = pd.date_range("1990-01-01 05:00", periods=len(data), freq="h", tz="UTC")
    return hours_of_frame(data, lon)


def test_means_are_those_of_the_hours():
    # Independent: monthly means of the same file, summed by pandas: kWh/m²/day.
    ghi = (2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24)
    known = climate_of_hours(LAT, measured(), "test")
    ours = known.days.mean * daily_extraterrestrial_wh_m2(LAT, MEAN_DAYS) / 1000.0
    assert np.allclose(ours, ghi, rtol=0.03)
    assert known.temperature.month_c[6] > known.temperature.month_c[0] + 15.0
    assert known.temperature.lowest_c < known.temperature.month_c.min() - 5.0
    assert 0.2 < (known.days.kinds(1).std() / known.days.kinds(1).mean()) < 0.6


def test_what_was_fetched_is_kept_and_read_again(tmp_path):
    fetched = fetch_climate(LAT, LON, Service.PVGIS, Job(), folder=tmp_path, ask=measured)
    kept = kept_climate(LAT, LON, tmp_path)
    assert np.allclose(kept.days.mean, fetched.days.mean)
    assert np.allclose(kept.days.ratio, fetched.days.ratio)
    assert np.allclose(kept.temperature.month_c, fetched.temperature.month_c)
    assert kept.source == fetched.source
    assert "PVGIS" in kept.source
    assert kept_climate(LAT + 1.0, LON, tmp_path) is None


def test_a_fetched_climate_goes_before_the_table_and_an_entered_one_before_both(
    tmp_path, monkeypatch
):
    fetch_climate(LAT, LON, Service.NASA_POWER, Job(), folder=tmp_path, ask=measured)
    monkeypatch.setattr(
        climate_module, "kept_climate", lambda lat, lon: kept_climate(lat, lon, tmp_path)
    )
    assert "NASA" in climate_for(LAT, LON, None, None, (1,), CLEAR).source
    assert climate_for(LAT, LON, 0.3, None, (1,), CLEAR).source == "clearness of the plan"


def test_a_damaged_file_counts_as_none(tmp_path):
    fetch_climate(LAT, LON, Service.PVGIS, Job(), folder=tmp_path, ask=measured)
    (file,) = tmp_path.iterdir()
    for text in ("", "{}", "[]", '{"format": 9}', file.read_text().replace("0.", "NaN", 1)):
        file.write_text(text)
        assert kept_climate(LAT, LON, tmp_path) is None


def test_a_service_that_fails_is_a_sentence_with_advice(tmp_path):
    def refuse(lat: float, lon: float) -> Hourly:
        raise ConnectionError("no route")

    with pytest.raises(WeatherError, match="cannot be reached") as caught:
        fetch_climate(LAT, LON, Service.PVGIS, Job(), folder=tmp_path, ask=refuse)
    assert "stays in use" in caught.value.advice
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "spoil",
    [
        lambda h: Hourly(h.month, h.day_of_year, h.ghi_w_m2 * 5.0, h.air_c),
        lambda h: Hourly(h.month, h.day_of_year, -h.ghi_w_m2, h.air_c),
        lambda h: Hourly(h.month, h.day_of_year, h.ghi_w_m2, h.air_c * np.nan),
        lambda h: Hourly(h.month[:999], h.day_of_year[:999], h.ghi_w_m2[:999], h.air_c[:999]),
    ],
)
def test_nonsense_from_a_service_is_refused(spoil):
    with pytest.raises(WeatherError):
        climate_of_hours(LAT, spoil(measured()), "test")


def test_waiting_stops_when_the_job_is_cancelled(tmp_path):
    job, asked, done = Job(), threading.Event(), threading.Event()

    def wait(lat: float, lon: float) -> Hourly:
        asked.set()
        done.wait(20.0)
        return measured()

    def cancel() -> None:
        asked.wait(20.0)
        job.cancel()

    threading.Thread(target=cancel).start()
    with pytest.raises(JobCancelled):
        fetch_climate(LAT, LON, Service.PVGIS, job, folder=tmp_path, ask=wait)
    done.set()


def test_a_service_that_never_answers_ends_the_waiting(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "LONGEST_WAIT_S", 0.3)
    done = threading.Event()
    with pytest.raises(WeatherError, match="did not answer"):
        fetch_climate(
            LAT, LON, Service.PVGIS, Job(), folder=tmp_path, ask=lambda *at: done.wait(20.0)
        )
    done.set()


@pytest.mark.parametrize("service", list(Service))
def test_pvlib_is_asked_for_the_place(service, monkeypatch):
    asked = []
    hours = pd.date_range("1990-01-01", periods=48, freq="h", tz="UTC")
    frame = pd.DataFrame({"ghi": 1.0, "temp_air": 5.0}, index=hours)
    for name in ("get_pvgis_tmy", "get_nasa_power"):
        monkeypatch.setattr(iotools, name, lambda *a, **k: (asked.append((a, k)), (frame, {}))[1])
    got = module._ASKS[service](LAT, LON)
    assert asked[0][0][:2] == (LAT, LON)
    assert len(got.ghi_w_m2) == 24  # the one whole day of the place's own time
