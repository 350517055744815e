"""Makes climate.npz from two published data sets; run it again only to renew the table.

    python -m venv /tmp/climate && /tmp/climate/bin/pip install gsee-climate-data pvcz pandas
    /tmp/climate/bin/python resources/tables/make_climate.py resources/tables/climate.npz

The program itself never needs those packages. What the table holds, and how sure it is, is in
its own `metadata` (JSON).
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import gsee_climate_data
import numpy as np
import pandas as pd
import pvcz

PROBABILITY = np.array([0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.98])
RATIO_STEP = 0.02  # 255 steps reach 5.1 times the mean
GHI_STEP = 0.01  # kWh/m²/day
NO_GHI = 65535
ANNUAL_STEP = 0.03  # kWh/m²/day, 254 steps reach 7.6
NO_VALUE = 255
COLDEST_C = -90.0  # temperatures are stored in whole degrees above it
CELL_DEG = 0.5
SOLAR_CONSTANT_W_M2 = 1367.0
MEAN_DAYS = np.array([17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344])

METADATA = {
    "title": "Monthly sun and temperature of the land surface",
    "format": 1,
    "sources": [
        (
            "MERRA-2 (Gelaro et al. 2017, doi 10.1175/JCLI-D-16-0758.1), 2011-2015, as "
            "distributions of daily means by Pfenninger & Staffell (2016, "
            "doi 10.1016/j.energy.2016.08.060), package gsee-climate-data 1.0.0"
        ),
        (
            "GLDAS-2.1 NOAH, as PV climate stressors by Karin, Jones & Jain (2019, IEEE PVSC), "
            "package pvcz 0.3.0"
        ),
    ],
    "licence": "MERRA-2 and GLDAS: NASA, free use and redistribution, citation requested; "
    "pvcz: MIT; gsee-climate-data: BSD-3-Clause for its code",
    "uncertainty": "Monthly means rescaled to the GLDAS annual mean against 19 hourly series at "
    "15 places: ratio 1.003, standard deviation 0.129 (without rescaling 1.106). Mountains up to "
    "+28 %, monsoon months up to +27 %. Five years only: the spread between years is not in it.",
    "arrays": {
        "cell_lat_deg, cell_lon_deg": "centres of the 3 degree cells",
        "month_ghi": f"monthly mean of global horizontal irradiation, {GHI_STEP} kWh/m²/day, "
        f"{NO_GHI} unknown; not rescaled",
        "day_ratio": f"quantiles of a day's over the month's mean, {RATIO_STEP}",
        "probability": "of the quantiles",
        "fine_lat_deg, fine_lon_deg": "south-west centre order of the 0.5 degree cells",
        "annual_ghi": f"annual mean, {ANNUAL_STEP} kWh/m²/day, {NO_VALUE} unknown",
        "mean_c, min_c, max_c": f"°C above {COLDEST_C:g}, {NO_VALUE} unknown; lowest and highest "
        "of the record",
    },
}


def extraterrestrial_kwh_m2(lat_deg: np.ndarray) -> np.ndarray:
    """Return the daily energy outside the atmosphere, shape (lat, 12) (Duffie & Beckman)."""
    lat = np.radians(lat_deg)[:, None]
    declination = np.radians(23.45) * np.sin(2 * np.pi * (284 + MEAN_DAYS) / 365)
    sunset = np.arccos(np.clip(-np.tan(lat) * np.tan(declination), -1, 1))
    distance = 1 + 0.033 * np.cos(2 * np.pi * MEAN_DAYS / 365)
    day = np.cos(lat) * np.cos(declination) * np.sin(sunset)
    day = day + sunset * np.sin(lat) * np.sin(declination)
    return 24 / np.pi * SOLAR_CONSTANT_W_M2 * distance * np.maximum(day, 0.0) / 1000.0


def monthly_cells() -> dict[str, Any]:
    """Return monthly means and quantiles of days on the 3 degree grid."""
    data = gsee_climate_data.load()
    lat, lon, xk, pk = data["lat"], data["lon"], data["xk"], data["pk"]
    outside = extraterrestrial_kwh_m2(lat)
    ghi = np.full((len(lat), len(lon), 12), NO_GHI, dtype=np.uint16)
    ratio = np.zeros((len(lat), len(lon), 12, len(PROBABILITY)), dtype=np.uint8)
    for row in range(len(lat)):
        for column in range(len(lon)):
            for month in range(12):
                known = _month(xk, pk, row, column, month, outside[row, month])
                if known is None:
                    continue
                mean, quantiles = known
                ghi[row, column, month] = round(mean / GHI_STEP)
                steps = np.clip(np.round(quantiles / RATIO_STEP), 0, 255)
                ratio[row, column, month] = steps
    return {
        "cell_lat_deg": lat.astype(np.float32),
        "cell_lon_deg": lon.astype(np.float32),
        "month_ghi": ghi,
        "day_ratio": ratio,
        "probability": PROBABILITY,
    }


def _month(
    xk: np.ndarray, pk: np.ndarray, row: int, column: int, month: int, outside: float
) -> tuple[float, np.ndarray] | None:
    """Return mean and quantiles over the mean of a month's days, None where unknown."""
    watts, weight = xk[row, column, month].astype(float), pk[row, column, month].astype(float)
    if not np.isfinite(watts).all() or not np.isfinite(weight).all() or weight.sum() <= 0.0:
        return (0.0, np.zeros(len(PROBABILITY))) if outside < 0.02 else None
    # the smoothed distributions reach below darkness and above the sun
    daily = np.clip(watts * 0.024, 0.03 * outside, 0.85 * outside)
    mean = float((daily * weight).sum() / weight.sum())
    if mean <= 0.0:
        return 0.0, np.zeros(len(PROBABILITY))
    below = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
    return mean, np.interp(PROBABILITY, below, daily) / mean


