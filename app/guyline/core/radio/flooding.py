"""Floods: every relay that hears a packet sends it on once, within the hop limit."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

import numpy as np

from guyline.core.radio.capacity import NodeLoad


def flooded_load(
    neighbours: Sequence[Sequence[int]],
    source: int,
    packets_per_hour: float,
    time_on_air_s: float,
    hop_limit: int,
    relays: Sequence[bool] | None = None,
) -> NodeLoad:
    """Load of every node from traffic that each relay sends on once.

    Parameters
    ----------
    neighbours : sequence of sequences
        For each node the nodes that hear it.
    source : int
        Where the packets come from.
    packets_per_hour, time_on_air_s : float
        [1/h], [s]
    hop_limit : int
        Most transmissions from the source to the farthest listener; 1 is without any relay.
    relays : sequence of bool, optional
        Which nodes send on; all of them if left out.
    """
    sends = {source}
    queue: deque[tuple[int, int]] = deque([(source, 1)])
    while queue:
        node, hops = queue.popleft()
        if hops >= hop_limit:
            continue
        for other in neighbours[node]:
            if other not in sends and (relays is None or relays[other]):
                sends.add(other)
                queue.append((other, hops + 1))
    packets = np.zeros(len(neighbours))
    packets[list(sends)] = packets_per_hour
    return NodeLoad(packets, packets * time_on_air_s)
