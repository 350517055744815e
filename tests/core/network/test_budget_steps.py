"""The steps of a budget lead from transmit power to received level."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.network.budget_steps import budget_steps
from guyline.core.plan import Feeder, Polarisation, Roof, Surroundings
from guyline.services.assessment import Assessor
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites


@pytest.mark.parametrize("forward", [True, False])
def test_the_last_level_is_what_the_listener_receives(forward):
    plan = three_sites()
    hill = plan.site(HILL)
    plan = plan.with_site(
        replace(
            hill,
            antenna_agl_m=3.0,
            antenna=replace(hill.antenna, polarisation=Polarisation.HORIZONTAL),
            feeder=Feeder(length_m=10.0, k1_db_per_100ft=0.45, k2_db_per_100ft=0.008),
            surroundings=Surroundings.SUBURB,
            roof=Roof.ORDINARY,
        )
    )
    link = Assessor(DrawnTerrain()).assess(plan).links[0]
    assert link.budget is not None
    way = link.budget.forward if forward else link.budget.backward
    steps = budget_steps(link, forward=forward)
    assert steps[0].level_dbm == way.tx_power_dbm
    assert steps[-1].level_dbm == pytest.approx(way.received_dbm, abs=0.3)
    assert {"Crossed polarisation", "Suburb around", "In an ordinary building"} <= {
        step.name for step in steps
    }


def test_an_unknown_budget_has_no_steps():
    plan = three_sites()
    lost = plan.with_site(replace(plan.site(SHED), position=None))
    links = {link.link.ends: link for link in Assessor(DrawnTerrain()).assess(lost).links}
    assert budget_steps(links[frozenset((HILL, SHED))], forward=True) == ()
    assert budget_steps(links[frozenset((HALL, HILL))], forward=True)
