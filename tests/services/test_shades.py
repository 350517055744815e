"""Trees and walls that somebody entered take their part of the sun."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

import stories
from guyline.core.plan import Incident, Obstacle, Plan, PowerSystem, SiteId
from guyline.services.panel_horizon import sun_arc
from guyline.services.shades import DAPPLED, Shade, missing_of_shades, passing_share, shades_of
from guyline.services.site_power import SitePower
from guyline.services.sun_and_weather import sun_table, tilted_sky_factor

PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))
POWER = SitePower()


def wall(elevation_deg: float, passes: float = 0.0) -> tuple[Shade, ...]:
    """All round."""
    return (Shade(0.0, 0.0, elevation_deg, passes),)


def site_with(*obstacles: Obstacle, **panel: object):
    power = stories.solar()
    power = replace(power, panel=replace(power.panel, **panel), obstacles=obstacles)
    return stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power)


def answer(*obstacles: Obstacle, **panel: object):
    return POWER.assess(PLAN, site_with(*obstacles, **panel), 0.0)


@pytest.mark.parametrize(
    ("azimuth", "elevation", "share"),
    [(10.0, 5.0, 0.2), (350.0, 5.0, 0.2), (40.0, 5.0, 1.0), (0.0, 25.0, 1.0), (180.0, 5.0, 1.0)],
)
def test_an_obstacle_across_north_hides_what_is_behind_it(azimuth, elevation, share):
    shades = (Shade(330.0, 30.0, 20.0, 0.2),)
    found = passing_share(np.array([azimuth]), np.array([elevation]), shades)
    assert found[0] == pytest.approx(share)


def test_two_rows_of_trees_let_through_the_product():
    shades = (*wall(20.0, 0.5), *wall(30.0, 0.4))
    assert passing_share(np.array(0.0), np.array(10.0), shades) == pytest.approx(0.2)
    assert passing_share(np.array(0.0), np.array(25.0), shades) == pytest.approx(0.4)


@pytest.mark.parametrize("elevation", [10.0, 20.0])
def test_a_wall_all_round_is_a_horizon(elevation):
    # Law, and the sky seen by a panel of 45° over 10° and 20°: 0.7647 and 0.6582, integrals
    # worked out apart.
    horizon = (elevation,) * 72
    walled = tilted_sky_factor(45.0, 180.0, shades=wall(elevation))
    assert walled == pytest.approx(tilted_sky_factor(45.0, 180.0, horizon), abs=1e-9)
    assert walled == pytest.approx({10.0: 0.7647, 20.0: 0.6582}[elevation], abs=2e-3)
    ours = sun_table(51.5, 0.0, 0.0, 66.0, 180.0, shades=wall(elevation)).poa_w_m2
    theirs = sun_table(51.5, 0.0, 0.0, 66.0, 180.0, horizon).poa_w_m2
    assert np.allclose(ours, theirs)


def test_what_lets_all_through_is_no_obstacle():  # law
    free = sun_table(51.5, 0.0, 0.0, 66.0, 180.0).poa_w_m2
    glass = sun_table(51.5, 0.0, 0.0, 66.0, 180.0, shades=wall(60.0, 1.0)).poa_w_m2
    assert np.allclose(free, glass, rtol=1e-3)  # the even sky is summed up in cells


def test_hours_lost_are_those_behind_the_wall():
    free = sun_arc(51.5, 12)
    east = (Shade(0.0, 180.0, 60.0, 0.0),)
    assert sun_arc(51.5, 12, shades=east).hours_lost == pytest.approx(free.hours_up / 2, abs=0.5)
    half = (Shade(0.0, 180.0, 60.0, 0.5),)
    assert sun_arc(51.5, 12, shades=half).hours_lost == pytest.approx(free.hours_up / 4, abs=0.3)


def test_a_higher_or_denser_obstacle_never_brings_more():  # law
    yields = [
        answer(
            Obstacle(
                name="Wall",
                from_azimuth_deg=270.0,
                to_azimuth_deg=90.0,
                elevation_deg=height,
                pass_fraction=share,
            )
        ).yield_wh_per_day
        for height, share in ((0.0, 0.0), (10.0, 0.6), (10.0, 0.0), (25.0, 0.0), (60.0, 0.0))
    ]
    assert yields == sorted(yields, reverse=True)
    assert yields[0] == pytest.approx(answer().yield_wh_per_day, rel=1e-3)
    assert yields[-1] < 0.5 * yields[0]


def test_entered_obstacles_stand_for_the_hours_that_somebody_watched():
    tree = Obstacle(name="Tree", from_azimuth_deg=0.0, to_azimuth_deg=5.0, elevation_deg=20.0)
    watched = answer(sunny_hours=2.0).yield_wh_per_day
    assert answer(tree, sunny_hours=2.0).yield_wh_per_day > watched
    assert answer(tree, sunny_hours=2.0).yield_wh_per_day == answer(tree).yield_wh_per_day


def test_an_obstacle_of_unknown_place_or_height_leaves_the_yield_unknown():
    tree = Obstacle(name="the tall fir", from_azimuth_deg=10.0, to_azimuth_deg=20.0)
    known = answer(tree)
    assert known.yield_wh_per_day is None
    assert known.lacks_power is None
    assert "where and how high the tall fir stands" in known.missing
    assert missing_of_shades(PowerSystem()) == ()


def test_light_through_unknown_leaves_is_dappled():
    tree = Obstacle(from_azimuth_deg=370.0, to_azimuth_deg=20.0, elevation_deg=9.0)
    assert shades_of(PowerSystem(obstacles=(tree,))) == (Shade(10.0, 20.0, 9.0, DAPPLED),)


def test_a_shaded_panel_may_be_moved_out_of_the_shadow():
    trees = Obstacle(
        name="Trees",
        from_azimuth_deg=270.0,
        to_azimuth_deg=90.0,
        elevation_deg=70.0,
        pass_fraction=0.1,
    )
    site = site_with(trees, stc_w=6.0)
    battery = replace(site.power.battery, capacity_wh=50.0)
    site = replace(site, power=replace(site.power, battery=battery))
    known = POWER.assess(PLAN, site, 0.0)
    assert known.lacks_power is True
    assert "move" in {cure.kind for cure in known.cures}
    hidden = known.quantity("sun hidden in the worst month")
    assert hidden.value > 6.0
    assert "trees and walls of the plan" in hidden.source
