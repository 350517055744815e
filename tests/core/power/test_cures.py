"""Cures come only from sizes that were computed again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import Incident, Plan, PowerSource, PowerSystem, Site, SiteFunction, SiteId
from guyline.core.power.assessment import Cure
from guyline.core.power.cures import is_enough, smallest, with_battery_wh, with_panel_w
from guyline.services.site_power import SitePower

POWER = SitePower()
PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))


def site_of(power: PowerSystem, **changes: object) -> Site:
    return stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power, **changes)


def small(stc_w: float, capacity_wh: float, **panel: object) -> PowerSystem:
    power = stories.solar()
    assert power.panel is not None
    assert power.battery is not None
    return replace(
        power,
        panel=replace(power.panel, stc_w=stc_w, **panel),
        battery=replace(power.battery, capacity_wh=capacity_wh),
    )


def cured(site: Site, cure: Cure) -> Site:
    if cure.kind == "panel":
        return with_panel_w(site, cure.value)
    if cure.kind == "battery":
        return with_battery_wh(site, cure.value)
    if cure.kind == "panel and battery":
        assert cure.battery_wh is not None
        return with_battery_wh(with_panel_w(site, cure.value), cure.battery_wh)
    assert cure.kind == "tilt"
    panel = replace(site.power.panel, tilt_deg=cure.value, azimuth_deg=cure.azimuth_deg)
    return replace(site, power=replace(site.power, panel=panel))


@pytest.mark.parametrize(
    "power",
    [
        small(1.5, 40.0),
        small(1.0, 20.0),
        small(4.0, 40.0, azimuth_deg=180.0),
        replace(small(5.0, 12.0), source=PowerSource.BATTERY),
        replace(small(5.0, 12.0), source=PowerSource.MAINS_WITH_BACKUP, backup_hours_needed=200.0),
    ],
)
def test_every_cure_cures(power):
    site = site_of(power)
    known = POWER.assess(PLAN, site, 0.0)
    assert not is_enough(site, known, 14)
    assert known.cures
    for cure in known.cures:
        if cure.kind == "load":
            assert cure.value < known.load_wh_per_day
            continue
        mended = cured(site, cure)
        assert is_enough(mended, POWER.assess(PLAN, mended, 0.0), 14), cure


def test_a_panel_that_faces_the_pole_is_turned_first():
    known = POWER.assess(PLAN, site_of(small(5.0, 40.0, azimuth_deg=180.0)), 0.0)
    assert known.cures[0].kind == "tilt"
    assert known.cures[0].azimuth_deg == 0.0


def test_a_good_site_needs_no_cure():
    assert POWER.assess(PLAN, site_of(stories.solar()), 0.0).cures == ()


def test_the_lighter_of_two_additions_comes_first():
    known = POWER.assess(PLAN, site_of(small(2.0, 30.0)), 0.0)
    masses = [c.mass_kg for c in known.cures if c.kind not in ("tilt", "load")]
    assert masses == sorted(masses)


def test_a_pair_that_is_heavier_than_one_larger_part_is_not_offered():
    known = POWER.assess(PLAN, site_of(small(3.0, 154.0), function=SiteFunction.END_POINT), 0.0)
    single = [c.mass_kg for c in known.cures if c.kind in ("panel", "battery")]
    pairs = [c.mass_kg for c in known.cures if c.kind == "panel and battery"]
    assert all(pair < min(single, default=pair + 1.0) for pair in pairs)


@pytest.mark.parametrize("threshold", [0, 1, 4, 9])
def test_the_smallest_size_that_works_is_found(threshold):
    assert smallest(list(range(10)), lambda size: size >= threshold) == threshold
    assert smallest([1.0, 2.0], lambda size: False) is None
    assert smallest([], lambda size: True) is None


def test_the_sizing_chart_trades_panel_for_battery():
    site = site_of(small(2.0, 40.0))
    chart = POWER.sizing_chart(PLAN, site, 0.0)
    assert chart.is_enough is False
    assert (chart.panel_w, chart.battery_wh) == (2.0, 40.0)
    panels = [panel for _, panel in chart.points if panel is not None]
    assert len(panels) > 3
    assert panels == sorted(panels, reverse=True)
    for battery_wh, panel_w in chart.points:
        if panel_w is not None:
            sized = with_battery_wh(with_panel_w(site, panel_w), battery_wh)
            assert is_enough(sized, POWER.assess(PLAN, sized, 0.0), 14)


def test_there_is_no_sizing_chart_without_a_panel():
    power = replace(stories.solar(), source=PowerSource.BATTERY)
    assert POWER.sizing_chart(PLAN, site_of(power), 0.0) is None
    assert POWER.sizing_chart(Plan(), site_of(stories.solar()), 0.0) is None


def test_a_shaded_panel_is_moved_where_that_is_enough():
    wall = tuple(40.0 if a < 90 or a > 270 else 0.0 for a in range(0, 360, 5))  # to the north
    site = site_of(small(5.0, 40.0))
    shaded = POWER.assess(PLAN, site, 0.0, horizon=wall)
    assert not is_enough(site, shaded, 14)
    (move,) = (cure for cure in shaded.cures if cure.kind == "move")
    free = POWER.assess(PLAN, site, 0.0)
    assert is_enough(site, free, 14)
    assert move.value == pytest.approx(free.yield_wh_per_day)
    assert move.survival_probability == free.survival_probability
    assert "move" not in {cure.kind for cure in POWER.assess(PLAN, site, 0.0).cures}


def test_trees_too_can_be_left_by_moving():
    site = site_of(small(5.0, 77.0, sunny_hours=0.5))
    assert "move" in {cure.kind for cure in POWER.assess(PLAN, site, 0.0).cures}
