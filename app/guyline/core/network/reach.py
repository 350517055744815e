"""Who can reach whom over which sites."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from heapq import heappop, heappush

from guyline.core.plan import Plan, SiteFunction, SiteId

Neighbours = Mapping[SiteId, Collection[SiteId]]


def neighbours(
    usable: Collection[SiteId], pairs: Collection[tuple[SiteId, SiteId]]
) -> dict[SiteId, list[SiteId]]:
    """Which usable sites hear each other, given the pairs whose link works."""
    found: dict[SiteId, list[SiteId]] = {site_id: [] for site_id in usable}
    for a, b in pairs:
        if a in found and b in found:
            found[a].append(b)
            found[b].append(a)
    return found


def shortest_route(
    plan: Plan, heard: Neighbours, from_id: SiteId, to_id: SiteId
) -> tuple[SiteId, ...]:
    """Sites of a route with the fewest hops, both ends included; () where there is none.

    Only relays and gateways pass messages on; a route longer than the plan's hop limit
    is none.
    """
    route = _cheapest_route(plan, heard, from_id, to_id, lambda site_id: 1)
    limit = plan.radio_profile.hop_limit
    return () if limit is not None and len(route) - 1 > limit else route


def least_building_route(
    plan: Plan,
    heard: Neighbours,
    from_id: SiteId,
    to_id: SiteId,
    ready: Collection[SiteId],
) -> tuple[SiteId, ...]:
    """Sites of a route for which the fewest sites must be made ready; () where there is none.

    Where that route breaks the hop limit, the one with the fewest hops is taken.
    """
    route = _cheapest_route(plan, heard, from_id, to_id, lambda site_id: site_id not in ready)
    limit = plan.radio_profile.hop_limit
    if limit is not None and len(route) - 1 > limit:
        return shortest_route(plan, heard, from_id, to_id)
    return route


def _cheapest_route(
    plan: Plan,
    heard: Neighbours,
    from_id: SiteId,
    to_id: SiteId,
    cost: Callable[[SiteId], int],
) -> tuple[SiteId, ...]:
    """Dijkstra's route, where entering a site costs `cost` and ties go to fewer hops."""
    if from_id not in heard or to_id not in heard:
        return ()
    passes_on = {s.site_id for s in plan.sites if s.function is not SiteFunction.END_POINT}
    open_routes: list[tuple[int, int, tuple[SiteId, ...]]] = [(cost(from_id), 0, (from_id,))]
    done: set[SiteId] = set()
    while open_routes:
        spent, hops, route = heappop(open_routes)
        here = route[-1]
        if here == to_id:
            return route
        if here in done or (here != from_id and here not in passes_on):
            continue
        done.add(here)
        for there in heard[here]:
            if there not in done:
                heappush(open_routes, (spent + cost(there), hops + 1, (*route, there)))
    return ()
