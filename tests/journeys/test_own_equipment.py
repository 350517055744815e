"""A planner's own radio, cable and antenna: from tables of theirs into budget and finding."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from conftest import is_settled, save_and_wait
from guyline import command_line
from guyline.core.plan import SiteId
from guyline.core.radio.feeder import ARRESTOR_LOSS_DB, JOINT_LOSS_DB
from guyline.core.readiness.finding import Finding, FindingCode
from guyline.services import catalogues
from guyline.services.opening import demo_copy, open_plan
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.equipment import CHOOSERS, proposed_names
from guyline.viewmodels.selection import PathEnd
from guyline.viewmodels.settings import Settings
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.field_form import FieldForm
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

KITE, PORT = SiteId("KITE"), SiteId("PORT")
ANTENNA, RADIO, CABLE = "Our short collinear", "Our rebuilt radio", "Our blue coax"
TABLES = {
    "antennas.csv": "key,name,pattern,gain_dbi,polarisation,low_hz,high_hz,source,confidence\n"
    f"our-7,{ANTENNA},omni,7.4,vertical,860000000,880000000,measured on our own roof,A\n",
    "radios.csv": "key,name,tx_power_dbm,max_tx_power_dbm,noise_figure_db,supply_v,receive_a,"
    "transmit_a,host_a,source,confidence\n"
    f"our-radio,{RADIO},17.5,20,4.5,12,0.01,0.1,0.02,measured on our own bench,A\n",
    "feeders.csv": "key,name,k1_db_per_100ft,k2_db_per_100ft,source,confidence\n"
    f"our-blue,{CABLE},0.2,0.001,measured on our own bench,A\n",
    "connectors.csv": "key,name,family,impedance_ohm,body,contact,is_weatherproof,source,"
    "confidence\nour-plug,QX plug,QX,50,plug,pin,yes,measured on our own bench,A\n",
}
LONG_MS = 90_000


@pytest.fixture
def own_tables() -> Iterator[Path]:
    """The folder in which the program looks, filled."""
    for known in (catalogues.own_catalogues, catalogues.usable_catalogues):
        known.cache_clear()
    folder = catalogues.own_folder()
    folder.mkdir(parents=True)
    for name, text in TABLES.items():
        (folder / name).write_text(text, encoding="utf-8")
    yield folder
    for known in (catalogues.own_catalogues, catalogues.usable_catalogues):
        known.cache_clear()


@pytest.fixture
def plan_path(tmp_path: Path) -> Path:
    return demo_copy(tmp_path / "plans")


@pytest.fixture
def window(
    own_tables: Path, plan_path: Path, qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> Iterator[MainWindow]:
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    desk = Desk(Settings(store))
    window = MainWindow(desk, CurrentTheme())
    qtbot.addWidget(window, before_close_func=lambda w: desk.document.undo_stack.setClean())
    window.resize(1366, 768)
    window.show()
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        desk.session.open(plan_path)
    settle(qtbot, window)
    yield window
    qapp.setStyleSheet("")


def settle(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)


def choose(window: MainWindow, qtbot: QtBot, path: str, title: str) -> None:
    """Pick an entry of a list on the page of the site's details."""
    box = next(
        row.editor
        for form in window.workspace.details.findChildren(FieldForm)
        for row in form._rows
        if row.field.path == path
    )
    assert isinstance(box, ChoiceBox)
    index = box.findText(title)
    assert index >= 0
    box.setCurrentIndex(index)
    box.activated.emit(index)
    settle(qtbot, window)


def beam_of(window: MainWindow) -> Finding:
    assert window.desk.live.current is not None
    findings = window.desk.live.current.site(KITE).findings
    return next(f for f in findings if f.code is FindingCode.ANTENNA_BEAM)


def test_own_equipment_is_proposed_chosen_counted_in_the_budget_and_told_by_the_command_line(
    window: MainWindow, plan_path: Path, qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    desk = window.desk
    # the finding holds the planner's own antenna beside the one that overshoots
    assert ANTENNA in beam_of(window).fact("better")

    desk.selection.select_site(KITE)
    for path, title in (("antenna", ANTENNA), ("radio", RADIO), ("feeder", CABLE)):
        choose(window, qtbot, path, title)
    site = desk.document.plan.site(KITE)
    assert (site.antenna.gain_dbi, site.radio.tx_power_dbm) == (7.4, 17.5)
    assert site.antenna.source == "measured on our own roof [A]"
    assert beam_of(window).fact("peak") == "7.4"
    assert "QX plug" in proposed_names("connectors")

    # the budget counts with the rows of the tables: power, k1 and k2 over the length, noise
    port = desk.document.plan.site(PORT).position
    assert site.position is not None
    assert port is not None
    desk.selection.select_path(
        (
            PathEnd(lat_deg=site.position.lat_deg, lon_deg=site.position.lon_deg, site_id=KITE),
            PathEnd(lat_deg=port.lat_deg, lon_deg=port.lon_deg, site_id=PORT),
        )
    )
    link = desk.link.link
    assert link is not None
    assert link.budget is not None
    away = link.budget.forward if link.link.from_id == KITE else link.budget.backward
    back = link.budget.backward if link.link.from_id == KITE else link.budget.forward
    assert away.tx_power_dbm == 17.5
    assert site.feeder.length_m is not None
    bought = FeederLoss.of(site.feeder.length_m, site.feeder.joints, site.feeder.has_arrestor)
    assert away.tx_feeder_loss_db == pytest.approx(bought)
    assert away.tx_gain_dbi <= 7.4
    # -174 + 10 log10 125 kHz + 4.5 - 15 dB (SF 10): own noise figure, nothing added at a hilltop
    assert back.sensitivity_dbm == pytest.approx(-174 + 50.969 + 4.5 - 15.0, abs=0.01)
    steps = desk.link.directions()[0].steps
    assert any(step.change_db in (17.5, away.tx_gain_dbi) for step in steps)

    assert save_and_wait(desk, plan_path, qtbot)
    assert load_plan(plan_path).site(KITE) == site
    command_line.main(["check", str(plan_path), "--json"])
    told = json.loads(capsys.readouterr().out)
    kite = next(known for known in told["sites"] if known["identifier"] == KITE)
    margins = [f["value"] for f in kite["findings"] if f["code"] == "link-margin"]
    assert any(value == pytest.approx(link.margin_db, abs=0.06) for value in margins)


def test_command_line_proposes_own_antenna_too(
    own_tables: Path, plan_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command_line.main(["check", str(plan_path)])
    assert ANTENNA in capsys.readouterr().out


def test_tables_that_are_not_right_leave_the_shipped_ones_to_choose_from_and_say_why(
    own_tables: Path, plan_path: Path, qtbot: QtBot
) -> None:
    (own_tables / "antennas.csv").write_text("key,name\nx,y\n", encoding="utf-8")
    (problem,) = open_plan(plan_path).problems
    assert "antennas.csv" in problem
    titles = CHOOSERS["antennas"].titles
    assert ANTENNA not in titles
    assert len(titles) > 10


class FeederLoss:
    """The cable of the test's own table, by the formula of the trade: k1 sqrt f + k2 f."""

    @staticmethod
    def of(length_m: float, joints: int, has_arrestor: bool) -> float:
        per_100ft = 0.2 * 869.525**0.5 + 0.001 * 869.525
        return (
            per_100ft * length_m / 30.48 + JOINT_LOSS_DB * joints + ARRESTOR_LOSS_DB * has_arrestor
        )
