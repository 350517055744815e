"""The climate of a place asked of a public service, kept for when there is no network."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import numpy as np
from numpy.typing import NDArray
from platformdirs import user_cache_path

from guyline.core.power.climate import RECORD_SD, Climate, Temperature
from guyline.core.power.daily_clearness import CLEARNESS_HIGH, CLEARNESS_LOW, DailyClearness
from guyline.core.units import Numbers
from guyline.errors import PlanFileError, WeatherError
from guyline.services.job import Job
from guyline.services.plan_words import quoted
from guyline.services.sun_and_weather import daily_extraterrestrial_wh_m2
from guyline.services.whole_files import write_whole

FETCHED_SD = 0.05  # of a month's mean: our choice, both services state less for most places
LONGEST_WAIT_S = 90.0
LONGEST_SILENCE_S = 60.0  # of a service in the middle of its answer
PVGIS_URL = "https://re.jrc.ec.europa.eu/api/"
NASA_POWER_URL = "https://power.larc.nasa.gov/api/temporal/hourly/point"
NASA_YEARS = (2015, 2024)  # ten whole years
_PROBABILITY = np.array([0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.98])
_FORMAT = 1


class Service(StrEnum):
    """Who is asked; both are free to use with attribution."""

    PVGIS = "PVGIS (European Commission, JRC)"
    NASA_POWER = "NASA POWER"


@dataclass(frozen=True, slots=True, eq=False)
class Hourly:
    """Measured or modelled hours of one or more years."""

    month: NDArray[np.int64]
    day_of_year: NDArray[np.int64]
    ghi_w_m2: Numbers
    air_c: Numbers


Ask = Callable[[float, float], Hourly]


def fetch_climate(
    lat_deg: float,
    lon_deg: float,
    service: Service,
    job: Job,
    *,
    folder: Path | None = None,
    ask: Ask | None = None,
) -> Climate:
    """Ask a service for the climate of a place and keep the answer.

    Parameters
    ----------
    job : Job
        Cancelling it stops the waiting at once; the request itself ends when it ends.

    Raises
    ------
    WeatherError
        No answer, or one that makes no sense. The shipped table stays in use.
    JobCancelled
        Somebody asked the job to stop.
    """
    hours = _answer(ask or _ASKS[service], lat_deg, lon_deg, service, job)
    climate = climate_of_hours(lat_deg, hours, f"{service}, fetched {date.today():%Y-%m-%d}")
    file = _file(folder, lat_deg, lon_deg)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, json.dumps(_to_json(climate)).encode())
    except (OSError, PlanFileError) as error:
        raise WeatherError(f"The climate cannot be kept: {error}", advice=_STAY) from error
    job.report(1.0, "Climate kept")
    return climate


def kept_climate(lat_deg: float, lon_deg: float, folder: Path | None = None) -> Climate | None:
    """Return what was fetched for a place, None where nothing was or it cannot be read."""
    file = _file(folder, lat_deg, lon_deg)
    try:
        return _from_json(json.loads(file.read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def climate_of_hours(lat_deg: float, hours: Hourly, source: str) -> Climate:
    """Return means and spread of the days of every month.

    Raises
    ------
    WeatherError
        Fewer than 20 days of some month, or values no sun can have.
    """
    count = len(hours.month) // 24
    days = slice(0, count * 24)
    daily = hours.ghi_w_m2[days].reshape(count, 24).sum(axis=1)
    air = hours.air_c[days].reshape(count, 24)
    month, number = hours.month[days][::24], hours.day_of_year[days][::24]
    outside = daily_extraterrestrial_wh_m2(lat_deg, number.astype(float))
    clearness = np.divide(daily, outside, out=np.full(count, np.nan), where=outside > 50.0)
    if not np.isfinite(air).all() or np.nanmax(clearness, initial=0.0) > 1.2 or daily.min() < 0.0:
        raise WeatherError("The service sent values that no weather can have.", advice=_STAY)
    if any((month == m).sum() < 20 for m in range(1, 13)):
        raise WeatherError("The service did not send whole years.", advice=_STAY)
    mean, ratio = np.empty(12), np.ones((12, len(_PROBABILITY)))
    for m in range(1, 13):
        known = clearness[(month == m) & np.isfinite(clearness)]
        mean[m - 1] = known.mean() if len(known) else CLEARNESS_LOW
        if len(known):
            ratio[m - 1] = np.quantile(known, _PROBABILITY) / mean[m - 1]
    return Climate(
        days=DailyClearness(
            mean=np.clip(mean, CLEARNESS_LOW, CLEARNESS_HIGH),
            probability=_PROBABILITY,
            ratio=ratio,
        ),
        temperature=_temperature(month, air, source),
        mean_sd=FETCHED_SD,
        source=source,
        confidence="monthly means to about 5 %",
    )


def _temperature(month: NDArray[np.int64], air: Numbers, source: str) -> Temperature:
    of_day = air.mean(axis=1)
    month_c = np.array([of_day[month == m].mean() for m in range(1, 13)])
    swing = float((air.max(axis=1) - air.min(axis=1)).mean() / 2.0)
    departure = of_day - month_c[month - 1]
    lowest = float(air.min())
    depth = float(month_c.min()) - RECORD_SD * float(departure.std()) - swing
    return Temperature(
        month_c=month_c,
        swing_k=swing,
        day_sd_k=float(departure.std()),
        lowest_c=min(lowest, depth),
        source=source,
    )


_STAY = "The shipped climate table stays in use; try again later or enter the clearness."


def _answer(ask: Ask, lat_deg: float, lon_deg: float, service: Service, job: Job) -> Hourly:
    """The answer, asked from a thread that is left behind when nobody waits any longer."""
    answers: SimpleQueue[Hourly | Exception] = SimpleQueue()

    def run() -> None:
        try:
            answers.put(ask(lat_deg, lon_deg))
        except Exception as error:  # noqa: BLE001 - whatever a server's answer breaks, we go on
            answers.put(error)

    threading.Thread(target=run, daemon=True, name="climate").start()
    waited = 0.0
    while waited < LONGEST_WAIT_S:
        job.report(-1.0, f"Asking {service}")
        try:
            answer = answers.get(timeout=0.2)
        except Empty:
            waited += 0.2
            continue
        if isinstance(answer, Exception):
            raise WeatherError(f"{service} {_went_wrong(answer)}.", advice=_STAY) from answer
        return answer
    raise WeatherError(f"{service} did not answer.", advice=_STAY)


def _went_wrong(error: Exception) -> str:
    """What a service did, by the error it led to."""
    from requests import HTTPError

    if isinstance(error, HTTPError):
        return f"refused: {quoted(str(error))}"
    if isinstance(error, OSError) and not isinstance(error, ValueError):
        return "cannot be reached"
    return "sent what cannot be read"


def ask_pvgis(lat_deg: float, lon_deg: float, *, url: str = PVGIS_URL) -> Hourly:
    """Ask for the typical year of a place, without its horizon: ours is nearer."""
    from pvlib import iotools

    data = iotools.get_pvgis_tmy(
        lat_deg, lon_deg, usehorizon=False, url=url, timeout=LONGEST_SILENCE_S
    )[0]
    return hours_of_frame(data, lon_deg)


def ask_nasa_power(lat_deg: float, lon_deg: float, *, url: str = NASA_POWER_URL) -> Hourly:
    """Ask for ten years of hours."""
    from pvlib import iotools

    first, last = NASA_YEARS
    data = iotools.get_nasa_power(
        lat_deg,
        lon_deg,
        f"{first}-01-01",
        f"{last}-12-31",
        parameters=["ghi", "temp_air"],
        url=url,
    )[0]
    return hours_of_frame(data, lon_deg)


def hours_of_frame(data: Any, lon_deg: float) -> Hourly:
    """Return the whole days of a UTC table by the place's own time; none with a gap."""
    known = data[["ghi", "temp_air"]].dropna()
    times = known.index + timedelta(hours=round(lon_deg / 15.0))
    if len(times):
        days = times.normalize()
        is_whole = days.to_series().map(days.value_counts()).to_numpy() == 24
        known, times = known[is_whole], times[is_whole]
    return Hourly(
        month=np.asarray(times.month, dtype=np.int64),
        day_of_year=np.asarray(times.day_of_year, dtype=np.int64),
        ghi_w_m2=known["ghi"].to_numpy(dtype=float),
        air_c=known["temp_air"].to_numpy(dtype=float),
    )


