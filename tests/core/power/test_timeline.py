"""How many sites are up on each day."""

from __future__ import annotations

import numpy as np

from guyline.core.plan import PowerSource, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.timeline import alive_runs, sites_up


def site_of(alive: np.ndarray | None, name: str = "HILL") -> PowerAssessment:
    if alive is None:
        return PowerAssessment(site_id=SiteId(name), source=PowerSource.SOLAR)
    return PowerAssessment(
        site_id=SiteId(name),
        source=PowerSource.SOLAR,
        alive_by_day=tuple(alive.mean(axis=0)),
        alive_runs=np.packbits(alive, axis=None).tobytes(),
    )


def test_runs_come_back_as_they_were_packed():
    alive = np.random.default_rng(1).random((16, 9)) < 0.7
    assert np.array_equal(alive_runs(site_of(alive), 9), alive)
    assert np.array_equal(alive_runs(site_of(alive), 4), alive[:, :4])


def test_unknown_sites_are_counted_apart():
    alive = np.ones((8, 3), dtype=bool)
    timeline = sites_up([site_of(alive), site_of(None), site_of(None)], 3)
    assert timeline.unknown == 2
    assert timeline.middle == (1.0, 1.0, 1.0)


def test_sites_that_fail_in_the_same_weather_fail_together():
    weather = np.zeros((40, 1), dtype=bool)
    weather[:20] = True
    timeline = sites_up([site_of(weather), site_of(weather)], 1)
    assert (timeline.low, timeline.high) == ((0.0,), (2.0,))


def test_a_certain_site_lifts_the_whole_band():
    weather = np.zeros((40, 2), dtype=bool)
    weather[:20] = True
    certain = PowerAssessment(
        site_id=SiteId("HALL"), source=PowerSource.BATTERY, alive_by_day=(1.0, 0.0)
    )
    timeline = sites_up([site_of(weather), certain], 2)
    assert timeline.low == (1.0, 0.0)
    assert timeline.high == (2.0, 1.0)
