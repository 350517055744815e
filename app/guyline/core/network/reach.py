"""Who can reach whom over which sites."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Mapping

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
    if from_id not in heard or to_id not in heard:
        return ()
    passes_on = {s.site_id for s in plan.sites if s.function is not SiteFunction.END_POINT}
    came_from: dict[SiteId, SiteId | None] = {from_id: None}
    queue = deque([from_id])
    while queue:
        here = queue.popleft()
        if here == to_id:
            break
        if here != from_id and here not in passes_on:
            continue
        for there in heard[here]:
            if there not in came_from:
                came_from[there] = here
                queue.append(there)
    if to_id not in came_from:
        return ()
    route = [to_id]
    while (before := came_from[route[-1]]) is not None:
        route.append(before)
    limit = plan.radio_profile.hop_limit
    if limit is not None and len(route) - 1 > limit:
        return ()
    return tuple(reversed(route))
