"""Every two sites tried: the same answer as the link job gives, and symmetric."""

from __future__ import annotations

import json
from dataclasses import astuple, replace
from itertools import combinations

import numpy as np
import pytest

from guyline import command_line
from guyline.core.network.link import assess_link
from guyline.core.network.link_matrix import can_be_judged
from guyline.core.plan import (
    Antenna,
    ClutterBand,
    Link,
    Pattern,
    Plan,
    Polarisation,
    Position,
    Roof,
    SiteId,
    Surroundings,
)
from guyline.core.radio.spread import SpreadCause
from guyline.core.terrain.profile import Profiles
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.geodesy import inverse
from guyline.services.link_matrix import link_matrix
from guyline.services.opening import demo_copy, open_plan
from stories import HALL, HILL, SHED, DrawnTerrain, three_sites


class ManyProfiles(DrawnTerrain):
    """Drawn ground that gives many profiles at once, one by one."""

    def profiles(self, lat1, lon1, lat2, lon2, step_m):
        ends = zip(lat1, lon1, lat2, lon2, strict=True)
        return Profiles.of([self.profile(*map(float, end)) for end in ends])


def test_margin_of_a_pair_is_that_of_the_link_to_prove():
    plan = three_sites()
    matrix = link_matrix(plan, ManyProfiles())
    link = Assessor(DrawnTerrain()).link(plan, Link(from_id=HALL, to_id=HILL))
    i, j = matrix.site_ids.index(HALL), matrix.site_ids.index(HILL)
    assert matrix.margin_db[i, j] == pytest.approx(link.margin_db, abs=1e-6)


def scattered(plan: Plan, terrain: Terrain, count: int) -> Plan:
    """A plan's sites spread over its ground, with every kind of antenna, roof and surroundings."""
    box, rng = terrain.bounds, np.random.default_rng(5)
    assert box is not None
    antennas = (
        Antenna(gain_dbi=2.15),
        Antenna(
            pattern=Pattern.YAGI,
            gain_dbi=9.0,
            azimuth_deg=70.0,
            polarisation=Polarisation.HORIZONTAL,
        ),
        Antenna(pattern=Pattern.SECTOR, gain_dbi=8.0, azimuth_deg=200.0, tilt_deg=4.0),
    )
    like = next(site for site in plan.sites if can_be_judged(plan, site))
    sites = [
        replace(
            like,
            site_id=SiteId(f"S{n}"),
            position=Position(
                lat_deg=rng.uniform(box.south_deg, box.north_deg),
                lon_deg=rng.uniform(box.west_deg, box.east_deg),
            ),
            antenna_agl_m=float(rng.uniform(1.5, 25.0)),
            antenna=antennas[n % 3],
            surroundings=list(Surroundings)[n % len(Surroundings)],
            roof=list(Roof)[n % 5 % len(Roof)],
            trees_m=30.0 if n % 7 == 3 else 0.0,
        )
        for n in range(count)
    ]
    return replace(plan, sites=tuple(sites), links=())


@pytest.mark.parametrize("bands", [(), None])
def test_every_pair_over_real_ground_has_the_margin_and_spread_of_the_link_job(tmp_path, bands):
    # independent: the link job, one pair after the other, over profiles sampled by themselves
    opened = open_plan(demo_copy(tmp_path))
    plan = scattered(opened.plan, opened.terrain, 24)
    a, b = plan.sites[0].position, plan.sites[9].position
    assert a is not None
    assert b is not None
    wood = ClutterBand(
        from_lat_deg=a.lat_deg,
        from_lon_deg=a.lon_deg,
        to_lat_deg=b.lat_deg,
        to_lon_deg=b.lon_deg,
        half_width_m=1500.0,
        kind=Surroundings.WOODLAND,
    )
    plan = replace(plan, clutter=(wood,) if bands is None else bands)
    matrix, known = link_matrix(plan, opened.terrain), 0
    for i, j in combinations(range(len(plan.sites)), 2):
        near, far = plan.sites[i], plan.sites[j]
        ends = (*astuple(near.position)[:2], *astuple(far.position)[:2])
        line = inverse(*ends)
        link = assess_link(
            plan,
            Link(from_id=near.site_id, to_id=far.site_id),
            opened.terrain.profile(*ends, step_m=90.0),
            line.distance_m,
            line.azimuth_deg,
            line.back_azimuth_deg,
        )
        if link.spread is None:
            assert np.isnan(matrix.margin_db[i, j])
            continue
        known += 1
        causes = [s for s in link.spread.spreads if s.cause is not SpreadCause.TERRAIN]
        # places between the knots lie up to 0.1 m beside the geodesic
        mean = link.spread.nominal_db - sum(s.shift_db for s in causes)
        assert matrix.margin_db[i, j] == pytest.approx(mean, abs=0.005)
        sd = sum(s.sd_db**2 for s in causes) ** 0.5
        assert matrix.sd_db[i, j] == pytest.approx(sd, abs=0.01)
    assert known > 150


def test_the_matrix_is_symmetric_and_a_site_is_no_neighbour_of_itself():
    matrix = link_matrix(three_sites(), ManyProfiles())
    assert np.array_equal(matrix.margin_db, matrix.margin_db.T, equal_nan=True)
    assert np.isnan(np.diag(matrix.margin_db)).all()
    assert not matrix.hears.diagonal().any()


def test_pairs_that_are_no_link_to_prove_are_found_too():
    pairs = {(a, b) for a, b, _ in link_matrix(three_sites(), ManyProfiles()).pairs()}
    assert (HALL, SHED) in pairs


def test_what_is_unknown_or_beyond_the_range_hears_nobody():
    plan = three_sites()
    lost = plan.with_site(replace(plan.site(SHED), antenna_agl_m=None))
    assert {SHED}.isdisjoint(
        site for pair in link_matrix(lost, ManyProfiles()).pairs() for site in pair[:2]
    )
    near = link_matrix(plan, ManyProfiles(), range_m=2000.0)
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
