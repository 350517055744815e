"""How much a node sends in the busiest hour of a day, however the hour is laid."""

from __future__ import annotations

from math import exp

DAY_HOURS = 24.0
BUSY_PERCENT = 99.0  # our choice: one day in a hundred may be busier


def busy_hour_packets(
    packets_per_hour: float, percent: float = BUSY_PERCENT, hours: float = DAY_HOURS
) -> int:
    r"""Packets that the busiest sliding hour of a day exceeds only rarely.

    .. math:: P(S \le n) \approx F(n) \exp\left(-\frac{n + 1 - \mu}{n + 1}
              \mu (t - 1) f(n)\right)

    for the most packets S in any 60 minutes of t hours, with F and f of the Poisson distribution
    with the mean :math:`\mu` of an hour.

    Parameters
    ----------
    packets_per_hour : float
        Mean, at least 0. [1/h]
    percent : float
        Part of the days whose busiest hour has so many packets or fewer. [%]
    hours : float
        Length of a day's traffic, at least 1. [h]

    Notes
    -----
    Packets fall at random (Poisson). Rules that limit airtime in any hour mean the sliding one,
    which is busier than the hour of the clock: 18 packets become 25 where 10 are the mean.

    References
    ----------
    .. [1] S. E. Alm, "On the distribution of the scan statistic of a Poisson process", 1983;
       formula from memory, held against the exact sliding hour of drawn days in the tests.
    """
    from scipy.special import gammaln, pdtr, xlogy  # here, because a start must not wait for it

    if packets_per_hour <= 0.0:
        return 0

    def chance(count: int) -> float:
        once = exp(float(xlogy(count, packets_per_hour) - packets_per_hour - gammaln(count + 1)))
        above = (count + 1 - packets_per_hour) / (count + 1)
        passes = above * packets_per_hour * (hours - 1.0) * once
        return float(pdtr(count, packets_per_hour)) * exp(-max(passes, 0.0))

    count = int(packets_per_hour)
    while chance(count) < percent / 100.0:
        count += 1
    return count