def fine_cells() -> dict[str, Any]:
    """Return annual means and temperatures on the 0.5 degree grid."""
    package = Path(pvcz.__file__).parent
    table = pd.read_pickle(  # trusted: looked through, holds pandas and numpy only
        package / "PVCZ-2019_ver0p2_world_PV_climate_stressors_and_zones.pkl"
    )
    lat = np.round(table["lat"].to_numpy(float) * 4 - 0.5) / 4 + 0.125
    lon = np.round(table["lon"].to_numpy(float) * 4 - 0.5) / 4 + 0.125
    row = np.floor((lat + 90.0) / CELL_DEG).astype(int)
    column = np.floor((lon + 180.0) / CELL_DEG).astype(int)
    rows, columns = int(180 / CELL_DEG), int(360 / CELL_DEG)
    place = row * columns + np.minimum(column, columns - 1)
    grouped = table[["GHI_mean", "T_ambient_mean", "T_ambient_min", "T_ambient_max"]]
    grouped = (
        grouped.astype(float)
        .groupby(place)
        .agg(
            {
                "GHI_mean": "mean",
                "T_ambient_mean": "mean",
                "T_ambient_min": "min",
                "T_ambient_max": "max",
            }
        )
    )
    used = slice(int(row.min()), int(row.max()) + 1)

    def grid(column_name: str, step: float, base: float = 0.0) -> np.ndarray:
        values = np.full(rows * columns, NO_VALUE, dtype=np.uint8)
        numbers = np.round((grouped[column_name].to_numpy() - base) / step)
        values[grouped.index.to_numpy()] = np.clip(numbers, 0, NO_VALUE - 1)
        return values.reshape(rows, columns)[used]

    return {
        "fine_lat_deg": (-90.0 + CELL_DEG * (np.arange(rows) + 0.5))[used].astype(np.float32),
        "fine_lon_deg": (-180.0 + CELL_DEG * (np.arange(columns) + 0.5)).astype(np.float32),
        "annual_ghi": grid("GHI_mean", ANNUAL_STEP),
        "mean_c": grid("T_ambient_mean", 1.0, COLDEST_C),
        "min_c": grid("T_ambient_min", 1.0, COLDEST_C),
        "max_c": grid("T_ambient_max", 1.0, COLDEST_C),
    }


def main() -> None:
    target = Path(sys.argv[1])
    arrays = {**monthly_cells(), **fine_cells()}
    metadata = np.frombuffer(json.dumps(METADATA, ensure_ascii=False).encode(), dtype=np.uint8)
    np.savez_compressed(target, metadata=metadata, **arrays)


if __name__ == "__main__":
    main()
