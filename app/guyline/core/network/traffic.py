"""What every site sends once the needs of the plan are routed over its links."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from guyline.core.network.link import LinkAssessment
from guyline.core.network.reach import Neighbours, neighbours, shortest_route
from guyline.core.plan import Need, Plan, Relaying, SiteFunction, SiteId
from guyline.core.radio.airtime import time_on_air_s
from guyline.core.radio.busy_hour import busy_hour_packets, most_packets_per_hour
from guyline.core.radio.capacity import (
    HOUR_S,
    Flow,
    NetworkCapacity,
    NodeLoad,
    delivery_probability,
    network_capacity,
    routed_load,
)
from guyline.core.radio.flooding import flooded_load
from guyline.core.units import Numbers

Pair = tuple[SiteId, SiteId]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteTraffic:
    """What a site sends, own and relayed.

    `busy_hour_s` is its airtime in the busiest 60 minutes of a day, wherever they begin; one day
    in a hundred is busier. `can_carry_per_hour` is how many such packets it may send on the mean,
    so that this hour keeps the duty cycle; None without one.
    """

    site_id: SiteId
    packets_per_hour: float
    airtime_s_per_hour: float
    busy_hour_s: float
    can_carry_per_hour: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedTraffic:
    """The route of a need and the probability that its packets come through unspoilt."""

    need: Need
    route: tuple[SiteId, ...]
    delivery: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanTraffic:
    """Traffic of a whole plan.

    `capacity` is how far it can grow; None where no need has a route.
    """

    sites: tuple[SiteTraffic, ...]
    needs: tuple[NeedTraffic, ...]
    capacity: NetworkCapacity | None

    def site(self, site_id: SiteId) -> SiteTraffic:
        for known in self.sites:
            if known.site_id == site_id:
                return known
        raise KeyError(site_id)


def plan_traffic(
    plan: Plan,
    working: Collection[Pair],
    links: Collection[LinkAssessment],
    duty_fraction: float | None = None,
) -> PlanTraffic:
    """Traffic of a plan from its needs, once in each direction.

    Along the route of fewest hops, or sent on once by every relay, as the radio profile says.

    Parameters
    ----------
    plan : Plan
        Needs without packets an hour send nothing; packets have the payload of the first site.
    working : collection of pairs
        Links that carry traffic.
    links : collection of LinkAssessment
        Where the levels come from that decide which packet survives an overlap.
    duty_fraction : float, optional
        Most any site may send.

    Notes
    -----
    Where relays flood, every relay within the hop limit counts into airtime and collisions, also
    over links whose margin is short of what is asked for. Delivery is that of the shortest route
    alone: other routes add to it where relays wait a random time before they send on; with waits
    of a few packets or less they drown one another.

    Sites between which no link was assessed are taken not to hear each other: where they do,
    more packets collide.
    """
    order = {site.site_id: i for i, site in enumerate(plan.sites)}
    heard = neighbours(list(order), working)
    routes = [shortest_route(plan, heard, need.from_id, need.to_id) for need in plan.needs]
    flows = [
        _flow(plan, way, order, need.packets_per_hour or 0.0)
        for need, route in zip(plan.needs, routes, strict=True)
        for way in (route, route[::-1])
        if route
    ]
    if plan.radio_profile.relaying is Relaying.FLOODED:
        load = _flooded(plan, neighbours(list(order), {*working, *_audible(links)}), order)
    else:
        load = routed_load(flows, len(order))
    levels = received_levels_dbm(plan, links)
    chances = {flow.route: delivery_probability(flow, load, levels) for flow in flows}
    is_busy = bool(load.airtime_s_per_hour.any())
    return PlanTraffic(
        sites=tuple(
            _site(site.site_id, load, i, duty_fraction) for i, site in enumerate(plan.sites)
        ),
        needs=tuple(
            NeedTraffic(need=need, route=route, delivery=_delivery(route, order, chances))
            for need, route in zip(plan.needs, routes, strict=True)
        ),
        capacity=network_capacity(flows, levels, duty_fraction, load=load)
        if is_busy and flows
        else None,
    )


def _audible(links: Collection[LinkAssessment]) -> list[Pair]:
    """Links with any margin at all: too little to be planned with, enough to wake a relay."""
    return [
        (known.link.from_id, known.link.to_id)
        for known in links
        if known.margin_db is not None and known.margin_db >= 0.0
    ]


def _flooded(plan: Plan, heard: Neighbours, order: Mapping[SiteId, int]) -> NodeLoad:
    """What every site sends: its own packets, and each that it hears within the limit, once."""
    hears = [[order[other] for other in heard[site.site_id]] for site in plan.sites]
    relays = [site.function is not SiteFunction.END_POINT for site in plan.sites]
    load = NodeLoad(np.zeros(len(order)), np.zeros(len(order)))
    for need in plan.needs:
        for source in (need.from_id, need.to_id):
            load += flooded_load(
                hears,
                order[source],
                need.packets_per_hour or 0.0,
                _airtime_s(plan, plan.site(source).payload_bytes),
                plan.radio_profile.hop_limit or len(order),
                relays,
            )
    return load


def _flow(
    plan: Plan, way: tuple[SiteId, ...], order: Mapping[SiteId, int], packets_per_hour: float
) -> Flow:
    airtime = _airtime_s(plan, plan.site(way[0]).payload_bytes)
    return Flow(tuple(order[site_id] for site_id in way), packets_per_hour, airtime)


def _delivery(
    route: tuple[SiteId, ...],
    order: Mapping[SiteId, int],
    chances: Mapping[tuple[int, ...], float],
) -> float | None:
    """Chance of the worse direction; None without a route."""
    if not route:
        return None
    numbers = tuple(order[site_id] for site_id in route)
    return min(chances[numbers], chances[numbers[::-1]])


def received_levels_dbm(plan: Plan, links: Collection[LinkAssessment]) -> Numbers:
    """Level of every site at every other, by the plan's order; NaN where no link was assessed.

    Returns
    -------
    array (N, N)
        Row sends, column hears. [dBm]
    """
    order = {site.site_id: i for i, site in enumerate(plan.sites)}
    levels = np.full((len(order), len(order)), np.nan)
    for known in links:
        if known.budget is not None:
            near, far = order[known.link.from_id], order[known.link.to_id]
            levels[near, far] = known.budget.forward.received_dbm
            levels[far, near] = known.budget.backward.received_dbm
    return levels


def _airtime_s(plan: Plan, payload_bytes: int) -> float:
    profile = plan.radio_profile
    return time_on_air_s(
        payload_bytes,
        profile.spreading_factor,
        profile.bandwidth_hz,
        coding_rate=profile.coding_rate,
        preamble_symbols=profile.preamble_symbols,
    )


def _site(site_id: SiteId, load: NodeLoad, index: int, duty_fraction: float | None) -> SiteTraffic:
    packets = float(load.packets_per_hour[index])
    airtime = float(load.airtime_s_per_hour[index])
    mean_airtime = airtime / packets if packets else 0.0
    return SiteTraffic(
        site_id=site_id,
        packets_per_hour=packets,
        airtime_s_per_hour=airtime,
        busy_hour_s=busy_hour_packets(packets) * mean_airtime,
        can_carry_per_hour=most_packets_per_hour(mean_airtime, duty_fraction * HOUR_S)
        if duty_fraction is not None and packets
        else None,
    )
