"""Routes over sites, held against networkx."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.network.reach import neighbours, shortest_route
from guyline.core.plan import Plan, RadioProfile, Site, SiteFunction, SiteId

IDS = [SiteId(f"S{n}") for n in range(7)]


def plan_of(relays: set[SiteId], hop_limit: int | None = None) -> Plan:
    return Plan(
        radio_profile=RadioProfile(hop_limit=hop_limit),
        sites=tuple(
            Site(
                site_id=i,
                function=SiteFunction.RELAY if i in relays else SiteFunction.END_POINT,
            )
            for i in IDS
        ),
    )


pairs = st.lists(
    st.tuples(st.sampled_from(IDS), st.sampled_from(IDS)).filter(lambda p: p[0] != p[1])
)


@given(pairs=pairs, relays=st.sets(st.sampled_from(IDS)))
def test_routes_are_as_short_as_networkx_finds_over_relays_alone(pairs, relays):
    # independent implementation: networkx shortest_path_length
    plan = plan_of(relays)
    graph = nx.Graph(pairs)
    graph.add_nodes_from(IDS)
    start, end = IDS[0], IDS[1]
    passable = graph.subgraph(relays | {start, end})
    route = shortest_route(plan, neighbours(IDS, pairs), start, end)
    if nx.has_path(passable, start, end):
        assert len(route) - 1 == nx.shortest_path_length(passable, start, end)
        assert all(passable.has_edge(a, b) for a, b in pairwise(route))
    else:
        assert route == ()


def test_a_route_longer_than_the_hop_limit_is_none():
    line = list(pairwise(IDS))
    plan = plan_of(set(IDS), hop_limit=3)
    heard = neighbours(IDS, line)
    assert len(shortest_route(plan, heard, IDS[0], IDS[3])) == 4
    assert shortest_route(plan, heard, IDS[0], IDS[4]) == ()
    free = replace(plan, radio_profile=RadioProfile(hop_limit=None))
    assert len(shortest_route(free, heard, IDS[0], IDS[6])) == 7


def test_a_site_that_is_not_ready_breaks_the_route():
    line = list(pairwise(IDS))
    heard = neighbours([i for i in IDS if i != IDS[2]], line)
    assert shortest_route(plan_of(set(IDS)), heard, IDS[0], IDS[4]) == ()
