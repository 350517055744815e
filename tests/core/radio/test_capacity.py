"""Airtime with relaying, and collisions against an event simulation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.busy_hour import busy_hour_packets, most_packets_per_hour
from guyline.core.radio.capacity import (
    Flow,
    NodeLoad,
    delivery_probability,
    hop_success,
    network_capacity,
    routed_load,
)
from guyline.core.units import Numbers
from guyline.errors import InputError

HOUR_S = 3600.0
EVERYBODY_HEARS = np.full((4, 4), -100.0)


def test_airtime_of_four_nodes_agrees_with_the_count_by_hand() -> None:
    # rederived by hand: 0 and 3 reach the gateway 2 through the hub 1; 2 answers 0
    flows = [
        Flow((0, 1, 2), 10.0, 0.5),
        Flow((3, 1, 2), 6.0, 0.5),
        Flow((2, 1, 0), 4.0, 0.2),
    ]
    load = routed_load(flows, 4)
    assert load.packets_per_hour == pytest.approx([10.0, 20.0, 4.0, 6.0])
    assert load.airtime_s_per_hour == pytest.approx([5.0, 8.8, 0.8, 3.0])
    assert load.duty_fraction == pytest.approx([5.0 / 3600, 8.8 / 3600, 0.8 / 3600, 3.0 / 3600])


def test_throughput_peaks_as_pure_aloha_does() -> None:
    # published: Abramson 1970, at most 1/(2e) = 18.4 % of the channel, at half its load
    time_s = 1.0
    nodes = 400
    levels = np.full((nodes, nodes), -100.0)
    throughputs = []
    for offered in (0.4, 0.5, 0.6):
        packets = np.full(nodes, offered * HOUR_S / time_s / nodes)
        load = NodeLoad(packets, packets * time_s)
        success = hop_success(load, levels, 0, 1, time_s)
        throughputs.append(offered * success)
    assert throughputs[1] == pytest.approx(1.0 / (2.0 * np.e), abs=0.001)
    assert throughputs[1] == max(throughputs)


def test_stronger_packet_survives_and_weaker_does_not() -> None:
    levels = np.full((3, 3), np.nan)
    levels[0, 1], levels[2, 1] = -80.0, -86.1
    load = NodeLoad(np.array([0.0, 0.0, 600.0]), np.array([0.0, 0.0, 600.0]))
    assert hop_success(load, levels, 0, 1, 1.0) == 1.0
    levels[2, 1] = -85.9
    assert hop_success(load, levels, 0, 1, 1.0) == pytest.approx(np.exp(-1200.0 / HOUR_S))


def test_packet_of_unknown_level_survives_nothing_that_is_heard() -> None:
    levels = np.full((3, 3), np.nan)
    levels[2, 1] = -120.0
    load = NodeLoad(np.array([0.0, 0.0, 600.0]), np.array([0.0, 0.0, 600.0]))
    assert hop_success(load, levels, 0, 1, 1.0) == pytest.approx(np.exp(-1200.0 / HOUR_S))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_collision_estimate_agrees_with_an_event_simulation(seed: int) -> None:
    """Six nodes at random levels; each sends its packets one after the other."""
    random = np.random.default_rng(seed)
    levels = random.uniform(-130.0, -90.0, (6, 6))
    levels[random.uniform(size=(6, 6)) < 0.2] = np.nan
    time_s = random.uniform(0.3, 1.5, 6)
    packets = random.uniform(20.0, 150.0, 6)
    load = NodeLoad(packets, packets * time_s)
    sender, receiver = 0, 1
    levels[sender, receiver] = -105.0
    simulated = _simulated_success(random, levels, time_s, packets, sender, receiver)
    estimated = hop_success(load, levels, sender, receiver, float(time_s[sender]))
    assert 0.3 < estimated < 0.99
    assert estimated == pytest.approx(simulated, abs=0.02)


def test_hub_binds_where_duty_is_short_and_collisions_where_it_is_not() -> None:
    flows = [Flow((0, 1, 2), 10.0, 0.5), Flow((3, 1, 2), 6.0, 0.5)]
    by_duty = network_capacity(flows, EVERYBODY_HEARS, duty_fraction=0.01)
    assert by_duty.hub == 1
    # law: the busiest hour of a day at the hub, 72 packets of half a second, is full
    assert by_duty.packets_per_hour == pytest.approx(most_packets_per_hour(0.5, 36.0))
    assert busy_hour_packets(by_duty.packets_per_hour) == 72
    assert by_duty.load.duty_fraction[1] < 0.01  # so its mean is not
    by_collisions = network_capacity(flows, EVERYBODY_HEARS, duty_fraction=1.0)
    assert by_collisions.hub is None
    assert min(by_collisions.delivery) == pytest.approx(0.9)


@given(
    rates=st.lists(st.floats(1.0, 200.0), min_size=2, max_size=2),
    more=st.floats(1.01, 3.0),
    attempts=st.integers(1, 4),
)
def test_more_traffic_delivers_less_and_more_attempts_deliver_more(
    rates: list[float], more: float, attempts: int
) -> None:
    flows = [Flow((0, 1, 2), rates[0], 0.5), Flow((3, 1, 2), rates[1], 0.7)]
    grown = [Flow(flow.route, more * flow.packets_per_hour, flow.time_on_air_s) for flow in flows]
    light, heavy = routed_load(flows, 4), routed_load(grown, 4)
    for flow in flows:
        here = delivery_probability(flow, light, EVERYBODY_HEARS)
        assert delivery_probability(flow, heavy, EVERYBODY_HEARS) < here
        assert delivery_probability(flow, light, EVERYBODY_HEARS, attempts) >= here


@given(rates=st.lists(st.floats(1.0, 50.0), min_size=2, max_size=2))
def test_capacity_does_not_depend_on_how_much_is_planned_only_on_the_proportion(
    rates: list[float],
) -> None:
    flows = [Flow((0, 1, 2), rates[0], 0.5), Flow((3, 1), rates[1], 0.5)]
    doubled = [Flow(flow.route, 2.0 * flow.packets_per_hour, 0.5) for flow in flows]
    once = network_capacity(flows, EVERYBODY_HEARS, 0.05)
    twice = network_capacity(doubled, EVERYBODY_HEARS, 0.05)
    assert once.packets_per_hour == pytest.approx(twice.packets_per_hour)
    assert once.factor == pytest.approx(2.0 * twice.factor)


@pytest.mark.parametrize(
    ("route", "packets", "time_s"),
    [((0,), 1.0, 1.0), ((0, 1, 0), 1.0, 1.0), ((0, 1), -1.0, 1.0), ((0, 1), 1.0, 0.0)],
)
def test_flow_that_leads_nowhere_is_refused(
    route: tuple[int, ...], packets: float, time_s: float
) -> None:
    with pytest.raises(InputError) as refusal:
        Flow(route, packets, time_s)
    assert refusal.value.advice


def test_capacity_of_no_traffic_is_refused() -> None:
    with pytest.raises(InputError, match="no traffic"):
        network_capacity([Flow((0, 1), 0.0, 0.5)], EVERYBODY_HEARS)


def _simulated_success(
    random: np.random.Generator,
    levels: Numbers,
    time_s: Numbers,
    packets: Numbers,
    sender: int,
    receiver: int,
    hours: float = 200.0,
) -> float:
    starts = [
        _starts(random, rate, length, hours) for rate, length in zip(packets, time_s, strict=True)
    ]
    fate = np.ones(starts[sender].size, dtype=bool)
    begins = starts[sender]
    for node, theirs in enumerate(starts):
        heard = np.isfinite(levels[node, receiver])
        captured = levels[sender, receiver] - levels[node, receiver] >= 6.0
        if node != sender and (node == receiver or (heard and not captured)):
            first_after = np.searchsorted(theirs, begins - time_s[node], side="right")
            before_end = np.searchsorted(theirs, begins + time_s[sender], side="left")
            fate &= first_after == before_end
    return float(fate.mean())


def _starts(
    random: np.random.Generator, packets_per_hour: float, time_s: float, hours: float
) -> Numbers:
    wished = np.sort(random.uniform(0.0, hours * HOUR_S, random.poisson(packets_per_hour * hours)))
    free_s = 0.0
    for i, wish in enumerate(wished):
        wished[i] = max(wish, free_s)
        free_s = wished[i] + time_s
    return np.asarray(wished)
