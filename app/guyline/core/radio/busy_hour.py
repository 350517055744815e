"""How much a node sends in the busiest hour of a day, however the hour is laid."""

from __future__ import annotations

from math import exp, floor

DAY_HOURS = 24.0
RATE_STEP = 1e-4  # to which a rate is found; finer than anybody plans
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
    if packets_per_hour <= 0.0:
        return 0
    low, step = int(packets_per_hour) - 1, 1  # an hour of the mean is always exceeded
    while _chance(low + step, packets_per_hour, hours) < percent / 100.0:
        low, step = low + step, 2 * step
    while step > 1:
        step //= 2
        if _chance(low + step, packets_per_hour, hours) < percent / 100.0:
            low += step
    return low + 1


def most_packets_per_hour(
    time_on_air_s: float,
    limit_s: float,
    percent: float = BUSY_PERCENT,
    hours: float = DAY_HOURS,
) -> float:
    """Greatest mean traffic whose busiest sliding hour keeps a limit of airtime. [1/h]

    Parameters
    ----------
    time_on_air_s : float
        Of one packet, above 0. [s]
    limit_s : float
        Airtime that any hour may hold; 0 comes back where not even one packet fits. [s]
    percent, hours : float
        As in `busy_hour_packets`, whose inverse this is.
    """
    # 360 s of 1.2 s are 300 packets, not 299.999...
    count = floor(limit_s / time_on_air_s + 1e-9)
    if count < 1:
        return 0.0
    low, high = 0.0, float(count)  # the mean is never above what its busiest hour holds
    while high - low > RATE_STEP * high:
        middle = (low + high) / 2.0
        fits = _chance(count, middle, hours) >= percent / 100.0
        low, high = (middle, high) if fits else (low, middle)
    return low


def _chance(count: int, packets_per_hour: float, hours: float) -> float:
    """Probability that no 60 minutes of the day hold more packets than `count`."""
    from scipy.special import gammaln, pdtr, xlogy  # here, because a start must not wait for it

    once = exp(float(xlogy(count, packets_per_hour) - packets_per_hour - gammaln(count + 1)))
    above = (count + 1 - packets_per_hour) / (count + 1)
    passes = above * packets_per_hour * (hours - 1.0) * once
    return float(pdtr(count, packets_per_hour)) * exp(-max(passes, 0.0))
