"""A volunteer begins with nothing, follows the board, and prints sheets of sites that are GO."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import rasterio
from pypdf import PdfReader
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot
from rasterio.transform import Affine

from conftest import is_settled
from guyline.core.plan import ASKED, Gate, Plan
from guyline.core.readiness.assessment import SiteAssessment
from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.settings import Settings
from guyline.widgets.board_panel import BoardLine
from guyline.widgets.field_form import FieldForm
from guyline.widgets.import_dialog import ImportDialog
from guyline.widgets.main_window import MainWindow
from guyline.widgets.record_editor import RecordEditor
from guyline.widgets.theme import CurrentTheme, load_fonts

PLACES = "Hall 46°06.00'S 128°57.00'W\nClinic 46°05.40'S 128°55.20'W\n"
LONG_MS = 120_000  # the loops of the power simulation may have to be compiled first

OF_BOTH = {
    "surroundings": "open country",
    "radio": "Pocket radio, newer transceiver at 14 dBm",
    "antenna": "Outdoor vertical, 3 dBi",
    "antenna_agl_m": "12",
    "feeder": "RG-213",
    "feeder.length_m": "2",
    "position.uncertainty_m": "5",
    "packets_per_hour": "10",
    "power.source": "mains with backup",
    "power.battery": "LiFePO4 12.8 V 20 Ah",
    "power.battery.health_fraction": "95",
    "power.battery.charge_fraction": "100",
    "power.battery.is_tested": "yes",
    "power.converter_efficiency": "85",
    "power.converter_quiescent_w": "0.05",
    "power.coldest_c": "10",
    "power.mains_is_unswitched": "yes",
    "power.mains_has_rcd": "yes",
    "power.backup_hours_needed": "48",
    "permission.is_granted": "yes",
    "permission.is_written": "yes",
    "permission.granted_by": "Parish council",
    "permission.granted_on": "2031-05-20",
    "permission.expires_on": "2031-12-31",
    "permission.key_holder": "Warden",
}


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[MainWindow]:
    load_fonts()
    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    desk = Desk(Settings(store))
    window = MainWindow(desk, CurrentTheme())
    qtbot.addWidget(window, before_close_func=lambda w: desk.document.undo_stack.setClean())
    window.resize(1366, 768)
    window.show()
    yield window
    qapp.setStyleSheet("")


@pytest.fixture
def elevation(tmp_path: Path) -> Path:
    """A flat coast 20 m above the sea, about 11 by 16 km."""
    path = tmp_path / "coast.tif"
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        width=400,
        height=400,
        count=1,
        dtype="float32",
        crs="EPSG:4326",
        transform=Affine(0.0005, 0.0, -129.05, 0.0, -0.0005, -46.0),
    ) as raster:
        raster.write(np.full((400, 400), 20.0, np.float32), 1)
    return path


def settle(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: is_settled(window.desk), timeout=LONG_MS)


def open_steps(window: MainWindow) -> list[str]:
    """Heads of the first steps that the board still shows."""
    lines = [line._row for line in window.workspace.board.widget().findChildren(BoardLine)]
    return [row.head for row in lines if re.match(r"\d+\. ", row.head)]


def assessed(window: MainWindow) -> tuple[SiteAssessment, ...]:
    assert window.desk.live.current is not None
    return window.desk.live.current.sites


def enter(window: MainWindow, path: str, text: str) -> None:
    """Go to a field as a finding does, and enter it with the keyboard's own means."""
    work = window.workspace
    work.enter_at(path)
    for page in (work.details, work.plan):
        for form in page.findChildren(FieldForm):
            if form.has(path):
                editor = form.row(path).editor
                if isinstance(editor, QComboBox):
                    assert editor.findText(text) >= 0, (path, text)
                    editor.setCurrentText(text)
                    editor.activated.emit(editor.currentIndex())
                else:
                    assert isinstance(editor, QLineEdit)
                    editor.setText(text)
                    editor.setModified(True)
                    editor.editingFinished.emit()
                assert form.row(path).problem.isHidden(), form.row(path).problem.text()
                return
    raise AssertionError(path)


def records(window: MainWindow, path: str) -> RecordEditor:
    work = window.workspace
    work.enter_at(path)
    editors = [*work.details.findChildren(RecordEditor), *work.plan.findChildren(RecordEditor)]
    return next(editor for editor in editors if editor.path == path)


