"""How long each node sends with the traffic it relays, and how much the network can carry.

Nodes are numbers from 0; a flow is traffic along a route; `flooding` has what every relay sends
on. Nothing is assumed about listening before sending: nodes that cannot hear each other gain
nothing by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf

import numpy as np

from guyline.core.radio.busy_hour import most_packets_per_hour
from guyline.core.units import Numbers
from guyline.errors import InputError

HOUR_S = 3600.0
CAPTURE_DB = 6.0  # co-channel rejection at the same spreading factor; data sheets, from memory


@dataclass(frozen=True, slots=True)
class Flow:
    """Traffic from the first node of a route to its last; every node but the last sends."""

    route: tuple[int, ...]
    packets_per_hour: float
    time_on_air_s: float

    def __post_init__(self) -> None:
        if len(self.route) < 2 or len(set(self.route)) != len(self.route):
            raise InputError(
                f"The route {self.route} does not lead from one node to another.",
                advice="Name at least two nodes, none twice.",
            )
        if not 0.0 <= self.packets_per_hour < inf or not 0.0 < self.time_on_air_s < inf:
            raise InputError(
                f"{self.packets_per_hour} packets an hour of {self.time_on_air_s} s.",
                advice="Enter packets of 0 or more and a time on air above zero.",
            )


@dataclass(frozen=True, slots=True, eq=False)
class NodeLoad:
    """What every node sends, relayed packets included.

    `packets_per_hour` and `airtime_s_per_hour` are arrays (N,).
    """

    packets_per_hour: Numbers
    airtime_s_per_hour: Numbers

    def __add__(self, other: NodeLoad) -> NodeLoad:
        return NodeLoad(
            self.packets_per_hour + other.packets_per_hour,
            self.airtime_s_per_hour + other.airtime_s_per_hour,
        )

    @property
    def duty_fraction(self) -> Numbers:
        """Part of the hour in which each node sends."""
        return self.airtime_s_per_hour / HOUR_S


def routed_load(flows: Sequence[Flow], node_count: int) -> NodeLoad:
    """Load of every node from traffic along routes."""
    packets, airtime = np.zeros(node_count), np.zeros(node_count)
    for flow in flows:
        senders = list(flow.route[:-1])
        packets[senders] += flow.packets_per_hour
        airtime[senders] += flow.packets_per_hour * flow.time_on_air_s
    return NodeLoad(packets, airtime)


def hop_success(
    load: NodeLoad,
    received_dbm: Numbers,
    sender: int,
    receiver: int,
    time_on_air_s: float,
    capture_db: float = CAPTURE_DB,
) -> float:
    r"""Probability that no other packet spoils one on its way over one hop.

    .. math:: P = \exp\left(-\sum_k (\lambda_k T + a_k)\right)

    over the receiver itself, which cannot hear while it sends, and over every node k that it
    hears less than `capture_db` below the sender.

    Parameters
    ----------
    load : NodeLoad
        What every node sends: packets :math:`\lambda` and airtime a.
    received_dbm : array (N, N)
        Level of the row's node at the column's node; NaN or -inf where it is not heard. [dBm]
    sender, receiver : int
        Ends of the hop.
    time_on_air_s : float
        Of the packet, T. [s]
    capture_db : float
        By how much a packet must exceed another to survive it. [dB]

    Notes
    -----
    Pure ALOHA overlap of Poisson traffic, one channel and one spreading factor, each other
    packet on its own. Relays of the same packet are not more likely to collide than others:
    true where they wait a random time, long against the packet, before they send it on.

    References
    ----------
    .. [1] N. Abramson, "The ALOHA system", AFIPS 1970: throughput G exp(-2 G).
    """
    levels = np.asarray(received_dbm, dtype=float)[:, receiver]
    wanted = levels[sender]
    with np.errstate(invalid="ignore"):
        survives = wanted - levels >= capture_db  # never where the wanted level is unknown
    spoils = np.isfinite(levels) & ~survives
    spoils[sender] = False
    spoils[receiver] = True
    rate = load.packets_per_hour[spoils].sum() * time_on_air_s
    return exp(-float(rate + load.airtime_s_per_hour[spoils].sum()) / HOUR_S)


def delivery_probability(
    flow: Flow,
    load: NodeLoad,
    received_dbm: Numbers,
    attempts: int = 1,
    capture_db: float = CAPTURE_DB,
) -> float:
    """Probability that a packet of a flow comes through all its hops unspoilt.

    Parameters
    ----------
    flow : Flow
        Whose packet.
    load : NodeLoad
        All traffic, the flow's own and repeated attempts included.
    received_dbm : array (N, N)
        As in `hop_success`. [dBm]
    attempts : int
        How often each hop is tried.
    capture_db : float
        [dB]
    """
    through = 1.0
    for sender, receiver in zip(flow.route, flow.route[1:], strict=False):
        once = hop_success(load, received_dbm, sender, receiver, flow.time_on_air_s, capture_db)
        through *= 1.0 - (1.0 - once) ** attempts
    return through


@dataclass(frozen=True, slots=True, eq=False)
class NetworkCapacity:
    """How far the traffic of a plan can grow before something gives.

    `factor` multiplies all flows; `hub` is the node whose busiest hour reaches the duty limit
    first, None where
    collisions bind first; `delivery` has the probability of each flow at that factor.
    """

    factor: float
    packets_per_hour: float
    hub: int | None
    load: NodeLoad
    delivery: tuple[float, ...]


def network_capacity(
    flows: Sequence[Flow],
    received_dbm: Numbers,
    duty_fraction: float | None = None,
    least_delivery: float = 0.9,
    capture_db: float = CAPTURE_DB,
    load: NodeLoad | None = None,
) -> NetworkCapacity:
    """Traffic that the network carries with the flows in their given proportion.

    Parameters
    ----------
    flows : sequence of Flow
        At least one with traffic.
    received_dbm : array (N, N)
        As in `hop_success`. [dBm]
    duty_fraction : float, optional
        Most any node may send in any hour of a day but one in a hundred; none if left out.
    least_delivery : float
        Probability every flow must keep, above 0 and below 1.
    capture_db : float
        [dB]
    load : NodeLoad, optional
        What the nodes send for these flows, where that is more than along their routes.
    """
    base = routed_load(flows, len(received_dbm)) if load is None else load
    busiest = float(base.duty_fraction.max(initial=0.0))
    if busiest == 0.0 or not 0.0 < least_delivery < 1.0:
        raise InputError(
            "There is no traffic, or the delivery asked for is not between 0 and 1.",
            advice="Enter packets an hour for at least one need, and a delivery such as 0.9.",
        )
    growth = _growth_by_duty(base, duty_fraction)
    by_duty = float(growth.min())
    by_collisions = min(
        _collision_factor(f, base, received_dbm, least_delivery, capture_db) for f in flows
    )
    factor = min(by_duty, by_collisions)
    grown = NodeLoad(factor * base.packets_per_hour, factor * base.airtime_s_per_hour)
    return NetworkCapacity(
        factor=factor,
        packets_per_hour=factor * sum(flow.packets_per_hour for flow in flows),
        hub=int(np.argmin(growth)) if by_duty <= by_collisions else None,
        load=grown,
        delivery=tuple(
            delivery_probability(flow, grown, received_dbm, capture_db=capture_db)
            for flow in flows
        ),
    )


def _growth_by_duty(base: NodeLoad, duty_fraction: float | None) -> Numbers:
    """Growth of the traffic at which each node's busiest hour reaches the duty cycle."""
    growth = np.full(base.packets_per_hour.shape, inf)
    if duty_fraction is None:
        return growth
    for node in np.flatnonzero(base.packets_per_hour > 0.0):
        packets = float(base.packets_per_hour[node])
        airtime = float(base.airtime_s_per_hour[node]) / packets
        growth[node] = most_packets_per_hour(airtime, duty_fraction * HOUR_S) / packets
    return growth


def _collision_factor(
    flow: Flow, base: NodeLoad, received_dbm: Numbers, least_delivery: float, capture_db: float
) -> float:
    """Growth at which one flow falls to the least delivery: the exponents add up along it."""
    now = delivery_probability(flow, base, received_dbm, capture_db=capture_db)
    if now == 0.0:  # so much traffic that nothing is left of it
        return 0.0
    return inf if now == 1.0 else float(np.log(least_delivery) / np.log(now))
