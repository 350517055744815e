"""Band, bandwidth, density and dwell of an entered rule; power in its sense."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Antenna, Feeder, Plan, Radio, RadioProfile, RadioRule, Site, SiteId
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.rule_checks import rule_findings
from guyline.services.wording import sentence

RULE = RadioRule(
    name="a sub-band",
    limit_dbm=27.0,
    limit_kind="ERP",
    low_hz=869.4e6,
    high_hz=869.65e6,
    max_bandwidth_hz=250e3,
    max_dwell_s=0.4,
)
SITE = Site(
    site_id=SiteId("HILL"),
    radio=Radio(tx_power_dbm=14.0),
    antenna=Antenna(gain_dbi=2.15),
    feeder=Feeder(length_m=0.0, joints=0),
)


def limits(site: Site = SITE, rule: RadioRule = RULE, **profile: float) -> dict[str, Finding]:
    plan = Plan(radio_profile=replace(RadioProfile(), **profile), radio_rule=rule, sites=(site,))
    found = rule_findings(plan, site)
    return {f.quantity: f for f in found if f.code is FindingCode.RULE_LIMIT}


def test_signal_inside_the_band_is_go_and_says_confirm() -> None:
    found = limits()["reach beyond the band"]
    assert found.verdict is Verdict.GO
    assert sentence(found) == (
        "The signal lies inside the band of the rule (a sub-band); confirm with your regulator."
    )


def test_signal_outside_the_band_of_the_rule_is_no_go() -> None:
    found = limits(frequency_hz=868.1e6)["reach beyond the band"]
    assert found.verdict is Verdict.NO_GO
    assert found.value == pytest.approx(1300.0 + 62.5 + 8.681)


def test_bandwidth_and_length_of_a_packet_are_held_against_their_limits() -> None:
    wide = limits(bandwidth_hz=500e3)
    assert wide["bandwidth"].verdict is Verdict.NO_GO
    slow = limits(spreading_factor=12)
    assert slow["single transmission"].verdict is Verdict.NO_GO
    assert limits(spreading_factor=7)["single transmission"].verdict is Verdict.GO


def test_density_is_unknown_while_the_power_is() -> None:
    rule = replace(RULE, psd_limit_dbm=8.0, psd_bandwidth_hz=3e3)
    known = limits(rule=rule)["ERP power in 3 kHz"]
    unknown = limits(replace(SITE, radio=Radio()), rule)["ERP power in 3 kHz"]
    assert known.verdict is Verdict.GO
    assert unknown.verdict is Verdict.NOT_ASSESSED
    assert "unknown" in sentence(unknown)


def test_limit_that_is_not_entered_gives_no_finding() -> None:
    assert limits(rule=RadioRule(name="bare", limit_dbm=14.0, limit_kind="ERP")) == {}


def test_gain_above_the_allowance_counts_as_conducted_power() -> None:
    rule = RadioRule(
        name="hopping", limit_dbm=30.0, limit_kind="conducted", gain_allowance_dbi=6.0
    )
    site = replace(SITE, radio=Radio(tx_power_dbm=30.0), antenna=Antenna(gain_dbi=8.0))
    plan = Plan(radio_rule=rule, sites=(site,))
    power = rule_findings(plan, site)[0]
    assert power.value == pytest.approx(32.0)
    assert power.verdict is Verdict.NO_GO
    assert power.remedy is not None
    assert power.remedy.value == 28.0
