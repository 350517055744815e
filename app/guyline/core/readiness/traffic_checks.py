"""What the needs make a site send, against what was entered and what the rule gives."""

from __future__ import annotations

from guyline.core.network.traffic import PlanTraffic, SiteTraffic
from guyline.core.plan import Gate, Plan, RadioRule, Site
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

HOUR_S = 3600.0


def traffic_findings(plan: Plan, site: Site, traffic: PlanTraffic) -> tuple[Finding, ...]:
    """Findings about the traffic that passes over a site; none where none does.

    Parameters
    ----------
    traffic : PlanTraffic
        Of the whole plan, over all links that work.
    """
    sent = traffic.site(site.site_id)
    if sent.packets_per_hour == 0.0:
        return ()
    rule = plan.radio_rule
    travel = f"needs of the plan, {plan.radio_profile.relaying}"
    has_duty = rule is not None and rule.duty_fraction is not None
    busy = (_busy_hour(site, sent, rule, travel),) if has_duty and rule is not None else ()
    return (*_entered(site, sent, travel), *busy)


def _entered(site: Site, sent: SiteTraffic, travel: str) -> tuple[Finding, ...]:
    entered = site.packets_per_hour
    if entered is None:
        return ()
    enough = sent.packets_per_hour <= entered
    return (
        Finding(
            code=FindingCode.ROUTED_TRAFFIC,
            gate=Gate.NETWORK,
            site_id=site.site_id,
            verdict=Verdict.GO if enough else Verdict.CONDITIONS,
            quantity="packets an hour from the needs",
            value=sent.packets_per_hour,
            limit=entered,
            unit="1/h",
            comparison=Comparison.AT_MOST,
            evidence=travel,
            working=Working(
                formula="packets of every need that this site sends or sends on, both directions",
                inputs=(
                    Quantity(name="routed", value=sent.packets_per_hour, unit="1/h"),
                    Quantity(
                        name="entered for the site", value=entered, unit="1/h", source="plan"
                    ),
                ),
                source="plan",
            ),
            remedy=None
            if enough
            else Remedy(
                action=RemedyAction.ENTER,
                site_id=site.site_id,
                what=f"at least {sent.packets_per_hour:.0f} packets an hour for this site,"
                " as power and duty cycle count with them",
            ),
        ),
    )


def _busy_hour(site: Site, sent: SiteTraffic, rule: RadioRule, travel: str) -> Finding:
    assert rule.duty_fraction is not None
    limit = HOUR_S * rule.duty_fraction
    over = sent.busy_hour_s > limit
    return Finding(
        code=FindingCode.BUSY_HOUR,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=Verdict.NO_GO if over else Verdict.GO,
        quantity="airtime in the busiest hour of a day, with relaying",
        value=sent.busy_hour_s,
        limit=limit,
        unit="s",
        comparison=Comparison.AT_MOST,
        facts=(("rule", rule.name),),
        evidence=travel,
        evidence_on=rule.checked_on,
        working=Working(
            formula=(
                "most packets in any 60 minutes of a day (99 % of days, Poisson scan statistic)"
                " x mean time on air"
            ),
            inputs=(
                Quantity(name="packets an hour", value=sent.packets_per_hour, unit="1/h"),
                Quantity(name="mean airtime an hour", value=sent.airtime_s_per_hour, unit="s"),
                Quantity(name="limit", value=limit, unit="s", source=rule.source),
            ),
            source=f"{rule.source}; scan statistic of a Poisson process after Alm 1983",
            confidence=f"{rule.confidence or 'not stated'}; confirm with your regulator",
        ),
        remedy=Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what="a second relay, a faster radio profile, or fewer messages over this site",
        )
        if over
        else None,
    )
