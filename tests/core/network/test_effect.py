"""What hangs on one site and what gains most, held against trying everything."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.network.effect import assess_network, met_needs, need_weight
from guyline.core.network.reach import neighbours
from guyline.core.plan import Need, Plan, Site, SiteFunction, SiteId

IDS = [SiteId(name) for name in "ABCDEF"]
RELAYS = {IDS[1], IDS[2], IDS[3]}


def plan_of(needs: list[tuple[SiteId, SiteId, int]]) -> Plan:
    def function(site_id: SiteId) -> SiteFunction:
        if site_id == IDS[0]:
            return SiteFunction.GATEWAY
        return SiteFunction.RELAY if site_id in RELAYS else SiteFunction.END_POINT

    return Plan(
        sites=tuple(Site(site_id=i, function=function(i)) for i in IDS),
        needs=tuple(Need(from_id=a, to_id=b, priority=p) for a, b, p in needs),
    )


ends = st.sampled_from(IDS)
pairs = st.lists(st.tuples(ends, ends).filter(lambda p: p[0] != p[1]), max_size=12)
needs = st.lists(
    st.tuples(ends, ends, st.integers(1, 3)).filter(lambda n: n[0] != n[1]), max_size=4
)


def weight_met(plan: Plan, ready: list[SiteId], working: list[tuple[SiteId, SiteId]]) -> float:
    known = met_needs(plan, neighbours(ready, working))
    return sum(need_weight(k.need) for k in known if k.is_met)


@given(working=pairs, wanted=needs, ready=st.lists(ends, unique=True))
def test_every_weak_spot_breaks_needs_and_no_other_relay_does(working, wanted, ready):
    # oracle: remove each site and count the needs between others that are lost
    plan = plan_of(wanted)
    found = {s.site_id: len(s.needs_lost) for s in assess_network(plan, ready, working).weak_spots}
    for gone in IDS:
        rest = [r for r in ready if r != gone]
        before = met_needs(plan, neighbours(ready, working))
        after = met_needs(plan, neighbours(rest, working))
        lost = sum(
            b.is_met and not a.is_met and gone not in (b.need.from_id, b.need.to_id)
            for b, a in zip(before, after, strict=True)
        )
        assert found.get(gone, 0) == lost


@given(working=pairs, wanted=needs, ready=st.lists(ends, unique=True))
def test_each_next_action_gains_what_it_says(working, wanted, ready):
    plan = plan_of(wanted)
    now = weight_met(plan, ready, working)
    for action in assess_network(plan, ready, working).next_actions:
        then = weight_met(plan, [*ready, *action.site_ids], working)
        assert then - now == pytest.approx(action.weight_gained)
        assert action.weight_gained > 0


@given(working=pairs, wanted=needs, ready=st.lists(ends, unique=True))
def test_no_single_site_gains_more_than_the_best_action(working, wanted, ready):
    # oracle: make every one site ready in turn
    plan = plan_of(wanted)
    now = weight_met(plan, ready, working)
    actions = assess_network(plan, ready, working).next_actions
    best = max((a.weight_gained for a in actions), default=0.0)
    for (extra,) in combinations([i for i in IDS if i not in ready], 1):
        assert weight_met(plan, [*ready, extra], working) - now <= best + 1e-12


def line_plan() -> tuple[Plan, list[tuple[SiteId, SiteId]]]:
    """A - B - C - E with D as a detour for C."""
    a, b, c, d, e, _ = IDS
    return plan_of([(a, e, 1), (a, b, 2)]), [(a, b), (b, c), (c, e), (b, d), (d, e)]


def test_a_site_with_a_detour_is_no_weak_spot():
    plan, working = line_plan()
    network = assess_network(plan, IDS, working)
    assert [spot.site_id for spot in network.weak_spots] == [IDS[1]]
    assert network.served_fraction == 1.0


def test_served_fraction_weighs_by_priority():
    # by hand: needs of weight 1 and 1/2; only the second is met: 0.5 / 1.5
    plan, working = line_plan()
    network = assess_network(plan, IDS[:2], working)
    assert network.served_fraction == pytest.approx(1 / 3)
    assert network.next_actions[0].site_ids == (IDS[2], IDS[4])
    assert assess_network(replace(plan, needs=()), IDS, working).served_fraction is None


def test_a_ready_site_that_reaches_no_gateway_is_cut_off():
    plan, working = line_plan()
    assert assess_network(plan, [IDS[0], IDS[2], IDS[4]], working).cut_off == (IDS[2], IDS[4])


def test_needs_are_counted_for_each_day():
    plan, working = line_plan()
    days = [IDS, IDS[:2], []]
    assert assess_network(plan, IDS, working, days).met_by_day == (2, 1, 0)


def test_a_route_over_a_link_of_unknown_odds_has_unknown_odds():
    plan = plan_of([(IDS[4], IDS[0], 1)])
    working = [(IDS[4], IDS[1]), (IDS[1], IDS[0])]
    (need,) = assess_network(plan, IDS, working).needs
    assert need.is_met
    assert need.probability is None


def test_each_day_says_who_is_up_cut_off_and_served():
    plan, working = line_plan()
    a, b, c, _, e, _ = IDS
    first, second, third = assess_network(
        plan, IDS, working, [[a, b, c, e], [a, b, e], [c, e]]
    ).days
    assert (first.up, first.cut_off, first.met) == ((a, b, c, e), (), (True, True))
    assert (second.cut_off, second.met) == ((e,), (False, True))
    assert (third.cut_off, third.met) == ((c, e), (False, False))


def test_a_site_of_unknown_endurance_makes_the_days_a_least():
    plan, working = line_plan()
    known = assess_network(plan, IDS, working, [IDS[:2]], power_unknown=IDS[2:])
    assert known.power_unknown == tuple(IDS[2:])
    assert [day.needs_met for day in known.days] == [1]
    assert known.met_by_day == ()  # the exact count is not known


@given(working=pairs, wanted=needs, ready=st.lists(ends, unique=True))
def test_cut_off_is_who_networkx_finds_no_gateway_for(working, wanted, ready):
    # independent implementation: networkx has_path over relays and the gateway
    plan = plan_of(wanted)
    graph = nx.Graph(working)
    graph.add_nodes_from(IDS)
    found = assess_network(plan, ready, working).cut_off
    for site_id in ready:
        passable = graph.subgraph({site_id, *((RELAYS | {IDS[0]}) & set(ready))})
        reaches = IDS[0] in passable and nx.has_path(passable, site_id, IDS[0])
        assert (site_id in found) == (not reaches)


@given(working=pairs, ready=st.lists(st.sampled_from(sorted(RELAYS)), unique=True))
def test_weak_spots_are_the_articulation_points_of_networkx(working, ready):
    # independent implementation: networkx articulation_points of the graph of ready sites,
    # for a need between two sites that the point parts
    plan = plan_of([(IDS[4], IDS[0], 1)])
    built = {*ready, IDS[0], IDS[4]}
    graph = nx.Graph([p for p in working if set(p) <= built])
    graph.add_nodes_from(built)
    spots = {spot.site_id for spot in assess_network(plan, sorted(built), working).weak_spots}
    cuts = set(nx.articulation_points(graph)) if nx.has_path(graph, IDS[0], IDS[4]) else set()
    for point in built - {IDS[0], IDS[4]}:
        rest = graph.subgraph(built - {point})
        parts = point in cuts and not nx.has_path(rest, IDS[0], IDS[4])
        assert (point in spots) == parts
