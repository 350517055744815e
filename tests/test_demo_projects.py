"""The demo plan is what its scripts make, and shows what it is there to show."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pytest
import rasterio

from guyline.core.plan import Gate, PowerSource, SiteFunction, SiteId
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.plan_files import load_plan

DEMO = Path(__file__).parents[1] / "demo_projects" / "ullerby_sound"
PLAN = DEMO / "ullerby_sound.plan.json"


@pytest.fixture(scope="module")
def plan():
    return load_plan(PLAN)


@pytest.fixture(scope="module")
def assessment(plan):
    return Assessor(Terrain.open(plan.terrain_sources, DEMO)).assess(plan)


def test_the_plan_file_is_what_its_script_makes(plan):
    assert runpy.run_path(str(DEMO / "make_plan.py"))["plan"]() == plan


def test_the_ground_is_what_its_script_makes():
    made = runpy.run_path(str(DEMO / "make_terrain.py"))["terrain"]()
    with rasterio.open(DEMO / "terrain.tif") as raster:
        kept = raster.read(1)
    # rounded to 0.1 m; another mathematics library may turn a few roundings, or a river's bend
    assert np.mean(np.abs(made - kept) <= 0.11) > 0.99


def test_the_ground_is_small_and_believable():
    assert (DEMO / "terrain.tif").stat().st_size < 1_500_000
    with rasterio.open(DEMO / "terrain.tif") as raster:
        heights = raster.read(1)
    is_sea = heights == 0.0
    assert 0.3 < is_sea.mean() < 0.6
    assert heights.min() == 0.0
    assert 500.0 < heights.max() < 800.0
    assert np.percentile(np.hypot(*np.gradient(heights, 30.0))[~is_sea], 99) < 1.2


def test_all_four_verdicts_occur_and_two_sites_are_go(assessment):
    verdicts = [site.verdict for site in assessment.sites]
    assert set(verdicts) == set(Verdict)
    assert verdicts.count(Verdict.GO) >= 2


def test_each_site_shows_what_its_story_says(assessment):
    def worst(name):
        return assessment.site(SiteId(name)).first_blocker

    assert worst("HOLLOW").code is FindingCode.LINK_MARGIN
    assert worst("SKARN").gate is Gate.POWER
    assert worst("CRANE").code is FindingCode.PERMISSION
    assert assessment.site(SiteId("STELL")).verdict is Verdict.NOT_ASSESSED
    assert SiteId("SKARN") in [s.site_id for s in assessment.sites_lacking_power]


def test_a_jack_meets_a_jack_a_beam_passes_over_the_town_and_needs_have_traffic(assessment):
    def found(name, code):
        return next(f for f in assessment.site(SiteId(name)).findings if f.code is code)

    assert found("SKARN", FindingCode.CONNECTORS).fact("lacking") == "N plug to N plug"
    beam = found("KITE", FindingCode.ANTENNA_BEAM)
    assert beam.verdict is Verdict.CONDITIONS
    assert beam.fact("below") == "yes"
    assert assessment.traffic.capacity.factor > 1.0
    assert all(assessment.site(SiteId(s)).verdict is Verdict.GO for s in ("TOWN", "PORT", "HOB"))


def test_relays_on_hilltops_have_clear_links_between_them(plan, assessment):
    relays = {s.site_id for s in plan.sites if s.function is SiteFunction.RELAY}
    between = [k for k in assessment.links if k.link.ends <= relays]
    assert len(between) == 3
    assert all(k.path.worst.clearance_ratio > 1.0 for k in between)


def test_the_kinds_of_site_are_those_that_planners_meet(plan):
    assert 8 <= len(plan.sites) <= 12
    assert {s.power.source for s in plan.sites} >= {
        PowerSource.MAINS,
        PowerSource.MAINS_WITH_BACKUP,
        PowerSource.SOLAR,
        PowerSource.BATTERY,
        PowerSource.UNKNOWN,
    }
    assert {s.function for s in plan.sites} == set(SiteFunction)


def test_telephone_numbers_are_plainly_invented(plan):
    numbers = [c.phone for s in plan.sites for c in s.contacts]
    numbers += [plan.incident.planner_phone, plan.incident.emergency_phone]
    assert all(number.startswith("000-01") for number in numbers)
