"""The busiest sliding hour of a day against drawn days."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.busy_hour import busy_hour_packets, most_packets_per_hour


def most_in_any_hour(at_h: np.ndarray) -> int:
    """The exact sliding hour: it is fullest where it begins with a packet."""
    first = np.sort(at_h)
    after = np.searchsorted(first, first + 1.0, side="left")
    return int((after - np.arange(first.size)).max(initial=0))


def test_two_bursts_astride_the_full_hour_are_one_busy_hour() -> None:
    # by hand: three packets before and two after the stroke of the clock
    assert most_in_any_hour(np.array([0.8, 0.9, 0.95, 1.1, 1.79, 3.0])) == 5
    assert most_in_any_hour(np.array([])) == 0


@pytest.mark.parametrize("packets_per_hour", [0.2, 1.0, 3.0, 10.0, 30.0, 100.0])
def test_no_more_than_one_drawn_day_in_a_hundred_is_busier(packets_per_hour: float) -> None:
    random = np.random.default_rng(7)
    days = 3000
    most = np.array(
        [
            most_in_any_hour(random.uniform(0.0, 24.0, random.poisson(24.0 * packets_per_hour)))
            for _ in range(days)
        ]
    )
    count = busy_hour_packets(packets_per_hour)
    error = 3.0 * np.sqrt(0.01 * 0.99 / days)  # three standard errors of the share
    assert np.mean(most > count) <= 0.01 + error
    # and it is the least such number, to one packet
    assert np.mean(most > count - 2) > 0.01


def test_known_values() -> None:
    # change detector: the clock hour of Poisson(10) has 18 packets or fewer 99 % of the time
    assert [busy_hour_packets(rate) for rate in (0.0, 1.0, 10.0, 100.0)] == [0, 7, 25, 142]


@given(rate=st.floats(0.01, 500.0), more=st.floats(1.0, 3.0))
def test_more_traffic_longer_days_and_rarer_excess_ask_for_more_packets(
    rate: float, more: float
) -> None:
    count = busy_hour_packets(rate)
    assert count >= rate
    assert busy_hour_packets(rate * more) >= count
    assert busy_hour_packets(rate, hours=48.0) >= count
    assert busy_hour_packets(rate, percent=99.9) >= count
    assert busy_hour_packets(rate, hours=1.0) <= count


@given(time_s=st.floats(0.05, 5.0), limit_s=st.floats(5.0, 400.0))
def test_most_traffic_fills_the_busiest_hour_and_a_little_more_overfills_it(
    time_s: float, limit_s: float
) -> None:
    rate = most_packets_per_hour(time_s, limit_s)
    assert busy_hour_packets(rate) * time_s <= limit_s + 1e-6
    assert busy_hour_packets(1.001 * rate) * time_s > limit_s - 1e-6


def test_packet_longer_than_the_limit_cannot_be_carried_and_300_fill_a_tenth_of_an_hour() -> None:
    assert most_packets_per_hour(40.0, 36.0) == 0.0
    # by hand: 10 % of an hour are 360 s, or 300 packets of 1.2 s, not 299.999...
    assert busy_hour_packets(most_packets_per_hour(1.2, 360.0)) == 300


def test_known_most_traffic() -> None:
    # change detector: 36 s of half a second hold 72 packets, 43 of them on the mean
    assert most_packets_per_hour(0.5, 36.0) == pytest.approx(43.0, abs=1.0)
