"""What is said of a site's power in figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import inf

import stories
from guyline.core.plan import Generator, Incident, Plan, PowerSource, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.services.wording.power_facts import power_facts

PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
SITE = stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=stories.solar())


def facts(known: PowerAssessment, site=SITE, plan=PLAN) -> dict[str, str]:
    return dict(power_facts(plan, site, known))


def known(source=PowerSource.SOLAR, **answers) -> PowerAssessment:
    return PowerAssessment(site_id=SITE.site_id, source=source, **answers)


def test_nothing_known_says_nothing():
    assert facts(known()) == {}


def test_the_first_outage_has_a_date_and_an_hour():
    # Rederived: 100 hours after 1 June 0 h is 5 June 4 h.
    assert facts(known(hours_to_outage=100.0))["First likely outage"] == (
        "after 4.2 days, 5 Jun about 04 h"
    )
    assert facts(known(hours_to_outage=inf))["First likely outage"] == "none in the mission"
    lost = Plan(incident=Incident(mission_days=14))
    assert facts(known(hours_to_outage=30.0), plan=lost)["First likely outage"] == "after 30 h"


def test_primary_cells_have_a_day_on_which_they_are_swapped():
    power = known(PowerSource.BATTERY, days_without_sun=6.3)
    # Rederived: 6.3 days over 1.25 are five whole days.
    assert facts(power)["Swap the battery"] == "by 6 Jun, then every 5 days"
    long = known(PowerSource.BATTERY, days_without_sun=30.9)
    assert facts(long)["Swap the battery"] == "not in the mission; empty by 1 Jul"
    short = known(PowerSource.BATTERY, days_without_sun=0.5)
    assert facts(short)["Swap the battery"] == "more than once a day"


def test_a_late_return_of_mains_is_said_both_ways():
    site = replace(SITE, power=replace(SITE.power, backup_hours_needed=48.0))
    source = PowerSource.MAINS_WITH_BACKUP
    late = known(source, backup_hours=60.0, late_return_hours=12.0)
    assert facts(late, site)["Mains may be late by"] == "12 h"
    soon = known(source, backup_hours=40.0, late_return_hours=-8.0)
    assert facts(soon, site)["Mains must be back"] == "8 h sooner than the 48 h planned"


def test_a_generator_says_its_hours_its_part_load_and_when_to_refuel():
    generator = Generator(rated_w=1000.0, fuel_l=5.0, charger_w=170.0)
    site = replace(SITE, power=replace(SITE.power, generator=generator))
    found = facts(
        known(
            PowerSource.GENERATOR,
            generator_hours_per_day=1.25,
            fuel_l_per_day=0.4,
            fuel_days=10.0,
        ),
        site,
    )
    # Rederived: 170 W out of a charger of 85 % are 200 W, a fifth of 1000 W; 10 / 1.25 = 8 days.
    assert found["Generator runs"] == "1.2 h a day at 20 % of its power"
    assert found["Fuel"] == "0.4 L a day, lasts 10.0 days"
    assert found["Refuel"] == "every 8 days, first by 9 Jun"