def put(editor: RecordEditor, row: int, path: str, text: str) -> None:
    model = editor.table.model()
    column = next(i for i, f in enumerate(editor._model.kind.fields) if f.path == path)
    assert model.setData(model.index(row, column), text, Qt.ItemDataRole.EditRole)


def press(editor: RecordEditor, text: str) -> None:
    next(b for b in editor.findChildren(QPushButton) if b.text() == text).click()


def test_from_an_empty_plan_to_the_sheet_of_a_site_that_is_go(
    window: MainWindow,
    qtbot: QtBot,
    tmp_path: Path,
    elevation: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    desk, work = window.desk, window.workspace
    with qtbot.waitSignal(desk.session.opened, timeout=LONG_MS):
        window.actions_by_key["new"].trigger()
    settle(qtbot, window)
    assert len(open_steps(window)) == 10

    enter(window, "incident.name", "Spring flood")
    enter(window, "incident.start_on", "2031-06-01")
    enter(window, "incident.mission_days", "7")
    enter(window, "incident.planner", "Duty planner")

    QGuiApplication.clipboard().setText(PLACES)
    window.actions_by_key["paste_places"].trigger()
    (dialog,) = window.findChildren(ImportDialog)
    qtbot.waitUntil(lambda: not dialog.places.is_busy, timeout=LONG_MS)
    dialog.take.click()
    ids = [site.site_id for site in desk.document.plan.sites]
    assert len(ids) == 2

    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *given: ([str(elevation)], ""))
    press(records(window, "terrain_sources"), "Add file…")
    settle(qtbot, window)
    press(records(window, "needs"), "Add need")
    work.table.selectAll()
    window.actions_by_key["link_sites"].trigger()
    enter(window, "radio_rule.limit_dbm", "14")
    enter(window, "radio_rule.limit_kind", "ERP")
    enter(window, "radio_rule.duty_fraction", "10")
    enter(window, "radio_rule.source", "read by the planner")
    settle(qtbot, window)
    assert [head.partition(". ")[0] for head in open_steps(window)] == ["7", "8", "9", "10"]
    for n, site_id in enumerate(ids):
        work.table.show_site(site_id)
        for path, text in OF_BOTH.items():
            enter(window, path, text)
        enter(window, "function", "end point" if n else "gateway")
        enter(window, "radio.identifier", f"U-0{n + 1}")
        kit = records(window, "checklist")
        press(kit, "Start from kit list")
        for row in range(kit.table.model().rowCount()):
            put(kit, row, "state", "in hand")
        gates = records(window, "gate_records")
        for gate in ASKED:
            row = list(Gate).index(gate)
            put(gates, row, "answer", "yes")
            put(gates, row, "evidence", "seen")
            put(gates, row, "answered_by", "Duty planner")
            put(gates, row, "answered_on", "2031-05-25")
        row = list(Gate).index(Gate.RECOVERY)
        put(gates, row, "owner", "Stores")
        put(gates, row, "due_on", "2031-06-10")
    settle(qtbot, window)
    assert open_steps(window) == []

    assert {site.verdict for site in assessed(window)} == {Verdict.NO_GO}  # a little too loud
    for site_id in ids:
        work.table.show_site(site_id)
        window.actions_by_key["show_readiness"].trigger()
        card = work.readiness.card
        card.ask.click()
        qtbot.waitUntil(lambda: not desk.why_not.is_working, timeout=LONG_MS)
        assert not card.do_all.isHidden(), desk.why_not.headline
        card.do_all.click()
    settle(qtbot, window)
    assert {site.verdict for site in assessed(window)} == {Verdict.GO}
    assert "If we go today: 1 of 1 need met." in work.decision.text

    paper = tmp_path / "sheets.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *given: (str(paper), ""))
    window.actions_by_key["export_pdf"].trigger()
    qtbot.waitUntil(paper.exists, timeout=LONG_MS)
    texts = [" ".join(page.extract_text().split()) for page in PdfReader(paper).pages]
    for site_id in ids:
        sheet = next(text for text in texts if text.lstrip().startswith(str(site_id)))
        assert "NO-GO" not in sheet
        assert "GO" in sheet.split()
        assert "Spring flood" in sheet
    while desk.document.undo_stack.canUndo():
        desk.document.undo_stack.undo()
    assert desk.document.plan == Plan()
