"""The strip of days shows numbers to the hand, the keys and the ear."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QToolTip
from pytestqt.qtbot import QtBot

from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import Incident, Plan, PowerSource, Site, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.services.job import Job
from guyline.viewmodels.days_view import NOT_YET
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection
from guyline.widgets.days_strip import DaysStrip
from guyline.widgets.days_strip_bands import LEAST_ROW_PX, DayScale
from guyline.widgets.theme import DARK, CurrentTheme

DAYS = 14


class Assesses:
    """Gives every site of the plan the same falling chances, the last one none."""

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        chances = tuple(1.0 - 0.05 * day for day in range(DAYS))
        last = len(plan.sites) - 1
        return PlanAssessment(
            plan=plan,
            sites=tuple(
                SiteAssessment(
                    site_id=s.site_id,
                    findings=(),
                    links=(),
                    power=PowerAssessment(
                        site_id=s.site_id,
                        source=PowerSource.SOLAR,
                        alive_by_day=() if n == last else chances,
                    ),
                )
                for n, s in enumerate(plan.sites)
            ),
            links=(),
            network=NetworkAssessment(),
        )


def plan_of(sites: int) -> Plan:
    return Plan(
        incident=Incident(mission_days=DAYS),
        sites=tuple(Site(site_id=SiteId(f"S{n:02d}")) for n in range(sites)),
    )


class Desk:
    """A strip with all that it looks at."""

    def __init__(self, qtbot: QtBot, sites: int, height_px: int = 150) -> None:
        self.selection, self.theme = Selection(), CurrentTheme()
        self.document = PlanDocument(plan_of(sites))
        self.live = LiveAssessment(self.document, Assesses())  # type: ignore[arg-type]
        self.strip = DaysStrip(self.live, self.selection, self.theme)
        self.strip.resize(800, height_px)
        qtbot.addWidget(self.strip)
        self.strip.show()
        qtbot.waitExposed(self.strip)


@pytest.fixture
def desk(qtbot: QtBot) -> Desk:
    desk = Desk(qtbot, 12)
    with qtbot.waitSignal(desk.live.updated):
        desk.live.refresh()
    return desk


def middle(desk: Desk, row: int, day: int) -> QPoint:
    left, width = DayScale(float(desk.strip.bands.width()), DAYS).span(day)
    return QPoint(round(left + width / 2), round(desk.strip.bands.row(row).center().y()))


def test_before_the_first_assessment_the_strip_says_when_it_will_show(qtbot: QtBot) -> None:
    desk = Desk(qtbot, 3)
    assert desk.strip.bands.accessibleDescription() == NOT_YET
    assert not desk.strip.bands.isVisible()


def test_twelve_sites_fit_into_a_hundred_and_fifty_pixels(desk: Desk) -> None:
    last = desk.strip.bands.row(11)
    assert last.height() >= LEAST_ROW_PX - 1
    assert last.bottom() <= 150 - 15 - 20


def test_more_sites_than_fit_are_scrolled_to(qtbot: QtBot) -> None:
    desk = Desk(qtbot, 40)
    with qtbot.waitSignal(desk.live.updated):
        desk.live.refresh()
    assert desk.strip.bands.minimumHeight() == 40 * LEAST_ROW_PX
    assert desk.strip.bands.row(39).height() >= LEAST_ROW_PX - 1


def test_under_the_pointer_the_chance_is_told(desk: Desk) -> None:
    text = desk.strip.bands.text_at(middle(desk, 0, 6))
    assert text == "S00, day 6: 70 % on the air"  # 1 - 6 * 0.05


def test_an_unknown_band_is_told_as_unknown(desk: Desk) -> None:
    bands = desk.strip.model.view.bands
    row = next(n for n, band in enumerate(bands) if not band.is_known)
    assert desk.strip.bands.text_at(middle(desk, row, 3)).endswith(
        "unknown whether it is on the air"
    )


def test_a_click_selects_the_site_of_the_band(desk: Desk, qtbot: QtBot) -> None:
    qtbot.mouseClick(desk.strip.bands, Qt.MouseButton.LeftButton, pos=middle(desk, 4, 2))
    assert desk.selection.site_id == desk.strip.model.view.bands[4].site_id


def test_keys_walk_the_sites_and_the_days(desk: Desk, qtbot: QtBot) -> None:
    bands, shown = desk.strip.bands, desk.strip.model.view.bands
    qtbot.keyClick(bands, Qt.Key.Key_Down)
    qtbot.keyClick(bands, Qt.Key.Key_Down)
    assert desk.selection.site_id == shown[1].site_id
    qtbot.keyClick(bands, Qt.Key.Key_Up)
    assert desk.selection.site_id == shown[0].site_id
    with qtbot.waitSignal(bands.told) as told:
        qtbot.keyClick(bands, Qt.Key.Key_Right)
    assert told.args == ["S00, day 1: 95 % on the air"]
    QToolTip.hideText()
    qtbot.waitUntil(lambda: not QToolTip.isVisible())


def test_listeners_hear_every_site(desk: Desk) -> None:
    heard = desk.strip.bands.accessibleDescription()
    for band in desk.strip.model.view.bands:
        assert f"{band.site_id}: " in heard


def test_a_higher_chance_is_a_higher_bar_in_any_colour(desk: Desk) -> None:
    desk.strip.resize(800, 330)
    picture = desk.strip.bands.grab().toImage()

    def filled(day: int) -> int:
        at, row = middle(desk, 0, day), desk.strip.bands.row(0)
        sunk = desk.theme.value.sunk.upper()
        rows = range(round(row.top()) + 2, round(row.bottom()) - 2)
        return sum(picture.pixelColor(at.x(), y).name().upper() != sunk for y in rows)

    assert filled(0) > filled(5) > filled(9)


def test_the_strip_can_be_drawn_in_the_dark(desk: Desk) -> None:
    desk.theme.use(DARK)
    picture = desk.strip.bands.grab().toImage()
    at = middle(desk, 0, 9)
    top = round(desk.strip.bands.row(0).top()) + 2
    assert picture.pixelColor(at.x(), top).name().upper() == DARK.sunk
