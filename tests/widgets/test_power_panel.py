"""The power view shows the chosen site's energy, sun, sizes and cables, and follows the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QPushButton

from guyline.core.plan import Obstacle, SiteId
from guyline.errors import WeatherError
from guyline.services.assessment import Assessor
from guyline.services.fetched_climate import Service
from guyline.viewmodels import power_view
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.power_view import EMPTY, WAITING, PowerView
from guyline.viewmodels.selection import Selection
from guyline.widgets.board_panel import BoardLine
from guyline.widgets.energy_bars import EnergyBars
from guyline.widgets.power_panel import SIZE, STOP, PowerPanel
from guyline.widgets.sizing_plot import SizingPlot
from guyline.widgets.sun_arc_plot import SunArcPlot
from guyline.widgets.theme import DARK, CurrentTheme
from stories import HALL, HILL, DrawnTerrain, solar, three_sites


@pytest.fixture
def desk(qtbot):
    document, selection = PlanDocument(three_sites()), Selection()
    assessor = Assessor(DrawnTerrain())
    live = LiveAssessment(document, assessor)
    view = PowerView(document, selection, live, assessor)
    yield document, selection, live, view
    view.cancel_sizing()
    live.shut_down()


@pytest.fixture
def panel(qtbot, desk):
    panel = PowerPanel(desk[3], CurrentTheme())
    qtbot.addWidget(panel)
    panel.resize(370, 1200)
    panel.show()
    return panel


def assessed(qtbot, live):
    with qtbot.waitSignal(live.updated, timeout=60_000):
        live.refresh()


def shown(panel, kind):
    return [w for w in panel.findChildren(kind) if w.isVisibleTo(panel)]


def test_before_there_is_anything_it_says_what_to_do(qtbot, desk, panel):
    assert desk[3].hint == WAITING
    assessed(qtbot, desk[2])
    assert desk[3].hint == EMPTY
    assert shown(panel, SunArcPlot) == []


def test_a_solar_site_shows_every_draw_what_the_panel_brings_and_the_suns_way(qtbot, desk, panel):
    _, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    bars = view.bars()
    known = live.current.site(HILL).power
    assert bars[0].is_gain
    assert bars[0].wh_per_day == known.yield_wh_per_day
    drawn = sum(bar.wh_per_day for bar in bars if not bar.is_gain)
    assert drawn == pytest.approx(known.load_wh_per_day)
    assert max(bar.share for bar in bars) == 1.0
    assert len(shown(panel, EnergyBars)) == len(shown(panel, SunArcPlot)) == 1
    assert "June" in view.skyline().sentence
    assert view.readings()
    assert any("fuse" in line for line in view.wiring())


def test_a_mains_site_has_no_sun_and_no_sizes(qtbot, desk, panel):
    _, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HALL)
    assert view.skyline() is None
    assert not view.can_size
    assert shown(panel, SunArcPlot) == shown(panel, SizingPlot) == []
    assert shown(panel, EnergyBars)
    view.make_sizing()
    assert not view.is_sizing


def test_the_sizing_chart_is_made_when_asked_and_stands_until_the_site_changes(qtbot, desk, panel):
    document, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    assert shown(panel, SizingPlot) == []
    assert panel._button.text() == SIZE
    panel._button.click()
    assert panel._button.text() == STOP
    qtbot.waitUntil(lambda: not view.is_sizing, timeout=60_000)
    assert view.sizing.panel_w == solar().panel.stc_w
    (plot,) = shown(panel, SizingPlot)
    assert "enough" in plot.accessibleDescription()
    site = document.plan.site(HILL)
    power = replace(site.power, panel=replace(site.power.panel, stc_w=20.0))
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(document.plan.with_site(replace(site, power=power)), "Panel")
    assert view.sizing is None
    assert shown(panel, SizingPlot) == []


def test_a_hidden_panel_asks_for_nothing(qtbot, desk, panel, monkeypatch):
    _, selection, live, view = desk
    panel.hide()
    asked = []
    monkeypatch.setattr(view, "skyline", lambda: asked.append(1))
    assessed(qtbot, live)
    selection.select_site(HILL)
    assert asked == []
    panel.show()
    assert asked == [1]


def test_an_unknown_site_is_no_site(qtbot, desk, panel):
    _, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(SiteId("NOWHERE"))
    assert view.power is None
    assert view.hint == EMPTY


def test_what_is_missing_is_said(qtbot, desk, panel):
    document, selection, live, view = desk
    site = document.plan.site(HILL)
    power = replace(site.power, battery=replace(site.power.battery, capacity_wh=None))
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(document.plan.with_site(replace(site, power=power)), "Battery")
    selection.select_site(HILL)
    assert view.note == "Unknown until entered: battery capacity."


def test_a_fetched_climate_works_the_power_out_anew(qtbot, desk, panel, monkeypatch):
    _, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    asked = []
    monkeypatch.setattr(power_view, "fetch_climate", lambda *given: asked.append(given[:3]))
    with qtbot.waitSignal(live.updated, timeout=60_000):
        panel._fetch_buttons[0].click()
        assert panel._fetch_buttons[0].text() == STOP
    assert asked == [(-45.0, -29.98, Service.PVGIS)]
    qtbot.waitUntil(lambda: not view.is_fetching)
    assert "PVGIS" in panel._fetch_buttons[0].text()


def test_a_service_that_cannot_be_asked_is_told_and_changes_nothing(
    qtbot, desk, panel, monkeypatch
):
    _, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    before = view.power

    def refuse(*given):
        raise WeatherError("PVGIS cannot be reached.", advice="Later.")

    monkeypatch.setattr(power_view, "fetch_climate", refuse)
    with qtbot.waitSignal(view.refused) as told:
        view.fetch_climate(Service.PVGIS)
    assert "reached" in str(told.args[0])
    assert view.power is before


def test_the_whole_plan_says_how_many_sites_stay_up(qtbot, desk, panel):
    _, _, live, view = desk
    assessed(qtbot, live)
    (line,) = view.network()
    assert line.startswith("On the last day 3 sites are on the air")


def test_it_is_drawn_in_the_dark_too(qtbot, desk, panel):
    _, selection, live, _ = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    before = panel.grab().toImage()
    panel._bars._theme.use(DARK)
    assert panel.grab().toImage() != before


def weaken(qtbot, document, live, stc_w=1.0, capacity_wh=20.0):
    """Make the hill lack power."""
    site = document.plan.site(HILL)
    power = replace(
        site.power,
        panel=replace(site.power.panel, stc_w=stc_w),
        battery=replace(site.power.battery, capacity_wh=capacity_wh),
    )
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(document.plan.with_site(replace(site, power=power)), "Weaken")


def test_every_cure_that_the_plan_can_do_has_a_button_that_does_it_and_can_be_undone(
    qtbot, desk, panel
):
    document, selection, live, view = desk
    weaken(qtbot, document, live)
    selection.select_site(HILL)
    cures = live.current.site(HILL).power.cures
    qtbot.waitUntil(lambda: bool(shown(panel._cures, QPushButton)))
    buttons = shown(panel._cures, QPushButton)
    assert len(view.cures()) == len(cures) > 1
    assert [button.text() for button in buttons] == [c.action for c in view.cures() if c.action]
    (use,) = (b for b in buttons if "panel" in b.text() and "battery" in b.text())
    before = document.plan
    with qtbot.waitSignal(live.updated, timeout=60_000):
        use.click()
    (pair,) = (cure for cure in cures if cure.kind == "panel and battery")
    after = document.plan.site(HILL).power
    assert (after.panel.stc_w, after.battery.capacity_wh) == (pair.value, pair.battery_wh)
    assert live.current.site(HILL).power.lacks_power is False
    assert not panel._mending.isVisible()
    document.undo_stack.undo()
    assert document.plan == before


def test_a_cure_that_people_must_do_has_no_button(qtbot, desk, panel):
    document, selection, live, view = desk
    weaken(qtbot, document, live, 4.0, 40.0)
    selection.select_site(HILL)
    load = [row for row in view.cures() if row.words.startswith("Load")]
    assert all(row.action == "" for row in load)
    places = [n for n, c in enumerate(live.current.site(HILL).power.cures) if c.kind == "load"]
    before = document.plan
    for place in places:
        view.do_cure(place)
    assert document.plan == before


def test_the_sites_that_lack_power_stand_first_while_none_is_chosen(qtbot, desk, panel):
    document, selection, live, view = desk
    weaken(qtbot, document, live)
    assert view.power is None
    qtbot.waitUntil(lambda: bool(shown(panel._lacking, BoardLine)))
    (line,) = shown(panel._lacking, BoardLine)
    assert "HILL" in line.accessibleName()
    assert panel._rows.indexOf(panel._network) < panel._rows.indexOf(panel._energy)
    line.choose()
    assert selection.site_id == HILL
    assert panel._rows.indexOf(panel._network) > panel._rows.indexOf(panel._energy)


def test_the_answers_stand_in_figures(qtbot, desk, panel):
    document, selection, live, view = desk
    weaken(qtbot, document, live)
    selection.select_site(HILL)
    facts = dict(view.facts())
    assert facts["Shortfall"].endswith("Wh/day")
    assert " h" in facts["First likely outage"]
    assert facts["No outage in 14 days"].endswith("%")
    assert "Battery alone lasts" in facts
    assert "Shortfall" in panel._facts.text()


def test_trees_and_walls_stand_in_the_way_of_the_sun(qtbot, desk, panel):
    document, selection, live, view = desk
    assessed(qtbot, live)
    selection.select_site(HILL)
    free = view.skyline()
    site = document.plan.site(HILL)
    wall = Obstacle(
        name="Wall",
        from_azimuth_deg=0.0,
        to_azimuth_deg=90.0,
        elevation_deg=40.0,
        pass_fraction=0.0,
    )
    power = replace(site.power, obstacles=(wall,))
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(document.plan.with_site(replace(site, power=power)), "Wall")
    walled = view.skyline()
    assert walled.arc.hours_lost > free.arc.hours_lost + 2.0
    assert "trees and walls" in walled.sentence
    (plot,) = shown(panel, SunArcPlot)
    assert plot.accessibleDescription() == walled.sentence
    plot.show_skyline(free)
    before = plot.grab().toImage()
    plot.show_skyline(walled)
    assert plot.grab().toImage() != before
