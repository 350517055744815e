"""Whatever is entered of a site, its power is answered, or what is missing is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import stories
from guyline.core.plan import (
    Battery,
    Chemistry,
    Fact,
    Generator,
    Incident,
    Obstacle,
    Panel,
    Plan,
    PowerSource,
    PowerSystem,
    Site,
    SiteId,
)
from guyline.core.power.cure_changes import apply_cure
from guyline.core.power.handling import handling_of
from guyline.core.power.rounds import visit_rounds
from guyline.core.power.wiring import wiring_of
from guyline.core.readiness.finding import Verdict
from guyline.core.readiness.power_checks import power_findings
from guyline.services.commissioning import expected_readings
from guyline.services.site_power import SitePower
from guyline.services.wording.power import SENTENCES
from guyline.services.wording.power_facts import power_facts
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


def _obstacle() -> st.SearchStrategy[Obstacle]:
    angle = st.floats(0.0, 360.0)
    return st.builds(
        Obstacle,
        from_azimuth_deg=angle,
        to_azimuth_deg=angle,
        elevation_deg=st.floats(0.0, 90.0),
        pass_fraction=st.none() | st.floats(0.0, 1.0),
    )


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.sampled_from([s for s in PowerSource if s is not PowerSource.UNKNOWN]),
    st.builds(
        Battery,
        chemistry=st.sampled_from(list(Chemistry)),
        capacity_wh=st.floats(0.0, 2000.0),
        nominal_v=st.none() | st.floats(1.0, 60.0),
        charge_fraction=st.floats(0.0, 1.0),
        is_power_bank=st.booleans(),
        is_tested=st.just(Fact.YES),
        low_voltage_disconnect_v=st.none() | st.floats(0.0, 60.0),
        reconnect_v=st.none() | st.floats(0.0, 60.0),
    ),
    st.none() | st.floats(0.0, 24.0),
    st.tuples(st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.floats(-40.0, 40.0)),
    st.lists(_obstacle(), max_size=3),
    st.floats(-60.0, 71.0),
)
def test_any_site_of_which_all_is_known_gets_a_chance_and_cures_that_hold(
    source, battery, mains_h, numbers, obstacles, lat_deg
):
    panel_w, charger_w, coldest_c = numbers
    power = replace(
        stories.solar(),
        source=source,
        battery=battery,
        panel=Panel(stc_w=panel_w, controller_quiescent_w=0.02),
        generator=Generator(rated_w=900.0, fuel_l=0.2, charger_w=charger_w),
        mains_hours_per_day=mains_h,
        mains_charger_w=charger_w,
        obstacles=tuple(obstacles),
        coldest_c=coldest_c,
    )
    site = stories.complete_site(SiteId("ANY"), lat_deg, 20.0, power=power)
    plan = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=10), sites=(site,))
    known = POWER.assess(plan, site, 0.0)
    assert known.missing == ()
    assert known.lacks_power is not None
    chances = [known.survival_probability, known.loss_of_load_probability, *known.alive_by_day]
    assert all(0.0 <= chance <= 1.0 for chance in chances if chance is not None)
    assert source is PowerSource.MAINS or known.survival_probability is not None
    found = power_findings(plan, site, known)
    assert all(SENTENCES[finding.code](finding).endswith(".") for finding in found)
    if known.lacks_power:
        assert Verdict.NO_GO in {finding.verdict for finding in found}
    for cure in known.cures:
        mended = apply_cure(site, cure)
        if mended is not None:
            assert POWER.assess(plan, mended, 0.0).lacks_power is False, cure
    assert all(value for _, value in power_facts(plan, site, known))
