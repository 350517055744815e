"""Synthetic years against measured ones that come with pvlib."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pvlib
import pytest
from pvlib import iotools, irradiance, solarposition

from guyline.core.power.daily_clearness import DailyClearness, draw_days
from guyline.core.power.simulation import (
    HIGHEST_C,
    LOWEST_C,
    Outcome,
    Store,
    Supply,
    Weather,
    simulate,
)
from guyline.services.climate import climate_at
from guyline.services.sun_and_weather import (
    MEAN_DAYS,
    daily_extraterrestrial_wh_m2,
    sun_table,
)

DATA = Path(pvlib.__file__).parent / "data"
# Measured years (typical meteorological years of NREL, TMY3), winter tilt, facing south.
FILES = {
    "36 N": ("723170TYA.CSV", 51.0),
    "55 N": ("703165TY.csv", 70.0),
}
MONTH_OF_DAY = np.repeat(np.arange(1, 13), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def measured(name: str) -> tuple[float, float, np.ndarray, np.ndarray]:
    """Latitude, longitude, and per day of the year the energy on flat and tilted plane."""
    file, tilt = FILES[name]
    data, meta = iotools.read_tmy3(DATA / file, coerce_year=2001, map_variables=True)
    lat, lon = meta["latitude"], meta["longitude"]
    middle = data.index.shift(-30, "min")  # the label is the end of the hour
    sun = solarposition.get_solarposition(middle, lat, lon)
    sun.index = data.index
    total = irradiance.get_total_irradiance(
        tilt,
        180.0,
        sun["apparent_zenith"],
        sun["azimuth"],
        data["dni"],
        data["ghi"],
        data["dhi"],
        dni_extra=irradiance.get_extra_radiation(data.index.day_of_year.to_numpy()),
        albedo=0.2,
        model="haydavies",
    )["poa_global"].fillna(0.0)
    flat = data["ghi"].to_numpy().reshape(365, 24).sum(axis=1)
    return lat, lon, flat, total.to_numpy().reshape(365, 24).sum(axis=1)


def year_supply(poa_wh: np.ndarray, clearness: np.ndarray) -> Supply:
    """All energy of a day at noon: the battery is counted by the day here."""
    panel = np.zeros((12, len(clearness), 24))
    panel[:, :, 12] = poa_wh
    return Supply(
        panel_w=panel,
        clearness_low=float(clearness[0]),
        clearness_step=float(clearness[1] - clearness[0]),
        other_w=np.zeros(24),
    )


def outcome_of(supply: Supply, clearness: np.ndarray, months: np.ndarray, days: float) -> Outcome:
    degrees = HIGHEST_C - LOWEST_C + 1
    store = Store(
        usable_25c_wh=days,
        factor=(1.0,) * degrees,
        charge_w=(1e9,) * degrees,
        charge_efficiency=1.0,
        self_discharge_per_hour=0.0,
        start_share=1.0,
        reconnect_share=0.0,
    )
    load = np.zeros(24)
    load[12] = 1.0
    weather = Weather(
        month_of_day=months.astype(np.int64),
        clearness=clearness,
        battery_c=np.full(clearness.shape, 25.0),
        of_hour_k=np.zeros(24),
    )
    return simulate(supply, weather, store, load)


@pytest.mark.parametrize("name", FILES)
def test_months_on_the_panel_against_the_measured_year(name):
    # Independent: hourly measured beam and diffuse through pvlib; only monthly means of the
    # horizontal energy go into ours. At 55 N ours errs on the safe side.
    lat, lon, flat, tilted = measured(name)
    month = lambda daily, m: daily[m == MONTH_OF_DAY].mean()  # noqa: E731
    outside = daily_extraterrestrial_wh_m2(lat, MEAN_DAYS)
    mean = np.array([month(flat, m) for m in range(1, 13)]) / outside
    days = DailyClearness.about(mean)
    sun = sun_table(lat, lon, 0.0, FILES[name][1], 180.0)
    ours = np.array([sun.mean_day_w_m2(m, days.kinds(m)).sum() for m in range(1, 13)])
    theirs = np.array([month(tilted, m) for m in range(1, 13)])
    assert 0.88 < ours.mean() / theirs.mean() < 1.05
    darkest = np.argsort(theirs)[:3]
    assert 0.72 < ours[darkest].mean() / theirs[darkest].mean() < 1.05


@pytest.mark.parametrize(
    ("production", "storage"), [(1.1, 3.0), (1.1, 5.0), (1.5, 2.0), (1.5, 3.0)]
)
@pytest.mark.parametrize("name", FILES)
def test_losses_of_synthetic_years_against_the_measured_one(name, production, storage):
    # A typical year has no bad year in it: the synthetic ones may lose more, hardly less.
    lat, lon, flat, tilted = measured(name)
    outside = daily_extraterrestrial_wh_m2(lat, MEAN_DAYS)
    mean = np.array([flat[m == MONTH_OF_DAY].mean() for m in range(1, 13)]) / outside
    known = climate_at(round(lat, 2), round(lon, 2))
    assert known is not None
    days = known.days.with_mean(mean)
    sun = sun_table(lat, lon, 0.0, FILES[name][1], 180.0)
    worst = min(sun.mean_day_w_m2(m, days.kinds(m)).sum() for m in range(1, 13))
    scale = production / worst
    drawn = draw_days(days, MONTH_OF_DAY, 200, seed=4, month_sd=0.07)
    ours = outcome_of(
        year_supply(sun.poa_w_m2.sum(axis=2) * scale, sun.clearness), drawn, MONTH_OF_DAY, storage
    ).loss_of_load_probability
    measured_worst = min(tilted[m == MONTH_OF_DAY].mean() for m in range(1, 13))
    real = tilted * production / measured_worst
    line = np.linspace(0.0, real.max(), 50)
    theirs = outcome_of(
        year_supply(np.broadcast_to(line, (12, 50)), line), real[None, :], MONTH_OF_DAY, storage
    ).loss_of_load_probability
    assert ours > 0.4 * theirs
    assert ours < 4.0 * theirs + 0.005


@pytest.mark.parametrize(
    ("lat_deg", "tilt_deg", "faces_deg", "month", "mean", "production", "storage", "chances"),
    [
        (51.5, 66.0, 180.0, 12, 0.28, 1.0, 5.0, (0.93, 0.53, 0.19)),
        (51.5, 66.0, 180.0, 12, 0.28, 1.5, 5.0, (0.99, 0.80, 0.50)),
        (51.5, 66.0, 180.0, 12, 0.28, 1.0, 10.0, (1.00, 0.98, 0.70)),
        (-27.5, 45.0, 0.0, 6, 0.55, 1.0, 3.0, (0.96, 0.84, 0.59)),
        (-27.5, 45.0, 0.0, 6, 0.55, 1.0, 5.0, (1.00, 0.97, 0.87)),
        (-27.5, 45.0, 0.0, 6, 0.55, 1.5, 5.0, (1.00, 1.00, 0.99)),
        (51.5, 66.0, 180.0, 12, 0.28, 0.0, 7.0, (1.00, 0.00, 0.00)),
    ],
)
def test_chances_of_missions_of_one_two_and_four_weeks(
    lat_deg, tilt_deg, faces_deg, month, mean, production, storage, chances
):
    # Independent implementation: daily balance in plain numpy over windows of Aguiar's chain;
    # ours draws from the copula, so a tenth is as near as two generators come.
    days = DailyClearness.about(np.full(12, mean))
    sun = sun_table(lat_deg, 0.0, 0.0, tilt_deg, faces_deg)
    brings = sun.mean_day_w_m2(month, days.kinds(month)).sum()
    poa = sun.poa_w_m2.sum(axis=2) * (production / brings)
    for length, chance in zip((7, 14, 28), chances, strict=True):
        months = np.full(length, month)
        drawn = draw_days(days, months, 2000, seed=5, month_sd=0.0)
        outcome = outcome_of(year_supply(poa, sun.clearness), drawn, months, storage)
        assert outcome.survival_probability == pytest.approx(chance, abs=0.11)
