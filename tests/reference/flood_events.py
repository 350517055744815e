"""A small event simulation of flooding relays: every transmission begins, is heard and ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count

import numpy as np

HOUR_S = 3600.0


@dataclass(eq=False)
class Transmission:
    sender: int
    message: int
    hops: int
    ends_s: float
    lost_at: set[int] = field(default_factory=set)


@dataclass(frozen=True, eq=False)
class FloodEvents:
    """What came of it: airtime of every node, and who got which message."""

    hours: float
    airtime_s: np.ndarray
    sources: list[int]
    reached: list[set[int]]

    def delivery(self, source: int, target: int) -> float:
        mine = [got for of, got in zip(self.sources, self.reached, strict=True) if of == source]
        return sum(target in got for got in mine) / len(mine)


def simulate_floods(
    random: np.random.Generator,
    hearers: Sequence[Sequence[int]],
    relays: Sequence[bool],
    hop_limit: int,
    packets_per_hour: dict[int, float],
    time_s: float,
    levels_dbm: np.ndarray,
    *,
    wait_s: float,
    hours: float,
    capture_db: float = 6.0,
    collides: bool = True,
) -> FloodEvents:
    """Let sources talk at random; a relay repeats what it first hears, after a random wait.

    A node sends one packet at a time and hears nothing meanwhile. Of two packets that overlap
    at a listener one survives if it is `capture_db` stronger.
    """
    order, queue = count(), []
    sources: list[int] = []
    for source, rate in packets_per_hour.items():
        for at in random.uniform(0.0, hours * HOUR_S, random.poisson(rate * hours)):
            heappush(queue, (at, next(order), "send", source, len(sources), 1))
            sources.append(source)
    n = len(hearers)
    reached: list[set[int]] = [{source} for source in sources]
    airtime, free_s = np.zeros(n), np.zeros(n)
    on_air: list[Transmission] = []
    while queue:
        now, _, what, *rest = heappop(queue)
        if what == "send":
            node, message, hops = rest
            if now < free_s[node]:
                heappush(queue, (free_s[node], next(order), "send", node, message, hops))
                continue
            sent = Transmission(node, message, hops, now + time_s)
            airtime[node] += time_s
            free_s[node] = sent.ends_s
            for other in on_air if collides else ():
                _overlap(sent, other, hearers, levels_dbm, capture_db)
            on_air.append(sent)
            heappush(queue, (sent.ends_s, next(order), "end", sent))
            continue
        (sent,) = rest
        on_air.remove(sent)
        for listener in hearers[sent.sender]:
            if listener in sent.lost_at or listener in reached[sent.message]:
                continue
            reached[sent.message].add(listener)
            if relays[listener] and sent.hops < hop_limit:
                at = now + random.uniform(0.0, wait_s)
                again = (at, next(order), "send", listener, sent.message, sent.hops + 1)
                heappush(queue, again)
    return FloodEvents(hours, airtime, sources, reached)


def _overlap(
    a: Transmission,
    b: Transmission,
    hearers: Sequence[Sequence[int]],
    levels_dbm: np.ndarray,
    capture_db: float,
) -> None:
    for one, other in ((a, b), (b, a)):
        for listener in hearers[one.sender]:
            disturbs = levels_dbm[other.sender, listener]
            wanted = levels_dbm[one.sender, listener]
            drowned = np.isfinite(disturbs) and not wanted - disturbs >= capture_db
            if listener == other.sender or drowned:
                one.lost_at.add(listener)
