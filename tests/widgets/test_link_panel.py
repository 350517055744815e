"""The link view shows the budget of the chosen pair, both ways, and follows the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QPushButton

from guyline.core.plan import Pattern, Plan
from guyline.services.assessment import Assessor
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.link_view import EMPTY, NOT_LISTED, LinkView
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import PathEnd, Selection
from guyline.widgets.link_chain import LinkChain
from guyline.widgets.link_numbers import LinkNumbers
from guyline.widgets.link_panel import LinkPanel
from guyline.widgets.link_pattern import LinkPattern
from guyline.widgets.link_rose import LinkRose
from guyline.widgets.link_waterfall import LinkWaterfall
from guyline.widgets.reading_strip import ReadingStrip
from guyline.widgets.theme import DARK, CurrentTheme
from stories import HALL, HILL, READ_THERE, SHED, DrawnTerrain, three_sites


def end_at(plan: Plan, site_id: str) -> PathEnd:
    site = next(s for s in plan.sites if s.site_id == site_id)
    assert site.position is not None
    return PathEnd(
        lat_deg=site.position.lat_deg, lon_deg=site.position.lon_deg, site_id=site.site_id
    )


@pytest.fixture
def desk(qtbot):
    document = PlanDocument(three_sites())
    selection = Selection()
    live = LiveAssessment(document, Assessor(DrawnTerrain()))
    view = LinkView(selection, live)
    with qtbot.waitSignal(live.updated, timeout=60_000):
        live.refresh()
    return document, selection, live, view


@pytest.fixture
def panel(qtbot, desk):
    theme = CurrentTheme()
    panel = LinkPanel(desk[3], theme)
    qtbot.addWidget(panel)
    panel.resize(370, 900)
    panel.show()
    return panel


def shown(panel, kind):
    return [w for w in panel.findChildren(kind) if w.isVisibleTo(panel)]


def test_without_a_pair_it_says_what_to_do_first(desk, panel):
    assert desk[3].hint == EMPTY
    assert shown(panel, LinkWaterfall) == []


def test_a_pair_that_is_no_link_to_prove_is_said_so(desk):
    document, selection, _, view = desk
    selection.select_path((end_at(document.plan, HALL), end_at(document.plan, SHED)))
    assert view.hint == NOT_LISTED
    assert view.directions() == ()


def test_both_directions_are_drawn_the_weaker_first_with_the_numbers_of_the_core(desk, panel):
    document, selection, live, view = desk
    selection.select_path((end_at(document.plan, HILL), end_at(document.plan, HALL)))
    weak, strong = view.directions()
    budget = live.current.links[0].budget
    assert weak.margin_db == budget.margin_db
    assert weak.margin_db <= strong.margin_db
    assert {weak.talker, weak.listener} == {HALL, HILL}
    first, second = shown(panel, LinkWaterfall)
    assert first.accessibleName() == f"Budget from {weak.talker} to {weak.listener}"
    assert f"margin {weak.margin_db:.1f} dB" in first.accessibleDescription()
    assert second.accessibleDescription() != first.accessibleDescription()


def test_the_pattern_holds_every_neighbour_at_its_angle_with_the_gain_used(desk, panel):
    document, selection, live, view = desk
    selection.select_path((end_at(document.plan, HILL), end_at(document.plan, HALL)))
    patterns = {p.site_id: p for p in view.patterns()}
    assert {n.site_id for n in patterns[HILL].neighbours} == {HALL, SHED}
    to_hall = next(n for n in patterns[HILL].neighbours if n.site_id == HALL)
    link = live.current.links[0]
    assert to_hall.elevation_deg == link.elevation_from_deg(HILL)
    assert to_hall.gain_dbi == link.budget.forward.rx_gain_dbi
    assert "HALL at" in shown(panel, LinkPattern)[1].accessibleDescription()


def test_a_directional_antenna_has_its_rose_with_the_neighbours_bearings(qtbot, desk, panel):
    document, selection, live, view = desk
    plan = document.plan
    selection.select_path((end_at(plan, HILL), end_at(plan, HALL)))
    assert shown(panel, LinkRose) == []  # both ends serve all round
    hill = plan.site(HILL)
    yagi = replace(hill.antenna, pattern=Pattern.YAGI, gain_dbi=9.0, azimuth_deg=265.0)
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(plan.with_site(replace(hill, antenna=yagi)), "Aim a Yagi at the hall")
    pattern = next(p for p in view.patterns() if p.site_id == HILL)
    around = pattern.around_dbi
    # F.1336 low-gain pattern of 9 dBi, trade table: 9 ahead, -8 behind, 7.59 at 20 degrees
    assert around[265] == pytest.approx(9.0)
    assert around[85] == pytest.approx(-8.0)
    assert around[285] == pytest.approx(7.59, abs=0.005)
    bearings = {n.site_id: n.azimuth_deg for n in pattern.neighbours}
    assert bearings[HALL] == live.current.links[0].azimuth_from_deg(HILL)
    (rose,) = shown(panel, LinkRose)
    assert "HALL at 270 degrees true" in rose.accessibleDescription()
    image = rose.grab().toImage()
    colors = {
        image.pixelColor(x, y).name()
        for x in range(0, image.width(), 2)
        for y in range(0, image.height(), 2)
    }
    assert len(colors) > 4


def test_an_edit_changes_the_budget_shown(qtbot, desk, panel):
    document, selection, live, view = desk
    plan = document.plan
    selection.select_path((end_at(plan, HILL), end_at(plan, HALL)))
    before = view.directions()[0].margin_db
    hill = plan.site(HILL)
    weaker = replace(hill, radio=replace(hill.radio, tx_power_dbm=4.0))
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(plan.with_site(weaker), "Weaken the hill")
    assert view.directions()[0].talker == HILL
    assert view.directions()[0].margin_db == pytest.approx(before - 10.0, abs=0.01)


def test_a_missing_value_is_named_instead_of_a_budget(qtbot, desk):
    document, selection, live, view = desk
    plan = document.plan
    selection.select_path((end_at(plan, HILL), end_at(plan, HALL)))
    bare = replace(plan.site(HILL), antenna_agl_m=None)
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(plan.with_site(bare), "Forget the height")
    assert view.missing == "No budget yet: unknown antenna height of HILL."
    assert view.odds == ""


@pytest.mark.parametrize("dark", [False, True])
def test_the_pictures_are_painted_in_both_themes(qtbot, desk, panel, dark):
    document, selection, _, _ = desk
    if dark:
        for widget in panel.findChildren(LinkWaterfall):
            widget._theme.use(DARK)
    selection.select_path((end_at(document.plan, HILL), end_at(document.plan, HALL)))
    for widget in shown(panel, LinkWaterfall) + shown(panel, LinkPattern):
        image = widget.grab().toImage()
        colors = {
            image.pixelColor(x, y).name()
            for x in range(0, image.width(), 3)
            for y in range(0, image.height(), 3)
        }
        assert len(colors) > 4  # more than an empty sheet


def test_the_chain_is_drawn_and_a_bad_mate_is_told(qtbot, desk, panel):
    document, selection, live, _ = desk
    plan = document.plan
    hill = plan.site(HILL)
    feeder = replace(hill.feeder, length_m=4.0, near_port="RP-SMA plug", far_port="N plug")
    changed = replace(
        hill,
        radio=replace(hill.radio, port="SMA jack"),
        antenna=replace(hill.antenna, port="N jack"),
        feeder=feeder,
    )
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(plan.with_site(changed), "Enter connectors")
    selection.select_path((end_at(plan, HILL), end_at(plan, HALL)))
    (chain,) = shown(panel, LinkChain)  # of HALL no connector is entered
    assert chain.accessibleName() == f"From radio to antenna at {HILL}"
    assert "✕ SMA jack to RP-SMA plug: threads up, no contact" in chain.accessibleDescription()
    assert "One adapter is lacking." in chain.accessibleDescription()
    chain.resize(340, chain.heightForWidth(340))
    image = chain.grab().toImage()
    rows = range(0, image.height(), 3)
    colors = {image.pixelColor(x, y).name() for x in range(image.width()) for y in rows}
    assert len(colors) > 4


def test_every_number_of_the_budget_stands_in_a_table_with_its_source(desk, panel):
    document, selection, _, view = desk
    selection.select_path((end_at(document.plan, HILL), end_at(document.plan, HALL)))
    button = next(b for b in panel.findChildren(QPushButton) if "sources" in b.text())
    assert shown(panel, LinkNumbers) == []
    button.click()
    (table,) = shown(panel, LinkNumbers)
    weak = view.directions()[0]
    rows = [[table.item(r, c).text() for c in range(3)] for r in range(0, table.rowCount(), 2)]
    steps = [step.name for step in weak.steps]
    assert [row[0] for row in rows] == [*steps, f"Needed by {weak.listener}", "Margin"]
    assert rows[len(steps) - 1][2] == f"{weak.received_dbm:.1f} dBm"
    assert rows[-2][2] == f"{weak.sensitivity_dbm:.1f} dBm"
    assert rows[-1][1] == f"{weak.margin_db:+.1f} dB"
    sources = [table.item(r, 0).text() for r in range(1, table.rowCount(), 2)]
    assert all(sources)
    assert "-15 dB SNR" in sources[-2]


@pytest.mark.parametrize("width_px", [340, 370, 520])
def test_no_number_and_no_source_lies_beside_the_panel(qtbot, desk, panel, width_px):
    document, selection, _, _ = desk
    panel.resize(width_px, 900)
    selection.select_path((end_at(document.plan, HILL), end_at(document.plan, HALL)))
    next(b for b in panel.findChildren(QPushButton) if "sources" in b.text()).click()
    (table,) = shown(panel, LinkNumbers)
    qtbot.waitUntil(lambda: table.width() > 0 and table.columnViewportPosition(2) > 0)
    view = table.viewport()
    assert table.columnViewportPosition(2) + table.columnWidth(2) <= view.width()
    last = table.rowCount() - 1
    assert table.rowViewportPosition(last) + table.rowHeight(last) <= view.height()
    metrics = table.fontMetrics()
    for row in range(0, table.rowCount(), 2):
        for column in (1, 2):
            words = table.item(row, column).text()
            assert metrics.horizontalAdvance(words) < table.columnWidth(column)


def test_what_was_read_stands_beside_its_plan_and_more_can_be_entered(qtbot, desk, panel):
    document, selection, live, _ = desk
    selection.select_path((end_at(document.plan, HALL), end_at(document.plan, HILL)))
    assert not shown(panel, ReadingStrip)
    with qtbot.waitSignal(live.updated, timeout=60_000):
        document.edit(replace(document.plan, readings=(READ_THERE,)), "Add reading")
    (strip,) = shown(panel, ReadingStrip)
    assert strip.accessibleName() == f"Read at {HILL} from {HALL}"
    assert "read -90 dBm" in strip.accessibleDescription()
    with qtbot.waitSignal(panel.entry_wanted) as asked:
        panel._readings.enter.click()
    assert asked.args == ["readings"]
