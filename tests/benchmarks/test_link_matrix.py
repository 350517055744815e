"""Speed of trying every pair of sites against the link job pair by pair, in the same run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from time import process_time

import numpy as np
import pytest

from guyline.core.network.link import assess_link
from guyline.core.plan import Link, Plan, Position, SiteId
from guyline.services.elevation import Terrain
from guyline.services.geodesy import inverse
from guyline.services.link_matrix import link_matrix
from guyline.services.opening import OpenedPlan, demo_copy, open_plan

pytest.importorskip("numba")
pytestmark = pytest.mark.benchmark

SITES = 120


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> OpenedPlan:
    return open_plan(demo_copy(tmp_path_factory.mktemp("demo")))


def scattered(plan: Plan, terrain: Terrain, count: int) -> Plan:
    """A relay of the plan, so many times over its ground."""
    box, rng = terrain.bounds, np.random.default_rng(3)
    assert box is not None
    like = plan.site(SiteId("KITE"))
    sites = [
        replace(
            like,
            site_id=SiteId(f"S{n}"),
            position=Position(
                lat_deg=rng.uniform(box.south_deg, box.north_deg),
                lon_deg=rng.uniform(box.west_deg, box.east_deg),
            ),
        )
        for n in range(count)
    ]
    return replace(plan, sites=tuple(sites), links=())


def one_by_one(plan: Plan, terrain: Terrain, pairs: list[tuple[int, int]]) -> None:
    for i, j in pairs:
        near, far = plan.sites[i], plan.sites[j]
        assert near.position is not None
        assert far.position is not None
        ends = (
            near.position.lat_deg,
            near.position.lon_deg,
            far.position.lat_deg,
            far.position.lon_deg,
        )
        line = inverse(*ends)
        assess_link(
            plan,
            Link(from_id=near.site_id, to_id=far.site_id),
            terrain.profile(*ends, step_m=90.0),
            line.distance_m,
            line.azimuth_deg,
            line.back_azimuth_deg,
        )


def least_processor_s(work: Callable[[], object], repeats: int = 3) -> float:
    spent = []
    for _ in range(repeats):
        start = process_time()
        work()
        spent.append(process_time() - start)
    return min(spent)


def test_every_pair_at_once_is_far_faster_than_pair_by_pair(
    demo: OpenedPlan, record_property: Callable[[str, object], None]
) -> None:
    plan = scattered(demo.plan, demo.terrain, SITES)
    link_matrix(scattered(demo.plan, demo.terrain, 3), demo.terrain)  # compiled by now
    count = SITES * (SITES - 1) // 2
    pair_s = least_processor_s(lambda: link_matrix(plan, demo.terrain)) / count
    picked = [(i, j) for i in range(0, SITES, 9) for j in range(i + 1, SITES, 11)]
    single_s = least_processor_s(lambda: one_by_one(plan, demo.terrain, picked)) / len(picked)
    record_property("processor_us_per_pair", round(1e6 * pair_s))
    record_property("ratio", round(single_s / pair_s, 1))
    assert single_s > 8.0 * pair_s


def test_four_times_the_sites_cost_sixteen_times_and_no_more(
    demo: OpenedPlan, record_property: Callable[[str, object], None]
) -> None:
    few, many = (scattered(demo.plan, demo.terrain, count) for count in (40, 160))
    link_matrix(few, demo.terrain)  # compiled by now
    ratio = least_processor_s(lambda: link_matrix(many, demo.terrain)) / least_processor_s(
        lambda: link_matrix(few, demo.terrain)
    )
    record_property("ratio", round(ratio, 1))
    assert ratio < 25.0
