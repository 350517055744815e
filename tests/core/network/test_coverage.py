"""Coverage over drawn ground: equal to the path of the link job, and right where it is known."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from guyline.core.network.cell_clutter import BandOnGrid, drawn_clutter_m
from guyline.core.network.coverage import (
    NO_SERVER,
    combine_coverage,
    handheld_clutter_db,
    server_answer,
    site_coverage,
)
from guyline.core.network.path import assess_path
from guyline.core.network.path_clutter import bare_ends_m, clutter_on_path_m
from guyline.core.plan import (
    Antenna,
    ClutterBand,
    Handheld,
    Pattern,
    Plan,
    Site,
    SiteId,
    Surroundings,
)
from guyline.core.radio.antenna import gain_toward_dbi
from guyline.core.radio.link_budget import required_snr_db, sensitivity_dbm
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from stories import HALL, HILL, three_sites

CELLS, CELL_M = 121, 50.0
SIDE_M = CELLS * CELL_M


def grid_of(heights: np.ndarray) -> Grid:
    return Grid(
        ground_amsl_m=heights.astype(np.float32),
        cell_m=CELL_M,
        west_m=-SIDE_M / 2,
        north_m=SIDE_M / 2,
        lat0_deg=-45.0,
        lon0_deg=-30.0,
    )


def flat() -> Grid:
    return grid_of(np.full((CELLS, CELLS), 20.0))


def rolling() -> Grid:
    y, x = np.mgrid[0:CELLS, 0:CELLS]
    return grid_of(60.0 + 40.0 * np.sin(x / 9.0) + 25.0 * np.cos(y / 7.0))


def margins(plan: Plan, grid: Grid, site_id=HALL, place=(0.0, 0.0)) -> np.ndarray:
    part = site_coverage(plan, plan.site(site_id), grid, place, SIDE_M)
    return combine_coverage(grid, [part], 10.0).margin_db


@pytest.mark.parametrize("end", [(60, 110), (60, 12), (8, 60), (115, 60)])
def test_a_cell_has_the_margin_that_the_link_budget_gives_over_the_same_profile(end):
    # oracle: the path of the link job along the row or column of cells through the site
    plan, grid = three_sites(), rolling()
    hall, held = plan.site(HALL), plan.handheld
    row, col = end
    across = row == 60
    line = grid.ground_amsl_m[60, :] if across else grid.ground_amsl_m[:, 60]
    stop = col if across else row
    heights = line[60 : stop + 1] if stop > 60 else line[stop:61][::-1]
    distance = CELL_M * np.arange(len(heights))
    nowhere = np.zeros(len(heights))
    path = assess_path(
        Profile(distance, heights.astype(float), nowhere, nowhere),
        hall.antenna_agl_m,
        held.antenna_agl_m,
        plan.radio_profile.frequency_hz,
    )
    rise = path.rx_amsl_m - path.tx_amsl_m - distance[-1] ** 2 / (2 * 4 / 3 * 6_371_000.0)
    up = np.degrees(np.arctan2(rise, distance[-1]))
    gain = float(gain_toward_dbi(Pattern.OMNI, 2.15, up))
    clutter = float(handheld_clutter_db(held, plan.radio_profile.frequency_hz, distance[-1]))
    snr = required_snr_db(10)
    out = 14.0 - 0.1 - sensitivity_dbm(125e3, held.noise_figure_db, snr)
    back = held.tx_power_dbm - 0.1 - sensitivity_dbm(125e3, 6.0, snr)
    shared = gain + held.gain_dbi - held.body_loss_db - clutter - path.loss_db
    assert margins(plan, grid)[row, col] == pytest.approx(min(out, back) + shared, abs=0.03)


@pytest.mark.parametrize("held", [Surroundings.OPEN, Surroundings.WOODLAND, Surroundings.TOWN])
@pytest.mark.parametrize("around", [Surroundings.BARE, Surroundings.WOODLAND])
def test_a_cell_has_the_loss_that_the_link_job_gives_over_the_same_trees(held, around):
    # oracle: the path of the link job along rows and columns of cells through the site, with
    # what stands there and the link job's own rule of where it counts
    wood = np.kron(np.random.default_rng(2).random((25, 25)) < 0.3, np.ones((5, 5)))
    wood = wood[:CELLS, :CELLS].astype(np.float32) * 15.0
    story = replace(three_sites(), handheld=Handheld(surroundings=held))
    hall = replace(story.site(HALL), surroundings=around, antenna_agl_m=9.0)
    plan, grid = story.with_site(hall), replace(rolling(), clutter_m=wood)
    handheld = Site(
        site_id=SiteId("handheld"),
        surroundings=held,
        antenna_agl_m=plan.handheld.antenna_agl_m,
    )
    bare = site_coverage(plan, hall, rolling(), (0.0, 0.0), SIDE_M).cells.values
    built = site_coverage(plan, hall, grid, (0.0, 0.0), SIDE_M).cells.values
    ends = [(60, c) for c in range(10, 120, 9)] + [(r, 60) for r in range(10, 120, 9)]
    taken = []
    for row, col in (end for end in ends if end != (60, 60)):
        rows = np.linspace(60, row, abs(row - 60) + abs(col - 60) + 1).astype(int)
        cols = np.linspace(60, col, len(rows)).astype(int)
        away = CELL_M * np.arange(len(rows))
        nowhere = np.zeros(len(rows))
        profile = Profile(
            away,
            grid.ground_amsl_m[rows, cols].astype(float),
            nowhere,
            nowhere,
            clutter_m=wood[rows, cols].astype(float),
        )
        clutter = clutter_on_path_m(profile, ())
        path = assess_path(
            profile,
            9.0,
            plan.handheld.antenna_agl_m,
            plan.radio_profile.frequency_hz,
            bare_ends_m=bare_ends_m(plan, hall, handheld, profile, clutter),
        )
        taken.append(float(bare[row, col] - built[row, col]))
        assert path.clutter_db is not None
        assert taken[-1] == pytest.approx(path.clutter_db, abs=0.01)
    assert max(taken) > 3.0


def test_what_is_drawn_counts_instead_of_the_map_and_nothing_where_trees_are_in_the_ground():
    flat_map = np.full((CELLS, CELLS), 10.0, dtype=np.float32)
    band = ClutterBand(
        from_lat_deg=0.0, from_lon_deg=0.0, to_lat_deg=0.0, to_lon_deg=0.0, half_width_m=120.0
    )
    rock = replace(band, height_m=0.0, half_width_m=60.0)

    def on_grid(band: ClutterBand, x_m: float) -> BandOnGrid:
        return BandOnGrid(band=band, from_x_m=-500.0, from_y_m=25.0, to_x_m=x_m, to_y_m=25.0)

    trees = np.zeros((CELLS, CELLS), dtype=bool)
    trees[:, 70:] = True
    grid = replace(flat(), clutter_m=flat_map, includes_trees=trees)
    assert drawn_clutter_m(grid, ()) is flat_map
    assert drawn_clutter_m(flat(), ()) is None
    found = drawn_clutter_m(grid, (on_grid(band, 1000.0), on_grid(rock, 200.0)))
    y, x = np.meshgrid(grid.y_m - 25.0, grid.x_m, indexing="ij")
    in_wood = np.hypot(x - np.clip(x, -500.0, 1000.0), y) <= 120.0
    expected = np.where(in_wood, 15.0, 10.0)  # the wood is the higher of the two bands
    expected[:, 70:] = 0.0
    assert np.array_equal(found, expected)
    alone = drawn_clutter_m(replace(flat(), clutter_m=flat_map), (on_grid(rock, 200.0),))
    in_rock = np.hypot(x - np.clip(x, -500.0, 200.0), y) <= 60.0
    assert np.array_equal(alone, np.where(in_rock, 0.0, 10.0))


def test_over_flat_ground_the_margin_falls_with_distance_alike_in_all_directions():
    found = margins(three_sites(), flat())
    east, west = found[60, 61:], found[60, 59::-1]
    north, south = found[59::-1, 60], found[61:, 60]
    assert np.all(np.diff(east[3:]) < 0)
    for other in (west, north, south):
        assert other == pytest.approx(east, abs=0.01)


def test_behind_a_wall_there_is_shadow_and_before_it_none():
    heights = np.full((CELLS, CELLS), 20.0)
    heights[:, 80] = 200.0
    free, walled = margins(three_sites(), flat()), margins(three_sites(), grid_of(heights))
    assert walled[60, 61:80] == pytest.approx(free[60, 61:80], abs=0.5)
    assert np.all(walled[60, 82:] < free[60, 82:] - 15.0)


def test_a_void_hides_what_lies_behind_and_is_no_cell():
    heights = np.full((CELLS, CELLS), 20.0)
    heights[:, 80] = np.nan
    found = margins(three_sites(), grid_of(heights))
    assert np.isnan(found[60, 80:]).all()
    assert np.isfinite(found[60, 61:80]).all()


def test_the_better_server_wins_each_cell_and_both_are_counted():
    plan, grid = three_sites(), flat()
    parts = [
        site_coverage(plan, plan.site(HALL), grid, (-1500.0, 0.0), SIDE_M),
        site_coverage(plan, plan.site(HILL), grid, (1500.0, 0.0), SIDE_M),
    ]
    both = combine_coverage(grid, parts, 10.0)
    assert both.site_ids == (HALL, HILL)
    assert both.server[60, 20] == 0
    assert both.server[60, 100] == 1
    alone = [combine_coverage(grid, [part], 10.0).margin_db for part in parts]
    assert both.margin_db == pytest.approx(np.fmax(*alone), nan_ok=True)
    expected = (alone[0] >= 10.0).astype(int) + (alone[1] >= 10.0)
    assert (both.servers == expected).all()


@pytest.mark.parametrize("every", [1, 3, 8])
@pytest.mark.parametrize("radius_m", [900.0, 2 * SIDE_M])
def test_every_cell_takes_the_best_of_the_coarse_cells_that_cover_it(every, radius_m):
    # rederived: cell by cell, from the elements of the parts whose block the cell lies in
    plan, grid = three_sites(), rolling()
    places = [(-1500.0, 420.0), (510.0, -330.0)]
    parts = [
        site_coverage(plan, plan.site(site), grid, place, radius_m, every=every)
        for site, place in zip((HALL, HILL), places, strict=True)
    ]
    both = combine_coverage(grid, parts, 10.0, every)
    seen = set()
    for row, col in np.ndindex(CELLS, CELLS):
        margin, sd = [np.nan, np.nan], [np.nan, np.nan]
        for n, part in enumerate(parts):
            i = (row - part.cells.first_row + every // 2) // every
            j = (col - part.cells.first_col + every // 2) // every
            if 0 <= i < part.sd_db.shape[0] and 0 <= j < part.sd_db.shape[1]:
                margin[n], sd[n] = float(part.cells.values[i, j]), float(part.sd_db[i, j])
        known = [n for n in (0, 1) if np.isfinite(margin[n])]
        best = max(known, key=lambda n: margin[n], default=None)
        seen.add(best)
        assert both.servers[row, col] == sum(margin[n] >= 10.0 for n in known)
        assert both.server[row, col] == (NO_SERVER if best is None else best)
        if best is not None:
            assert both.margin_db[row, col] == np.float32(margin[best])
            chance = NormalDist().cdf(margin[best] / sd[best])
            assert both.probability[row, col] == pytest.approx(chance, abs=1e-6)
        else:
            assert np.isnan(both.margin_db[row, col])
            assert np.isnan(both.probability[row, col])
    assert {0, 1} <= seen


def test_nobody_serves_where_nothing_is_known():
    grid = grid_of(np.full((CELLS, CELLS), 20.0))
    nothing = combine_coverage(grid, [], 10.0)
    assert (nothing.server == NO_SERVER).all()
    assert nothing.area_served_km2 == nothing.area_known_km2 == 0.0


def test_area_served_counts_cells():
    # by hand: flat ground, so the served area is a disc; its radius from the cells along a row
    plan, grid = three_sites(), flat()
    weak = replace(plan, handheld=replace(plan.handheld, body_loss_db=22.0))
    found = combine_coverage(
        grid, [site_coverage(weak, weak.site(HALL), grid, (0.0, 0.0), SIDE_M)], 10.0
    )
    reach_m = CELL_M * found.served[60, 61:].sum()
    assert 500.0 < reach_m < 2500.0
    assert found.area_served_km2 == pytest.approx(np.pi * reach_m**2 / 1e6, rel=0.08)


def test_a_sector_serves_before_it_and_not_behind():
    plan = three_sites()
    sector = Antenna(
        pattern=Pattern.SECTOR, gain_dbi=12.0, azimuth_deg=90.0, beamwidth_azimuth_deg=90.0
    )
    turned = plan.with_site(replace(plan.site(HALL), antenna=sector))
    found = margins(turned, flat())
    assert found[60, 100] > found[60, 20] + 12.0


def test_the_weaker_direction_counts():
    plan = three_sites()
    strong = replace(plan.site(HALL), radio=replace(plan.site(HALL).radio, tx_power_dbm=27.0))
    louder = server_answer(plan.with_site(strong), strong).constant_db
    quiet = server_answer(plan, plan.site(HALL)).constant_db
    # talking out would gain 13 dB; talking back stays at the handheld's 17 dBm and 6 dB receiver:
    # out 14 - S(7 dB), back 17 - S(6 dB) = 4 dB better
    assert louder - quiet == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"antenna_agl_m": None}, "antenna height"),
        ({"position": None}, "position"),
        ({"antenna": Antenna(pattern=Pattern.YAGI, gain_dbi=9.0)}, "antenna azimuth"),
    ],
)
def test_a_server_of_which_something_is_unknown_says_what(change, name):
    plan = three_sites()
    lacking = replace(plan.site(HALL), **change)
    assert name in server_answer(plan.with_site(lacking), lacking).missing


def test_a_handheld_on_bare_ground_pays_no_clutter():
    assert handheld_clutter_db(Handheld(surroundings=Surroundings.BARE), 868e6, 1e3) == 0.0
    # handbook value: P.2108-1 section 3.1, open country R = 10 m, h = 1.5 m, 868 MHz: 17.65 dB
    assert handheld_clutter_db(Handheld(), 868e6, 1e3) == pytest.approx(17.65, abs=0.01)


def test_a_handheld_in_a_town_pays_what_is_usual_for_its_distance():
    # rederived: P.2108-1 section 3.2 at 868 MHz, Ll = 2 * 12.193 dB,
    # Ls = 32.98 + 23.9 lg d_km - 0.184; no more than at 2 km, and its value at 250 m nearer by
    town = Handheld(surroundings=Surroundings.TOWN)
    found = handheld_clutter_db(town, 868e6, np.array([30.0, 250.0, 1000.0, 2000.0, 20_000.0]))
    far_roof = 32.98 + 23.9 * np.log10([0.25, 0.25, 1.0, 2.0, 2.0]) + 3.0 * np.log10(0.868)
    near_roof = -2.0 * np.log10(10.0 ** (-5.0 * np.log10(0.868) - 12.5) + 10.0**-16.5)
    both = -5.0 * np.log10(10.0 ** (-0.2 * near_roof) + 10.0 ** (-0.2 * far_roof))
    assert found == pytest.approx(both, abs=1e-9)


def test_a_town_changes_the_margin_of_every_cell_by_its_clutter():
    plan, grid = three_sites(), flat()
    bare = replace(plan, handheld=Handheld(surroundings=Surroundings.BARE))
    town = replace(plan, handheld=Handheld(surroundings=Surroundings.TOWN))
    taken = margins(bare, grid) - margins(town, grid)
    away = CELL_M * np.hypot(*np.meshgrid(np.arange(-60, 61), np.arange(-60, 61)))
    expected = handheld_clutter_db(town.handheld, plan.radio_profile.frequency_hz, away)
    known = np.isfinite(taken)
    assert known.any()
    assert taken[known] == pytest.approx(expected[known], abs=1e-3)


def test_a_coarse_picture_agrees_with_the_fine_one():
    plan, grid = three_sites(), rolling()
    fine = combine_coverage(
        grid, [site_coverage(plan, plan.site(HALL), grid, (0.0, 0.0), SIDE_M)], 10.0
    )
    rough = combine_coverage(
        grid,
        [site_coverage(plan, plan.site(HALL), grid, (0.0, 0.0), SIDE_M, every=3)],
        10.0,
        every=3,
    )
    agree = fine.served == rough.served
    assert agree[3:-3, 3:-3].mean() > 0.9
