"""Sun and temperature that a place has over the years."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.power.daily_clearness import DailyClearness
from guyline.core.units import Numbers

HOURS = np.arange(24) + 0.5
WARMEST_HOUR = 15.0  # solar time: common practice, no source
MARITIME_SWING_K, CONTINENTAL_SWING_K = 4.0, 7.0  # half the day's range: our choice
MARITIME_SPAN_K, CONTINENTAL_SPAN_K = 40.0, 60.0  # lowest to highest of the record
# A year of ten or so is as cold as the record on one day in it: 3.3 standard deviations.
RECORD_SD = 3.3
SEASON_SHARE = 0.35  # of half the record's span: crude, checked at three places to about 3 K
WARMEST_MONTH_NORTH, WARMEST_MONTH_SOUTH = 7.2, 1.2
SEA_DAY_SD_K = 3.0  # our choice where no record is at hand


@dataclass(frozen=True, slots=True, eq=False)
class Temperature:
    """Air temperature of a place.

    Attributes
    ----------
    month_c : array (12,)
        Monthly means. [°C]
    swing_k : float
        Half the range between a day's coolest and warmest hour. [K]
    day_sd_k : float
        Standard deviation of daily means about the month's. [K]
    lowest_c : float
        Lowest of the record. [°C]
    """

    month_c: Numbers
    swing_k: float
    day_sd_k: float
    lowest_c: float
    source: str = ""

    @property
    def of_hour_k(self) -> Numbers:
        """Departure of each hour of solar time from the day's mean, shape (24,)."""
        swing: Numbers = self.swing_k * np.cos(2.0 * np.pi * (HOURS - WARMEST_HOUR) / 24.0)
        return swing

    def coldest_c(self, months: tuple[int, ...]) -> float:
        """Coldest hour to be expected in some months (1 to 12): as far below as the record."""
        depth = float(self.month_c.min()) - self.lowest_c
        return min(float(self.month_c[m - 1]) for m in months) - max(depth, self.swing_k)


def temperature_from_record(
    lat_deg: float, mean_c: float, lowest_c: float, highest_c: float, source: str = ""
) -> Temperature:
    r"""Return monthly temperatures from mean and extremes of a record.

    .. math:: T_m = T + 0.35 (T_{max} - T_{min}) / 2 \cos(2 \pi (m - m_{warm}) / 12)

    Notes
    -----
    Within about 3 K of the monthly values of Rec. ITU-R P.1510 at three places.
    """
    warmest = WARMEST_MONTH_NORTH if lat_deg >= 0.0 else WARMEST_MONTH_SOUTH
    span = highest_c - lowest_c
    season = np.cos(2.0 * np.pi * (np.arange(1, 13) - warmest) / 12.0)
    month_c = mean_c + SEASON_SHARE * span / 2.0 * season
    swing = float(
        np.interp(
            span,
            [MARITIME_SPAN_K, CONTINENTAL_SPAN_K],
            [MARITIME_SWING_K, CONTINENTAL_SWING_K],
        )
    )
    depth = float(month_c.min()) - lowest_c
    return Temperature(
        month_c=month_c,
        swing_k=swing,
        day_sd_k=float(np.clip((depth - swing) / RECORD_SD, 1.5, 8.0)),
        lowest_c=lowest_c,
        source=source,
    )


def temperature_from_coldest(coldest_c: float) -> Temperature:
    """Return a maritime temperature whose coldest hour is the given one, the same all year."""
    mean_c = coldest_c + MARITIME_SWING_K + RECORD_SD * SEA_DAY_SD_K
    return Temperature(
        month_c=np.full(12, mean_c),
        swing_k=MARITIME_SWING_K,
        day_sd_k=SEA_DAY_SD_K,
        lowest_c=coldest_c,
        source="assumed from the coldest temperature of the plan",
    )


@dataclass(frozen=True, slots=True, eq=False)
class Climate:
    """Clearness and temperature of a place, with where they are from and how sure they are.

    `mean_sd` is the relative standard deviation of the error of a month's mean irradiation;
    `temperature` is None where nothing is known of it.
    """

    days: DailyClearness
    temperature: Temperature | None
    mean_sd: float
    source: str
    confidence: str
