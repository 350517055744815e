"""Does the site reach a gateway over links that work and sites that are ready?"""

from __future__ import annotations

from collections.abc import Collection

from guyline.core.network.reach import least_building_route, neighbours
from guyline.core.plan import Gate, Plan, Site, SiteFunction, SiteId
from guyline.core.readiness.finding import (
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

Pair = tuple[SiteId, SiteId]


def network_finding(
    plan: Plan,
    site: Site,
    ready: Collection[SiteId],
    working: Collection[Pair],
    unproven: Collection[Pair] = (),
) -> Finding:
    """Whether the site reaches a gateway; where the plan has none, any other site.

    Nothing is known of a site without a link to prove.

    Parameters
    ----------
    ready : collection of SiteId
        Sites without NO-GO and without unknown, this one left out of account.
    working : collection of pairs
        Links whose margin is kept.
    unproven : collection of pairs
        Links whose margin is unknown.
    """
    gateways = [s.site_id for s in plan.sites if s.function is SiteFunction.GATEWAY]
    goal = "a gateway" if gateways else "another site"
    route = _best_route(plan, site, gateways, {*ready, site.site_id}, working)
    waits_for = tuple(s for s in route if s not in ready and s != site.site_id)
    may_be = route or _best_route(plan, site, gateways, ready, [*working, *unproven])
    is_unknown = bool(may_be) or not plan.links_of(site.site_id)
    verdict = (
        Verdict.CONDITIONS
        if waits_for
        else Verdict.GO
        if route
        else Verdict.NOT_ASSESSED
        if is_unknown
        else Verdict.NO_GO
    )
    return Finding(
        code=FindingCode.REACH,
        gate=Gate.NETWORK,
        site_id=site.site_id,
        verdict=verdict,
        quantity="way to " + goal,
        facts=(
            ("goal", goal),
            ("route", " - ".join(may_be)),
            ("waits_for", ", ".join(waits_for)),
        ),
        evidence="computed over the links to prove",
        working=Working(
            formula="route over links with their margin and sites that are ready, within the"
            " hop limit",
            inputs=(
                Quantity(name="route", value=" - ".join(route) or None),
                Quantity(name="not ready on it", value=", ".join(waits_for) or "none"),
                Quantity(
                    name="hop limit",
                    value=None
                    if plan.radio_profile.hop_limit is None
                    else float(plan.radio_profile.hop_limit),
                    source="plan",
                ),
            ),
            source="plan and computed links",
        ),
        remedy=_remedy(site, goal, waits_for, bool(route)),
    )


def _best_route(
    plan: Plan,
    site: Site,
    gateways: Collection[SiteId],
    ready: Collection[SiteId],
    working: Collection[Pair],
) -> tuple[SiteId, ...]:
    """To a gateway; without any, to a neighbour: every way to another site begins with one."""
    if site.site_id in gateways:
        return (site.site_id,)
    heard = neighbours([s.site_id for s in plan.sites], working)
    goals = gateways or heard[site.site_id]
    routes = [
        route
        for goal in goals
        if (route := least_building_route(plan, heard, site.site_id, goal, ready))
    ]
    return min(
        routes,
        key=lambda route: (sum(s not in ready for s in route), len(route)),
        default=(),
    )


def _remedy(
    site: Site, goal: str, waits_for: tuple[SiteId, ...], has_route: bool
) -> Remedy | None:
    if waits_for:
        what = f"{', '.join(waits_for)} ready"
        return Remedy(action=RemedyAction.OBTAIN, site_id=site.site_id, what=what)
    if not has_route:
        what = f"a working link towards {goal}"
        return Remedy(action=RemedyAction.OBTAIN, site_id=site.site_id, what=what)
    return None
