"""The shipped climate against independent series, and what goes before it."""

from __future__ import annotations

import numpy as np
import pytest

from guyline.errors import WeatherError
from guyline.services import climate as climate_module
from guyline.services.climate import climate_at, climate_for, climate_table
from guyline.services.sun_and_weather import MEAN_DAYS, daily_extraterrestrial_wh_m2

# Independent series: hourly files (IWEC, TMY3, TMY2, NSRDB, PVGIS): annual mean and darkest
# month of horizontal irradiation in kWh/m²/day.
PLACES = {
    "51.2 N 0.2 W": (51.15, -0.18, 2.76, 0.55),
    "57.2 N 2.2 W": (57.2, -2.2, 2.34, 0.31),
    "52.3 N 4.8 E": (52.3, 4.77, 2.69, 0.46),
    "45 N 8 E": (45.0, 8.0, 3.93, 1.49),
    "37.4 N 5.9 W": (37.42, -5.9, 5.22, 2.09),
    "34 S 151 E": (-33.95, 151.18, 4.53, 2.18),
    "36.1 N 80 W": (36.1, -79.95, 4.29, 2.24),
    "55.3 N 160.5 W": (55.32, -160.52, 2.27, 0.46),
    "25.8 N 80.3 W": (25.8, -80.3, 4.91, 3.36),
    "40.5 N 108.5 W": (40.5, -108.5, 4.90, 2.10),
}


def ghi_kwh_m2(lat_deg: float, lon_deg: float) -> np.ndarray:
    known = climate_at(lat_deg, lon_deg)
    assert known is not None
    return known.days.mean * daily_extraterrestrial_wh_m2(lat_deg, MEAN_DAYS) / 1000.0


@pytest.mark.parametrize("place", PLACES)
def test_annual_means_against_independent_series(place):
    lat_deg, lon_deg, annual, _ = PLACES[place]
    assert ghi_kwh_m2(lat_deg, lon_deg).mean() == pytest.approx(annual, rel=0.10)


@pytest.mark.parametrize("place", PLACES)
def test_darkest_months_against_independent_series(place):
    lat_deg, lon_deg, _, darkest = PLACES[place]
    assert ghi_kwh_m2(lat_deg, lon_deg).min() == pytest.approx(darkest, rel=0.18, abs=0.15)


def test_the_table_is_not_too_bright_in_the_mean():
    ratios = [ghi_kwh_m2(lat, lon).mean() / annual for lat, lon, annual, _ in PLACES.values()]
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "ghi"),
    [
        (51.15, -0.18, (0.71, 1.19, 2.12, 3.64, 4.91, 4.91, 5.02, 4.35, 2.97, 1.75, 0.97, 0.55)),
        (-33.95, 151.18, (6.60, 5.63, 4.87, 3.74, 2.66, 2.18, 2.56, 3.56, 4.58, 5.64, 5.99, 6.38)),
        (36.1, -79.95, (2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24)),
        (45.0, 8.0, (1.54, 2.39, 3.82, 4.05, 4.83, 7.21, 6.62, 5.76, 4.52, 2.87, 2.02, 1.49)),
    ],
)
def test_months_against_independent_series(lat_deg, lon_deg, ghi):
    # Independent series as above; the table states a standard deviation of 13 % a month.
    ratio = ghi_kwh_m2(lat_deg, lon_deg) / np.array(ghi)
    assert np.sqrt(np.mean((ratio - 1.0) ** 2)) < 0.15
    assert (np.abs(ratio - 1.0) < 0.30).all()


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "warmest_c", "coldest_c"),
    [(51.5, -0.4, 17.2, 4.7), (64.8, -147.9, 15.8, -21.0)],
)
def test_months_warmest_and_coldest_against_p1510(lat_deg, lon_deg, warmest_c, coldest_c):
    # Published: Rec. ITU-R P.1510 monthly mean surface temperature; ours is crude, to 6 K.
    known = climate_at(lat_deg, lon_deg)
    assert known.temperature.month_c.max() == pytest.approx(warmest_c, abs=3.0)
    assert known.temperature.month_c.min() == pytest.approx(coldest_c, abs=6.0)


def test_the_coldest_hour_of_winter_is_the_records_and_summers_is_warmer():
    air = climate_at(51.5, -0.4).temperature
    assert air.coldest_c((1,)) == pytest.approx(air.lowest_c, abs=0.5)
    assert air.coldest_c((7,)) > air.lowest_c + 8.0


def test_days_of_a_month_lie_about_its_mean():
    days = climate_at(51.15, -0.18).days
    for month in range(1, 13):
        assert days.kinds(month).mean() == pytest.approx(days.mean[month - 1], rel=0.02)
    assert days.kinds(12).std() / days.kinds(12).mean() > 0.3


def test_far_from_land_nothing_is_known():
    assert climate_at(-46.0, -129.0) is None
    assert climate_for(-46.0, -129.0, None, 5.0, (6,), np.full(12, 0.7)) is None


def test_a_clearness_entered_far_from_land_is_counted_with():
    known = climate_for(-46.0, -129.0, 0.36, -2.0, (6,), np.full(12, 0.7))
    assert np.allclose(known.days.mean, 0.36)
    assert known.source == "clearness of the plan"
    assert known.temperature.coldest_c((6,)) == pytest.approx(-2.0, abs=4.0)


def test_an_entered_clearness_holds_for_the_worst_month_and_scales_the_others():
    table = climate_at(51.15, -0.18)
    known = climate_for(51.15, -0.18, 0.20, None, (11, 12), np.full(12, 0.75))
    assert known.days.mean[11] == pytest.approx(0.20)
    assert known.days.mean[5] / known.days.mean[11] == pytest.approx(
        table.days.mean[5] / table.days.mean[11]
    )
    assert known.source == "clearness of the plan"


def test_no_month_is_clearer_than_a_cloudless_one():
    known = climate_for(36.1, -79.95, 0.75, None, (6,), np.full(12, 0.5))
    assert known.days.mean.max() <= 0.49 + 1e-9


def test_the_table_names_its_sources_licence_and_doubt():
    metadata = climate_table().metadata
    assert "MERRA-2" in str(metadata["sources"])
    assert "GLDAS" in str(metadata["sources"])
    assert metadata["licence"]
    assert "0.129" in str(metadata["uncertainty"])


def test_a_missing_table_is_an_error_with_advice(monkeypatch, tmp_path):
    monkeypatch.setattr(climate_module, "shipped", lambda folder: tmp_path)
    climate_table.cache_clear()
    try:
        with pytest.raises(WeatherError) as caught:
            climate_table()
        assert caught.value.advice
    finally:
        climate_table.cache_clear()


def test_the_table_is_less_sure_in_mountains_and_an_entered_value_is_not():
    low = climate_for(46.0, 8.0, None, None, (1,), np.full(12, 0.75), 300.0)
    high = climate_for(46.0, 8.0, None, None, (1,), np.full(12, 0.75), 1800.0)
    entered = climate_for(46.0, 8.0, 0.4, None, (1,), np.full(12, 0.75), 1800.0)
    assert low.mean_sd < high.mean_sd
    assert entered.mean_sd < high.mean_sd
