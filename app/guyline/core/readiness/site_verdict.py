"""Combines place, links, rules, power, kit and permission into the verdict of a site."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from guyline.core.network.effect import assess_network
from guyline.core.network.link import LinkAssessment
from guyline.core.network.readings import link_works
from guyline.core.network.traffic import PlanTraffic, plan_traffic
from guyline.core.plan import Antenna, Plan, Site, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.alike_checks import alike_findings
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.bench_checks import bench_findings
from guyline.core.readiness.bill_of_materials import bill_of_materials
from guyline.core.readiness.configuration import configuration
from guyline.core.readiness.equipment_checks import band_findings, equipment_findings
from guyline.core.readiness.exposure_checks import exposure_findings
from guyline.core.readiness.finding import Finding, Verdict, severity
from guyline.core.readiness.gate_checks import (
    asked_findings,
    recovery_findings,
    unowned_conditions,
)
from guyline.core.readiness.hazard_checks import AreaLook, hazard_findings
from guyline.core.readiness.kit_checks import kit_findings
from guyline.core.readiness.link_checks import link_findings
from guyline.core.readiness.network_checks import Pair, network_finding
from guyline.core.readiness.permission_checks import permission_findings
from guyline.core.readiness.place_checks import place_findings
from guyline.core.readiness.power_checks import power_findings
from guyline.core.readiness.rule_checks import rule_findings
from guyline.core.readiness.stock_checks import stock_findings
from guyline.core.readiness.supply_checks import supply_findings
from guyline.core.readiness.traffic_checks import traffic_findings
from guyline.core.readiness.wind_checks import wind_findings


def assess_site(
    plan: Plan,
    site: Site,
    links: Sequence[LinkAssessment],
    power: PowerAssessment,
    terrain_amsl_m: float | None,
    antennas: Mapping[str, Antenna] | None = None,
    areas: Sequence[AreaLook] = (),
) -> SiteAssessment:
    """Everything there is to say of a site by itself, findings worst first.

    Parameters
    ----------
    links : sequence of LinkAssessment
        Those that end at the site.
    terrain_amsl_m : float or None
        Height of the terrain data at the site, None where it has none.
    antennas : mapping of name to Antenna, optional
        What the catalogue has for the band, to be held beside the site's own.
    areas : sequence of AreaLook
        What the plan's maps of hazards say of the site.
    """
    findings = (
        *link_findings(plan, site, links),
        *band_findings(plan, site),
        *equipment_findings(plan, site, links, antennas or {}),
        *power_findings(plan, site, power),
        *supply_findings(site),
        *permission_findings(plan, site),
        *kit_findings(plan, site),
        *bench_findings(plan, site),
        *rule_findings(plan, site),
        *exposure_findings(plan, site),
        *place_findings(plan, site, terrain_amsl_m),
        *hazard_findings(site, areas),
        *wind_findings(site),
        *asked_findings(plan, site),
        *recovery_findings(site),
    )
    return SiteAssessment(
        site_id=site.site_id,
        findings=worst_first(findings),
        links=tuple(links),
        power=power,
        ground_amsl_m=site.ground_amsl_m if terrain_amsl_m is None else terrain_amsl_m,
    )


def worst_first(findings: Collection[Finding]) -> tuple[Finding, ...]:
    """Sort by verdict, then by how far the limit is missed in parts of the limit."""
    return tuple(sorted(findings, key=lambda f: (severity(f.verdict), _relative_margin(f))))


def _relative_margin(finding: Finding) -> float:
    if finding.margin is None or not finding.limit:
        return 0.0
    return finding.margin / abs(finding.limit)


UP_PROBABILITY = 0.5  # our choice: a site counts as up on a day while that is more likely than not


def combine(
    plan: Plan, sites: Sequence[SiteAssessment], links: Sequence[LinkAssessment]
) -> PlanAssessment:
    """Put the sites together and ask what the network can do if only the ready ones are built.

    Ready are GO and GO WITH CONDITIONS; a link works where its margin is kept, as it was read
    or else as computed.
    """
    working = [(k.link.from_id, k.link.to_id) for k in links if link_works(plan, k)]
    unproven = [(k.link.from_id, k.link.to_id) for k in links if link_works(plan, k) is None]
    traffic = plan_traffic(
        plan, working, links, plan.radio_rule.duty_fraction if plan.radio_rule else None
    )
    bill = bill_of_materials(plan)
    shared = _by_site((*alike_findings(plan), *stock_findings(plan, bill)))
    sites = [_with_shared(plan, s, traffic, shared.get(s.site_id, ())) for s in sites]
    alone = {s.site_id for s in sites if _is_ready(s)}
    judged = [_in_the_network(plan, s, alone - {s.site_id}, working, unproven) for s in sites]
    ready = [s for s in judged if _is_ready(s)]
    network = assess_network(
        plan,
        [s.site_id for s in ready],
        working,
        _up_by_day(ready),
        links,
        [s.site_id for s in ready if not _lasts_are_known(s)],
    )
    return PlanAssessment(
        plan=plan,
        sites=tuple(judged),
        links=tuple(links),
        network=network,
        traffic=traffic,
        bill=bill,
        configuration=configuration(plan, network.needs),
    )


def _by_site(findings: Iterable[Finding]) -> dict[SiteId, list[Finding]]:
    found: dict[SiteId, list[Finding]] = {}
    for finding in findings:
        found.setdefault(finding.site_id, []).append(finding)
    return found


def _with_shared(
    plan: Plan, assessed: SiteAssessment, traffic: PlanTraffic, shared: Iterable[Finding]
) -> SiteAssessment:
    """The site with what only shows when sites are held beside one another."""
    findings = traffic_findings(plan, plan.site(assessed.site_id), traffic)
    return replace(assessed, findings=(*assessed.findings, *findings, *shared))


def _is_ready(site: SiteAssessment) -> bool:
    return site.verdict in (Verdict.GO, Verdict.CONDITIONS)


def _in_the_network(
    plan: Plan,
    assessed: SiteAssessment,
    ready: Collection[SiteId],
    working: Sequence[Pair],
    unproven: Sequence[Pair],
) -> SiteAssessment:
    """The site with what can only be said once all the others are judged."""
    site = plan.site(assessed.site_id)
    findings = (*assessed.findings, network_finding(plan, site, ready, working, unproven))
    return replace(
        assessed, findings=worst_first((*findings, *unowned_conditions(site, findings)))
    )


def _up_by_day(ready: Sequence[SiteAssessment]) -> list[list[SiteId]]:
    """Ready sites that are likely up on each day, of those whose power is known."""
    known = [s for s in ready if _lasts_are_known(s)]
    return [
        [s.site_id for s in known if s.power.alive_by_day[day] >= UP_PROBABILITY]
        for day in range(min((len(s.power.alive_by_day) for s in known), default=0))
    ]


def _lasts_are_known(site: SiteAssessment) -> bool:
    days = site.power.alive_by_day
    return bool(days) and not any(map(math.isnan, days))
