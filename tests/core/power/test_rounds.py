"""Trips with batteries and fuel."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import PowerSource, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.rounds import longest_interval_days, visit_rounds


def battery(name: str, days: float | None) -> PowerAssessment:
    return PowerAssessment(site_id=SiteId(name), source=PowerSource.BATTERY, days_without_sun=days)


def test_a_site_is_visited_with_a_quarter_to_spare():
    rounds = visit_rounds([battery("A", 6.3)], 14)
    assert [r.day for r in rounds] == [5, 10]


def test_a_site_that_lasts_longer_waits_for_a_later_trip():
    rounds = visit_rounds([battery("A", 4.0), battery("B", 8.0)], 14)
    assert [(r.day, r.site_ids) for r in rounds] == [
        (3, ("A",)),
        (6, ("A", "B")),
        (9, ("A",)),
        (12, ("A", "B")),
    ]


def test_sites_that_last_or_are_unknown_need_no_trip():
    assert visit_rounds([battery("A", 30.0), battery("B", None)], 14) == ()
    sun = PowerAssessment(site_id=SiteId("C"), source=PowerSource.SOLAR, days_without_sun=4.0)
    assert visit_rounds([sun], 14) == ()


def test_fuel_counts_like_a_battery():
    engine = PowerAssessment(site_id=SiteId("G"), source=PowerSource.GENERATOR, fuel_days=5.0)
    assert [r.day for r in visit_rounds([engine], 14)] == [4, 8, 12]


@given(st.lists(st.floats(1.3, 60.0), min_size=1, max_size=6), st.integers(2, 60))
def test_no_site_waits_longer_than_it_may(lasts, mission):
    sites = [battery(f"S{n}", days) for n, days in enumerate(lasts)]
    rounds = visit_rounds(sites, mission)
    for site in sites:
        if site.days_without_sun >= mission:
            continue
        visits = [0, *(r.day for r in rounds if site.site_id in r.site_ids), mission]
        gaps = [after - before for before, after in pairwise(visits)]
        assert max(gaps) <= max(longest_interval_days(site), 1)


def test_a_battery_behind_mains_is_swapped_only_where_mains_comes_back_too_late():
    def backed(late_h: float) -> PowerAssessment:
        return PowerAssessment(
            site_id=SiteId("HALL"),
            source=PowerSource.MAINS_WITH_BACKUP,
            days_without_sun=5.0,
            late_return_hours=late_h,
        )

    assert visit_rounds([backed(48.0)], 14) == ()
    assert [trip.day for trip in visit_rounds([backed(-48.0)], 14)] == [4, 8, 12]
