"""Traffic routed over a site against what was entered and what the rule gives."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.network.traffic import plan_traffic
from guyline.core.plan import Need, Plan, RadioRule, Site, SiteFunction, SiteId
from guyline.core.radio.airtime import time_on_air_s
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.traffic_checks import traffic_findings
from guyline.services.wording import sentence

A, HUB, B = SiteId("A"), SiteId("HUB"), SiteId("B")
PAIRS = ((A, HUB), (HUB, B))
AIRTIME_S = time_on_air_s(40, 10, 125e3)
PLAN = Plan(
    radio_rule=RadioRule(name="a rule", limit_dbm=14.0, limit_kind="ERP", duty_fraction=0.01),
    sites=(
        Site(site_id=A, packets_per_hour=20.0),
        Site(site_id=HUB, function=SiteFunction.RELAY, packets_per_hour=20.0),
        Site(site_id=B, packets_per_hour=20.0),
    ),
    needs=(Need(from_id=A, to_id=B, packets_per_hour=20.0),),
)


def findings(plan: Plan, site_id: SiteId) -> dict[FindingCode, Finding]:
    traffic = plan_traffic(plan, PAIRS, ())
    return {f.code: f for f in traffic_findings(plan, plan.site(site_id), traffic)}


def test_relay_that_was_entered_too_low_is_a_condition() -> None:
    hub = findings(PLAN, HUB)[FindingCode.ROUTED_TRAFFIC]
    assert hub.verdict is Verdict.CONDITIONS
    assert (hub.value, hub.limit) == (40.0, 20.0)
    assert "40 packets an hour, but only 20 are entered" in sentence(hub)
    assert findings(PLAN, A)[FindingCode.ROUTED_TRAFFIC].verdict is Verdict.GO


def test_hub_is_over_the_duty_cycle_in_a_busy_hour_before_its_mean_is() -> None:
    # by hand: 10 packets of half a second more than the mean of 55 are not rare
    rate = 15.0 / AIRTIME_S  # either way, so the mean is 30 s
    need = replace(PLAN.needs[0], packets_per_hour=rate)
    hub = findings(replace(PLAN, needs=(need,)), HUB)[FindingCode.BUSY_HOUR]
    assert 2.0 * rate * AIRTIME_S < 36.0
    assert hub.value is not None
    assert hub.value > 36.0
    assert hub.verdict is Verdict.NO_GO
    assert "with what it relays, over the entered limit of 36 s" in sentence(hub)


@pytest.mark.parametrize("rule", [None, replace(PLAN.radio_rule, duty_fraction=None)])
def test_without_a_duty_cycle_no_airtime_is_judged(rule: RadioRule | None) -> None:
    assert FindingCode.BUSY_HOUR not in findings(replace(PLAN, radio_rule=rule), HUB)


def test_needs_without_traffic_and_sites_off_the_route_say_nothing() -> None:
    silent = replace(PLAN, needs=(Need(from_id=A, to_id=B),))
    assert findings(silent, HUB) == {}
    alone = PLAN.adding_site(Site(site_id=SiteId("LONE"), packets_per_hour=1.0))
    assert findings(alone, SiteId("LONE")) == {}
