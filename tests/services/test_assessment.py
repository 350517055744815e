"""The whole plan judged over drawn ground."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.plan import Fact, Permission
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.errors import JobCancelled
from guyline.services.assessment import Assessor
from guyline.services.job import Job
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites


def test_a_plan_of_which_everything_is_known_and_good_is_go():
    assessment = Assessor(DrawnTerrain()).assess(three_sites())
    bad = [f for s in assessment.sites for f in s.findings if f.verdict is not Verdict.GO]
    assert bad == []
    assert assessment.verdict is Verdict.GO
    assert assessment.needs[0].is_met
    assert assessment.needs[0].route == (SHED, HILL, HALL)


def test_a_relay_that_is_no_go_takes_the_need_behind_it_down():
    plan = three_sites()
    refused = replace(plan.site(HILL), permission=Permission(is_granted=Fact.NO))
    assessment = Assessor(DrawnTerrain()).assess(plan.with_site(refused))
    assert assessment.site(HILL).verdict is Verdict.NO_GO
    waiting = {f.code: f.verdict for f in assessment.site(SHED).findings}
    assert waiting[FindingCode.REACH] is Verdict.CONDITIONS
    assert not assessment.needs[0].is_met
    assert assessment.worst_first[0].site_id == HILL


def test_outside_the_terrain_data_nothing_is_go():
    terrain = DrawnTerrain(lambda lat, lon: np.full(np.shape(lat), np.nan))
    assessment = Assessor(terrain).assess(three_sites())
    assert {s.verdict for s in assessment.sites} == {Verdict.NOT_ASSESSED}
    assert not assessment.needs[0].is_met


def test_an_empty_plan_is_not_assessed():
    assessment = Assessor(DrawnTerrain()).assess(
        replace(three_sites(), sites=(), links=(), needs=())
    )
    assert assessment.verdict is Verdict.NOT_ASSESSED


def test_findings_stand_worst_first():
    plan = three_sites()
    site = plan.site(HILL)
    worse = replace(site, permission=Permission(is_granted=Fact.NO), checklist=())
    findings = Assessor(DrawnTerrain()).assess(plan.with_site(worse)).site(HILL).findings
    verdicts = [f.verdict for f in findings]
    assert verdicts[:2] == [Verdict.NO_GO, Verdict.NOT_ASSESSED]
    assert verdicts[2:] == sorted(verdicts[2:], key=lambda v: v is Verdict.GO)


def test_changing_an_antenna_height_samples_no_terrain_again():
    terrain, plan = DrawnTerrain(), three_sites()
    assessor = Assessor(terrain)
    before = assessor.assess(plan)
    made = terrain.profiles_made
    after = assessor.assess(plan.with_site(replace(plan.site(HILL), antenna_agl_m=3.0)))
    assert terrain.profiles_made == made
    assert after.links[0].margin_db != before.links[0].margin_db


def test_a_cancelled_assessment_stops():
    job = Job()
    job.cancel()
    with pytest.raises(JobCancelled):
        Assessor(DrawnTerrain()).assess(three_sites(), job)


def test_a_missing_position_leaves_the_others_judged():
    plan = three_sites()
    lost = replace(plan.site(SHED), position=None)
    assessment = Assessor(DrawnTerrain()).assess(plan.with_site(lost))
    assert assessment.site(SHED).verdict is Verdict.NOT_ASSESSED
    assert assessment.site(HALL).verdict is Verdict.GO
    codes = {f.code for f in assessment.site(HILL).findings}
    assert FindingCode.LINK_INPUTS in codes  # the hill cannot prove its link to the shed
