"""What no budget can be made of leaves the link unknown; nothing keeps the rest from judgement."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.network.link import feeder_loss_of
from guyline.core.plan import Feeder, Plan, Site, SiteId
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.core.terrain.profile import Profile
from guyline.errors import InputError
from guyline.services.assessment import Assessor
from guyline.services.wording import sentence
from stories import HALL, HILL, SHED, DrawnTerrain, hall_to_hill, three_sites


def hill_changed(plan: Plan, **changed: object) -> Plan:
    return plan.with_site(replace(plan.site(HILL), **changed))


def test_two_sites_at_the_same_place_leave_their_link_unknown_and_the_others_judged() -> None:
    plan = three_sites()
    plan = hill_changed(plan, position=plan.site(HALL).position)
    assessed = Assessor(DrawnTerrain()).assess(plan)
    between, other = assessed.links
    assert between.budget is None
    assert other.budget is not None
    finding = next(f for f in assessed.site(HILL).findings if f.code is FindingCode.LINK_INPUTS)
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert "position (the same as HALL's)" in sentence(finding)
    assert FindingCode.LINK_MARGIN in {f.code for f in assessed.site(SHED).findings}


@pytest.mark.parametrize("lacking", ["k1_db_per_100ft", "k2_db_per_100ft"])
def test_cable_with_one_constant_unknown_has_no_loss_and_no_budget(lacking: str) -> None:
    plan = three_sites()
    feeder = replace(plan.site(HILL).feeder, length_m=5.0, **{lacking: None})
    plan = hill_changed(plan, feeder=feeder)
    assert feeder_loss_of(plan.site(HILL), 868e6) is None
    link = hall_to_hill(plan)
    assert link.budget is None
    assert (HILL, "feeder type") in link.missing


def test_antenna_on_the_radio_needs_no_kind_of_cable() -> None:
    # common practice, no source: 0.1 dB a joint
    site = Site(site_id=SiteId("A"), feeder=Feeder(length_m=0.0, joints=1))
    assert feeder_loss_of(site, 868e6) == pytest.approx(0.1)


@pytest.mark.parametrize(
    "plan",
    [
        hill_changed(three_sites(), antenna_agl_m=0.0),
        replace(three_sites(), earth_k=0.7),
    ],
    ids=["antenna on the ground", "Earth of k below 1"],
)
def test_outside_of_the_complete_p1812_the_planners_own_budget_stands_alone(plan: Plan) -> None:
    link = hall_to_hill(plan)
    assert link.p1812_loss_db is None
    assert link.model_difference_db is None
    assert link.budget is not None


def test_the_complete_p1812_knows_that_a_path_lies_over_the_sea() -> None:
    plan = three_sites()
    far = plan.site(HILL).position
    assert far is not None
    plan = hill_changed(plan, position=replace(far, lon_deg=far.lon_deg + 0.6))  # 47 km farther

    def over(ground_m: float) -> float | None:
        ground = DrawnTerrain(lambda lat, lon: np.full(np.shape(lat), ground_m))
        return hall_to_hill(plan, ground).p1812_loss_db

    sea, land = over(0.0), over(1.0)
    assert sea is not None
    assert land is not None
    assert sea < land  # by little, as ducts are rare against half of the time


def test_two_sites_nearer_than_the_data_have_a_budget_and_no_clearance_to_judge() -> None:
    class Coarse(DrawnTerrain):
        def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
            whole = super().profile(lat1, lon1, lat2, lon2)
            ends = [0, -1]
            return Profile(
                distance_m=whole.distance_m[ends],
                ground_amsl_m=whole.ground_amsl_m[ends],
                lat_deg=whole.lat_deg[ends],
                lon_deg=whole.lon_deg[ends],
                height_sd_m=whole.height_sd_m,
            )

    plan = three_sites()
    hall = plan.site(HALL).position
    assert hall is not None
    plan = hill_changed(plan, position=replace(hall, lon_deg=hall.lon_deg + 2e-4))  # 16 m
    codes = {
        f.code
        for f in Assessor(Coarse()).assess(plan).site(HILL).findings
        if f.far_id == HALL and f.verdict is Verdict.GO
    }
    assert {FindingCode.LINK_MARGIN, FindingCode.LINK_PROBABILITY} <= codes
    assert FindingCode.LINK_CLEARANCE not in codes
    assert FindingCode.LINK_TERRAIN not in codes


def test_a_path_too_long_to_sample_leaves_its_link_unknown_with_the_reason() -> None:
    class Endless(DrawnTerrain):
        def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
            if abs(lon2 - lon1) > 90.0:
                raise InputError("A path of 12000 km has too many samples.", advice="Check both.")
            return super().profile(lat1, lon1, lat2, lon2)

    plan = three_sites()
    shed = plan.site(SHED)
    assert shed.position is not None
    away = replace(shed, position=replace(shed.position, lon_deg=-shed.position.lon_deg + 100.0))
    near, far = Assessor(Endless()).assess(plan.with_site(away)).links
    assert near.budget is not None
    assert far.budget is None
    assert "too many samples" in far.missing[-1][1]
