"""Whatever is entered of a site, its power is answered, or what is missing is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from guyline.core.plan import (
    Battery,
    Generator,
    Incident,
    Panel,
    Plan,
    PowerSource,
    PowerSystem,
    Site,
)
from guyline.core.power.handling import handling_of
from guyline.core.power.rounds import visit_rounds
from guyline.core.power.wiring import wiring_of
from guyline.core.readiness.finding import Verdict
from guyline.core.readiness.power_checks import power_findings
from guyline.services.commissioning import expected_readings
from guyline.services.site_power import SitePower
from guyline.services.wording.power import SENTENCES
from strategies import drawn

POWER = SitePower()


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    drawn(Site),
    drawn(PowerSystem),
    st.tuples(drawn(Battery), drawn(Panel), drawn(Generator)),
    st.sampled_from(list(PowerSource)),
    st.integers(1, 40),
)
def test_any_site_gets_findings_with_sentences(site, power, parts, source, days):
    battery, panel, generator = parts
    power = replace(power, source=source, battery=battery, panel=panel, generator=generator)
    site = replace(site, power=power)
    incident = Incident(start_on=date(2031, 6, 1), mission_days=days)
    plan = Plan(incident=incident, sites=(site,))
    known = POWER.assess(plan, site, site.ground_amsl_m)
    found = power_findings(plan, site, known)
    assert all(SENTENCES[finding.code](finding) for finding in found)
    if known.missing:
        assert Verdict.NOT_ASSESSED in {finding.verdict for finding in found}
    if known.lacks_power is None:
        assert known.missing
    if known.lacks_power:
        assert Verdict.NO_GO in {finding.verdict for finding in found}
    visit_rounds([known], days)
    expected_readings(plan, site, site.ground_amsl_m)
    wiring_of(power, known.load_wh_per_day, power.coldest_c)
    handling_of(battery, power.coldest_c)
