"""Every two sites tried: the same answer as the link job gives, and symmetric."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from guyline import command_line
from guyline.core.plan import Link
from guyline.services.assessment import Assessor
from guyline.services.link_matrix import link_matrix
from guyline.services.opening import demo_copy, open_plan
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites


class SteppedTerrain(DrawnTerrain):
    """Drawn ground that takes the step it is asked for."""

    def profile(self, lat1, lon1, lat2, lon2, step_m=None):
        return super().profile(lat1, lon1, lat2, lon2)


def test_margin_of_a_pair_is_that_of_the_link_to_prove():
    plan = three_sites()
    matrix = link_matrix(plan, SteppedTerrain())
    link = Assessor(DrawnTerrain()).link(plan, Link(from_id=HALL, to_id=HILL))
    i, j = matrix.site_ids.index(HALL), matrix.site_ids.index(HILL)
    assert matrix.margin_db[i, j] == pytest.approx(link.margin_db, abs=1e-6)


def test_the_matrix_is_symmetric_and_a_site_is_no_neighbour_of_itself():
    matrix = link_matrix(three_sites(), SteppedTerrain())
    assert np.array_equal(matrix.margin_db, matrix.margin_db.T, equal_nan=True)
    assert np.isnan(np.diag(matrix.margin_db)).all()
    assert not matrix.hears.diagonal().any()


def test_pairs_that_are_no_link_to_prove_are_found_too():
    pairs = {(a, b) for a, b, _ in link_matrix(three_sites(), SteppedTerrain()).pairs()}
    assert (HALL, SHED) in pairs


def test_what_is_unknown_or_beyond_the_range_hears_nobody():
    plan = three_sites()
    lost = plan.with_site(replace(plan.site(SHED), antenna_agl_m=None))
    assert {SHED}.isdisjoint(
        site for pair in link_matrix(lost, SteppedTerrain()).pairs() for site in pair[:2]
    )
    near = link_matrix(plan, SteppedTerrain(), range_m=2000.0)
    assert {(a, b) for a, b, _ in near.pairs()} == {(HALL, HILL), (HILL, SHED)}


def test_the_command_lists_pairs_strongest_first(tmp_path, capsys):
    path = demo_copy(tmp_path)
    assert command_line.main(["pairs", str(path), "--json"]) == 0
    pairs = json.loads(capsys.readouterr().out)["pairs"]
    margins = [pair["margin_db"] for pair in pairs]
    assert margins == sorted(margins, reverse=True)
    opened = open_plan(path)
    assert all(pair["margin_db"] >= 10.0 for pair in pairs)
    assert {pair["from"] for pair in pairs} <= {site.site_id for site in opened.plan.sites}
