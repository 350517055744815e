"""The distance to keep from an antenna, with its working."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Antenna, Feeder, Plan, Radio, Site, SiteId
from guyline.core.readiness.exposure_checks import exposure_findings
from guyline.core.readiness.finding import Verdict
from guyline.services.wording import sentence

SITE = Site(
    site_id=SiteId("A"),
    radio=Radio(tx_power_dbm=27.0),
    feeder=Feeder(length_m=0.0, joints=0),
    antenna=Antenna(gain_dbi=2.15),
)


def test_half_a_watt_asks_for_half_a_metre_and_shows_every_rule() -> None:
    # Rederived, trade table 4.7: 29.15 dBm EIRP at 869.5 MHz: ICNIRP 0.196 m, FCC 0.170 m with
    # the ground's reflection, exempt from 0.212 m; 1.5 times the greatest is 0.32 m
    (found,) = exposure_findings(Plan(), SITE)
    assert found.verdict is Verdict.GO
    assert found.value == 0.5
    assert sentence(found) == "Keep 0.5 m from the antenna while it transmits."
    by_name = {quantity.name: quantity.value for quantity in found.working.inputs}
    icnirp = by_name["distance by ICNIRP 2020, general public, whole body"]
    assert icnirp == pytest.approx(0.196, abs=0.0006)
    assert by_name["distance by 47 CFR 1.1310, uncontrolled"] == pytest.approx(0.170, abs=0.0006)
    exempt = by_name["distance from which no evaluation is asked for"]
    assert exempt == pytest.approx(0.212, abs=0.0006)


def test_unknown_power_or_a_frequency_without_limits_says_nothing() -> None:
    assert exposure_findings(Plan(), replace(SITE, radio=Radio())) == ()
    far = replace(Plan().radio_profile, frequency_hz=2.4e9)
    assert exposure_findings(Plan(radio_profile=far), SITE) == ()
