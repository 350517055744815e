"""Either way of a handheld's link is its own budget over the same path."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.network.coverage import combine_coverage, site_coverage
from guyline.core.network.coverage_directions import areas_by_way_km2, directions_of
from guyline.core.plan import Plan
from guyline.core.radio.link_budget import required_snr_db, sensitivity_dbm
from guyline.core.terrain.grid import Grid
from stories import HALL, HILL, three_sites

CELLS, CELL_M = 41, 50.0


def ground() -> Grid:
    y, x = np.mgrid[0:CELLS, 0:CELLS]
    heights = 60.0 + 40.0 * np.sin(x / 9.0) + 25.0 * np.cos(y / 7.0)
    heights[:3, :3] = np.nan
    return Grid(
        ground_amsl_m=heights.astype(np.float32),
        cell_m=CELL_M,
        west_m=-CELLS * CELL_M / 2,
        north_m=CELLS * CELL_M / 2,
        lat0_deg=-45.0,
        lon0_deg=-30.0,
    )


def story(held_dbm: float) -> Plan:
    plan = three_sites()
    return replace(plan, handheld=replace(plan.handheld, tx_power_dbm=held_dbm))


def swept(plan: Plan):
    grid = ground()
    parts = [
        site_coverage(plan, plan.site(site_id), grid, place, 1_200.0)
        for site_id, place in ((HALL, (-300.0, 0.0)), (HILL, (400.0, 200.0)))
    ]
    return combine_coverage(grid, parts, 10.0)


@pytest.mark.parametrize("held_dbm", [5.0, 14.0, 27.0])
def test_the_ways_differ_by_power_and_sensitivity_and_the_weaker_is_the_margin(held_dbm):
    # rederived: out - back = (P_site - S_held) - (P_held - S_site), all else is shared
    plan = story(held_dbm)
    coverage = swept(plan)
    ways = directions_of(plan, coverage)
    known = np.isfinite(coverage.margin_db)
    weaker = np.minimum(ways.out_db, ways.back_db)
    assert np.allclose(weaker[known], coverage.margin_db[known], atol=1e-4)
    profile, snr = plan.radio_profile, required_snr_db(plan.radio_profile.spreading_factor)
    held = sensitivity_dbm(profile.bandwidth_hz, plan.handheld.noise_figure_db, snr)
    for n, site_id in enumerate(coverage.site_ids):
        radio = plan.site(site_id).radio
        own = sensitivity_dbm(profile.bandwidth_hz, radio.noise_figure_db, snr)
        apart = (radio.tx_power_dbm - held) - (held_dbm - own)
        cells = coverage.server == n
        assert cells.any()
        assert np.allclose((ways.out_db - ways.back_db)[cells], apart, atol=1e-4)


def test_a_louder_handheld_changes_what_comes_back_and_not_what_it_receives():
    quiet, loud = story(5.0), story(8.0)
    before, after = (directions_of(p, swept(p)) for p in (quiet, loud))
    same = swept(quiet).server == swept(loud).server
    known = same & np.isfinite(before.received_dbm)
    assert known.sum() > 500
    assert np.allclose(after.received_dbm[known], before.received_dbm[known], atol=1e-4)
    assert np.allclose((after.back_db - before.back_db)[known], 3.0, atol=1e-4)


def test_the_area_of_either_way_is_no_less_than_that_of_both_and_the_weaker_is_equal():
    # law: where one way is the weaker for every server, service is that way's alone
    plan = story(2.0)
    coverage = swept(plan)
    out_km2, back_km2 = areas_by_way_km2(plan, coverage)
    assert back_km2 == coverage.area_served_km2
    assert out_km2 >= back_km2
    loud = story(30.0)
    heard = swept(loud)
    out_km2, back_km2 = areas_by_way_km2(loud, heard)
    assert out_km2 == heard.area_served_km2
    assert back_km2 >= out_km2


def test_where_nothing_is_known_neither_way_is():
    plan = story(14.0)
    ways = directions_of(plan, swept(plan))
    for values in (ways.out_db, ways.back_db, ways.received_dbm):
        assert np.isnan(values[:3, :3]).all()
