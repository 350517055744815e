"""What the network as a whole can do: needs met, what hangs on one site, what to mend first."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from guyline.core.network.link import LinkAssessment
from guyline.core.network.reach import (
    Neighbours,
    least_building_route,
    neighbours,
    shortest_route,
)
from guyline.core.plan import Need, Plan, SiteFunction, SiteId
from guyline.core.radio.spread import chain_probability

Pair = tuple[SiteId, SiteId]


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedAssessment:
    """Whether a need is met if only today's ready sites are built, and over which sites.

    `probability` is that all links of its route work, None where one of them is not known.
    """

    need: Need
    is_met: bool
    route: tuple[SiteId, ...] = ()
    probability: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeakSpot:
    """A site whose failure alone breaks needs that are met today."""

    site_id: SiteId
    needs_lost: tuple[Need, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextAction:
    """Sites to make ready together, and the needs that are met then and not today."""

    site_ids: tuple[SiteId, ...]
    needs_gained: tuple[Need, ...]

    @property
    def weight_gained(self) -> float:
        return sum(need_weight(need) for need in self.needs_gained)


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkDay:
    """The network at the end of one day of the mission.

    Attributes
    ----------
    up
        Ready sites that are likely still on the air.
    cut_off
        Those of them that reach no gateway that is up.
    met
        Whether each need is still met, in the plan's order.
    """

    up: tuple[SiteId, ...]
    cut_off: tuple[SiteId, ...]
    met: tuple[bool, ...]

    @property
    def needs_met(self) -> int:
        return sum(self.met)


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkAssessment:
    """The deployment as a network, if only the ready sites are built.

    Attributes
    ----------
    served_fraction
        Needs met, weighted by priority; None where no needs are entered. 0 to 1
    cut_off
        Ready sites that reach no ready gateway.
    weak_spots
        Largest loss first.
    next_actions
        Most needs gained first, fewer sites before more.
    days
        Who still reaches whom at the end of day 0, 1, ...; () where power is known of no site.
    power_unknown
        Ready sites of which nobody knows how long they last: they count as off the air, so the
        days tell the least that can be.
    """

    needs: tuple[NeedAssessment, ...] = ()
    served_fraction: float | None = None
    cut_off: tuple[SiteId, ...] = ()
    weak_spots: tuple[WeakSpot, ...] = ()
    next_actions: tuple[NextAction, ...] = ()
    days: tuple[NetworkDay, ...] = ()
    power_unknown: tuple[SiteId, ...] = ()

    @property
    def met_by_day(self) -> tuple[int, ...]:
        """Needs still met at the end of each day; () where power of any ready site is unknown."""
        return () if self.power_unknown else tuple(day.needs_met for day in self.days)


def need_weight(need: Need) -> float:
    """Weight of a need: 1, 1/2, 1/3 ... by priority; our choice."""
    return 1.0 / max(1, need.priority)


def met_needs(plan: Plan, heard: Neighbours) -> tuple[NeedAssessment, ...]:
    """Each need of the plan with its route over the sites that hear each other."""
    routes = [shortest_route(plan, heard, need.from_id, need.to_id) for need in plan.needs]
    return tuple(
        NeedAssessment(need=need, is_met=bool(route), route=route)
        for need, route in zip(plan.needs, routes, strict=True)
    )


def assess_network(
    plan: Plan,
    ready: Collection[SiteId],
    working: Collection[Pair],
    alive_by_day: Sequence[Collection[SiteId]] = (),
    links: Iterable[LinkAssessment] = (),
    power_unknown: Collection[SiteId] = (),
) -> NetworkAssessment:
    """Needs, weak spots and the next best action of a network.

    Parameters
    ----------
    ready : collection of SiteId
        Sites that would be built today.
    working : collection of pairs
        Links whose margin is kept, whether or not their ends are ready.
    alive_by_day : sequence of collections of SiteId
        Ready sites that are likely still on the air at the end of each day.
    links : iterable of LinkAssessment
        How likely each link works.
    power_unknown : collection of SiteId
        Ready sites that `alive_by_day` leaves out as nobody knows.
    """
    heard = neighbours(ready, working)
    needs = _with_probability(met_needs(plan, heard), links)
    whole = sum(need_weight(need) for need in plan.needs)
    served = sum(need_weight(known.need) for known in needs if known.is_met)
    return NetworkAssessment(
        needs=needs,
        served_fraction=served / whole if whole else None,
        cut_off=_cut_off(plan, heard),
        weak_spots=_weak_spots(plan, ready, working, needs),
        next_actions=_next_actions(plan, ready, working, needs),
        days=_days(plan, alive_by_day, working),
        power_unknown=tuple(power_unknown),
    )


def _days(
    plan: Plan, alive_by_day: Sequence[Collection[SiteId]], working: Collection[Pair]
) -> tuple[NetworkDay, ...]:
    seen: dict[frozenset[SiteId], NetworkDay] = {}  # most days look like the day before
    days = []
    for alive in alive_by_day:
        up = frozenset(alive)
        if up not in seen:
            heard = neighbours(up, working)
            seen[up] = NetworkDay(
                up=tuple(s.site_id for s in plan.sites if s.site_id in up),
                cut_off=_cut_off(plan, heard),
                met=tuple(known.is_met for known in met_needs(plan, heard)),
            )
        days.append(seen[up])
    return tuple(days)


def _with_probability(
    needs: Iterable[NeedAssessment], links: Iterable[LinkAssessment]
) -> tuple[NeedAssessment, ...]:
    by_pair = {link.link.ends: link.probability for link in links}

    def probability(route: tuple[SiteId, ...]) -> float | None:
        hops = [by_pair.get(frozenset(pair)) for pair in pairwise(route)]
        known = [hop for hop in hops if hop is not None]
        return chain_probability(known) if hops and len(known) == len(hops) else None

    return tuple(replace(known, probability=probability(known.route)) for known in needs)


def _cut_off(plan: Plan, heard: Neighbours) -> tuple[SiteId, ...]:
    gateways = [
        s.site_id for s in plan.sites if s.function is SiteFunction.GATEWAY and s.site_id in heard
    ]
    return tuple(
        s.site_id
        for s in plan.sites
        if s.site_id in heard
        and not any(
            s.site_id == gateway or shortest_route(plan, heard, s.site_id, gateway)
            for gateway in gateways
        )
    )


def _weak_spots(
    plan: Plan,
    ready: Collection[SiteId],
    working: Collection[Pair],
    needs: Iterable[NeedAssessment],
) -> tuple[WeakSpot, ...]:
    """Sites on the way whose failure no detour makes good; ends of a need do not count."""
    met = [known for known in needs if known.is_met]
    on_the_way = {site_id for known in met for site_id in known.route[1:-1]}
    spots = []
    for site_id in on_the_way:
        heard = neighbours([r for r in ready if r != site_id], working)
        lost = tuple(
            known.need
            for known in met
            if site_id not in (known.need.from_id, known.need.to_id)
            and not shortest_route(plan, heard, known.need.from_id, known.need.to_id)
        )
        if lost:
            spots.append(WeakSpot(site_id=site_id, needs_lost=lost))
    return tuple(sorted(spots, key=lambda s: (-sum(map(need_weight, s.needs_lost)), s.site_id)))


def _next_actions(
    plan: Plan,
    ready: Collection[SiteId],
    working: Collection[Pair],
    needs: Iterable[NeedAssessment],
) -> tuple[NextAction, ...]:
    """For each unmet need, the fewest sites to make ready; equal sets are put together."""
    unmet = [known.need for known in needs if not known.is_met]
    everybody = neighbours([s.site_id for s in plan.sites], working)
    wanted = {
        frozenset(site_id for site_id in route if site_id not in ready)
        for need in unmet
        if (route := least_building_route(plan, everybody, need.from_id, need.to_id, ready))
    }
    actions = []
    for site_ids in wanted:
        heard = neighbours([*ready, *site_ids], working)
        gained = tuple(n for n in unmet if shortest_route(plan, heard, n.from_id, n.to_id))
        actions.append(NextAction(site_ids=tuple(sorted(site_ids)), needs_gained=gained))
    return tuple(sorted(actions, key=lambda a: (-a.weight_gained, len(a.site_ids), a.site_ids)))