_ASKS: dict[Service, Ask] = {Service.PVGIS: ask_pvgis, Service.NASA_POWER: ask_nasa_power}


def _file(folder: Path | None, lat_deg: float, lon_deg: float) -> Path:
    """One file for a tenth of a degree, about ten kilometres."""
    chosen = folder or user_cache_path("guyline") / "climate"
    return chosen / f"{lat_deg:+06.1f}_{lon_deg:+07.1f}.json"


def _to_json(climate: Climate) -> dict[str, object]:
    air = climate.temperature
    assert air is not None
    return {
        "format": _FORMAT,
        "mean": climate.days.mean.tolist(),
        "probability": climate.days.probability.tolist(),
        "ratio": climate.days.ratio.tolist(),
        "month_c": air.month_c.tolist(),
        "swing_k": air.swing_k,
        "day_sd_k": air.day_sd_k,
        "lowest_c": air.lowest_c,
        "mean_sd": climate.mean_sd,
        "source": climate.source,
        "confidence": climate.confidence,
    }


def _from_json(kept: dict[str, Any]) -> Climate:
    if kept["format"] != _FORMAT:
        raise ValueError(kept["format"])
    days = DailyClearness(
        mean=_numbers(kept["mean"], (12,)),
        probability=_numbers(kept["probability"], (len(kept["probability"]),)),
        ratio=_numbers(kept["ratio"], (12, len(kept["probability"]))),
    )
    return Climate(
        days=days,
        temperature=Temperature(
            month_c=_numbers(kept["month_c"], (12,)),
            swing_k=float(kept["swing_k"]),
            day_sd_k=float(kept["day_sd_k"]),
            lowest_c=float(kept["lowest_c"]),
            source=str(kept["source"]),
        ),
        mean_sd=float(kept["mean_sd"]),
        source=str(kept["source"]),
        confidence=str(kept["confidence"]),
    )


def _numbers(raw: object, shape: tuple[int, ...]) -> Numbers:
    array = np.asarray(raw, dtype=float)
    if array.shape != shape or not np.isfinite(array).all():
        raise ValueError("damaged climate file")
    return array
