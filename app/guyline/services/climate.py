"""The shipped climate of every land point; what the planner enters goes before it."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from guyline.core.power.climate import (
    Climate,
    Temperature,
    temperature_from_coldest,
    temperature_from_record,
)
from guyline.core.power.daily_clearness import DailyClearness
from guyline.core.units import Numbers
from guyline.errors import WeatherError
from guyline.services.fetched_climate import kept_climate
from guyline.services.resource_files import shipped
from guyline.services.sun_and_weather import MEAN_DAYS, daily_extraterrestrial_wh_m2

MOUNTAIN_AMSL_M = 800.0
MOUNTAIN_SD = 0.20  # cells of mountains were up to 28 % too bright at two places
TABLE_SD = 0.13  # of a month's mean against 19 hourly series at 15 places, see the table
ENTERED_SD = 0.10  # our choice: nobody states how sure an entered clearness is
FARTHEST_CELL_DEG = 6.0  # two cells: beyond it another climate begins, our choice
FARTHEST_RECORD_DEG = 1.0
NO_RECORD_FACTOR = 0.90  # MERRA-2 over GLDAS is 1.106 in the mean
CLEAREST_SHARE = 0.98  # of a cloudless month
_NO_GHI, _NO_VALUE = 65535, 255
_GHI_STEP, _ANNUAL_STEP, _RATIO_STEP, _COLDEST_C = 0.01, 0.03, 0.02, -90.0


@dataclass(frozen=True, slots=True, eq=False)
class ClimateTable:
    """The arrays of `climate.npz` as its metadata describes them."""

    metadata: dict[str, object]
    cell_lat_deg: Numbers
    cell_lon_deg: Numbers
    month_ghi: NDArray[np.uint16]
    day_ratio: NDArray[np.uint8]
    probability: Numbers
    fine_lat_deg: Numbers
    fine_lon_deg: Numbers
    annual_ghi: NDArray[np.uint8]
    mean_c: NDArray[np.uint8]
    min_c: NDArray[np.uint8]
    max_c: NDArray[np.uint8]


@cache
def climate_table() -> ClimateTable:
    """Read the shipped table, once.

    Raises
    ------
    WeatherError
        The file is missing or damaged.
    """
    try:
        raw = (shipped("resources") / "tables" / "climate.npz").read_bytes()
        with np.load(io.BytesIO(raw), allow_pickle=False) as file:
            arrays = {name: file[name] for name in file.files}
        metadata = json.loads(arrays.pop("metadata").tobytes().decode())
        return ClimateTable(metadata=metadata, **arrays)
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise WeatherError(
            f"The climate table cannot be read: {error}.",
            advice="Install the program again, or enter clearness and temperature by hand.",
        ) from error


@lru_cache(maxsize=512)
def climate_at(lat_deg: float, lon_deg: float) -> Climate | None:
    """Return the climate of a place, None far from land.

    Monthly means of the 3 degree cells are interpolated and rescaled to the annual mean of the
    0.5 degree record, because the cells alone are 11 % too bright in the mean.
    """
    table = climate_table()
    cells = _cells_about(table, lat_deg, lon_deg)
    if not cells:
        return None
    ghi = sum(weight * _month_ghi(table, cell) for cell, weight in cells)
    nearest = max(cells, key=lambda known: known[1])[0]
    record = _record_near(table, lat_deg, lon_deg)
    annual = float(np.mean(ghi))
    factor = NO_RECORD_FACTOR
    if record is not None and annual > 0.0:
        factor = float(table.annual_ghi[record]) * _ANNUAL_STEP / annual
    outside = daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS) / 1000.0
    mean = np.divide(ghi * factor, outside, out=np.full(12, 0.3), where=outside > 0.05)
    ratio = table.day_ratio[nearest].astype(float) * _RATIO_STEP
    empty = ratio.max(axis=1) <= 0.0
    ratio[empty] = 1.0
    return Climate(
        days=DailyClearness(
            mean=np.clip(mean, 0.02, 0.80), probability=table.probability, ratio=ratio
        ),
        temperature=None if record is None else _temperature(table, record, lat_deg),
        mean_sd=TABLE_SD,
        source="climate table: MERRA-2 2011-2015 rescaled to GLDAS-2.1",
        confidence="monthly means to about 13 %; mountains and monsoon months up to 28 % too high",
    )


def climate_for(
    lat_deg: float,
    lon_deg: float,
    clearness: float | None,
    coldest_c: float | None,
    months: tuple[int, ...],
    clear_clearness: Numbers,
    ground_amsl_m: float = 0.0,
) -> Climate | None:
    """Return the climate to count with: as entered, fetched or shipped, in that order.

    Parameters
    ----------
    clearness : float or None
        Entered mean clearness of the worst month; other months keep their ratio to it.
    coldest_c : float or None
        Entered coldest battery temperature.
    months : tuple of int
        Months the mission touches (1 to 12).
    clear_clearness : array (12,)
        Clearness of a cloudless day: no month's mean exceeds it.
    ground_amsl_m : float
        In mountains the shipped table is less sure. [m amsl]
    """
    known = kept_climate(lat_deg, lon_deg) or climate_at(round(lat_deg, 2), round(lon_deg, 2))
    temperature = None if known is None else known.temperature
    if temperature is None and coldest_c is not None:
        temperature = temperature_from_coldest(coldest_c)
    if clearness is not None:
        known = _entered(known, clearness, lat_deg, months)
    if known is None:
        return None
    is_doubtful = known.mean_sd == TABLE_SD and ground_amsl_m > MOUNTAIN_AMSL_M
    capped = np.minimum(known.days.mean, np.maximum(clear_clearness * CLEAREST_SHARE, 0.02))
    return Climate(
        days=known.days.with_mean(capped),
        temperature=temperature,
        mean_sd=max(known.mean_sd, MOUNTAIN_SD) if is_doubtful else known.mean_sd,
        source=known.source,
        confidence=known.confidence,
    )


def _entered(
    known: Climate | None, clearness: float, lat_deg: float, months: tuple[int, ...]
) -> Climate:
    if known is None:
        days = DailyClearness.about(np.full(12, clearness))
    else:
        outside = daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS)
        worst = min(months, key=lambda m: float(outside[m - 1] * known.days.mean[m - 1]))
        scaled = known.days.mean * (clearness / float(known.days.mean[worst - 1]))
        days = known.days.with_mean(np.clip(scaled, 0.02, 0.80))
    return Climate(
        days=days,
        temperature=None,
        mean_sd=ENTERED_SD,
        source="clearness of the plan",
        confidence="as sure as whoever entered it",
    )


def _cells_about(
    table: ClimateTable, lat_deg: float, lon_deg: float
) -> list[tuple[tuple[int, int], float]]:
    """The four cells around a place that hold data, by weight; else the nearest within reach."""
    step_lat = float(table.cell_lat_deg[1] - table.cell_lat_deg[0])
    step_lon = float(table.cell_lon_deg[1] - table.cell_lon_deg[0])
    y = (lat_deg - float(table.cell_lat_deg[0])) / step_lat
    x = (lon_deg - float(table.cell_lon_deg[0])) / step_lon
    rows, columns = len(table.cell_lat_deg), len(table.cell_lon_deg)
    row, column = int(np.floor(y)), int(np.floor(x))
    found: list[tuple[tuple[int, int], float]] = []
    for r, weight_y in ((row, 1.0 - (y - row)), (row + 1, y - row)):
        for c, weight_x in ((column, 1.0 - (x - column)), (column + 1, x - column)):
            cell = (r, c % columns)
            if 0 <= r < rows and weight_y * weight_x > 0.0 and _is_known(table, cell):
                found.append((cell, weight_y * weight_x))
    total = sum(weight for _, weight in found)
    if total > 0.05:
        return [(cell, weight / total) for cell, weight in found]
    near = _nearest(
        (table.month_ghi != _NO_GHI).all(axis=2),
        table.cell_lat_deg,
        table.cell_lon_deg,
        (lat_deg, lon_deg),
        FARTHEST_CELL_DEG,
    )
    return [] if near is None else [(near, 1.0)]


def _is_known(table: ClimateTable, cell: tuple[int, int]) -> bool:
    return bool((table.month_ghi[cell] != _NO_GHI).all())


def _month_ghi(table: ClimateTable, cell: tuple[int, int]) -> Numbers:
    ghi: Numbers = table.month_ghi[cell].astype(float) * _GHI_STEP
    return ghi


def _record_near(table: ClimateTable, lat_deg: float, lon_deg: float) -> tuple[int, int] | None:
    return _nearest(
        table.annual_ghi != _NO_VALUE,
        table.fine_lat_deg,
        table.fine_lon_deg,
        (lat_deg, lon_deg),
        FARTHEST_RECORD_DEG,
    )


def _nearest(
    known: NDArray[np.bool_],
    lat_deg: Numbers,
    lon_deg: Numbers,
    place: tuple[float, float],
    reach_deg: float,
) -> tuple[int, int] | None:
    """Row and column of the nearest cell that holds data, None where none is within reach."""
    lat, lon = place
    north = lat_deg.astype(float) - lat
    east = (lon_deg.astype(float) - lon + 180.0) % 360.0 - 180.0
    east = east * np.cos(np.radians(lat))
    away = np.where(known, np.hypot(north[:, None], east[None, :]), np.inf)
    best = int(np.argmin(away))
    row, column = divmod(best, len(lon_deg))
    return (row, column) if away[row, column] <= reach_deg else None


def _temperature(table: ClimateTable, record: tuple[int, int], lat_deg: float) -> Temperature:
    mean_c, min_c, max_c = (
        float(grid[record]) + _COLDEST_C for grid in (table.mean_c, table.min_c, table.max_c)
    )
    return temperature_from_record(
        lat_deg, mean_c, min_c, max_c, source="climate table: GLDAS-2.1 record"
    )
