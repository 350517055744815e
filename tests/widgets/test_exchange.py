"""Places come in by way of a look at them, and go out without what is private."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QFileDialog,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from guyline.core.plan import Contact, SiteId
from guyline.services.interchange import read_places
from guyline.services.plan_files import load_plan
from guyline.viewmodels.desk import Desk
from guyline.widgets.exchange import Exchange
from guyline.widgets.import_dialog import ImportDialog
from guyline.widgets.notices import NoticeBar
from stories import HILL


@pytest.fixture
def exchange(desk: Desk, qtbot: QtBot) -> Iterator[Exchange]:
    window = QWidget()
    qtbot.addWidget(window)
    return Exchange(desk, NoticeBar(window), window)


def written(exchange: Exchange, qtbot: QtBot) -> None:
    """Wait until what was asked for is written, or refused."""
    qtbot.waitUntil(lambda: not exchange.is_busy, timeout=10_000)


def dialog_of(exchange: Exchange, qtbot: QtBot) -> ImportDialog:
    def is_there() -> bool:
        return exchange._window.findChild(ImportDialog) is not None

    qtbot.waitUntil(is_there, timeout=10_000)
    dialog = exchange._window.findChild(ImportDialog)
    assert isinstance(dialog, ImportDialog)
    qtbot.waitUntil(lambda: not dialog.places.is_busy, timeout=10_000)
    return dialog


def shown(dialog: ImportDialog, row: int, column: int) -> str:
    return str(dialog.places.index(row, column).data())


def test_ticked_places_become_sites_in_one_undoable_step(
    exchange: Exchange, desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "places.csv"
    path.write_text("name,lat,lon\nPIER,-45.01,-29.97\nMILL,-45.02,-29.95\n")
    exchange.read(path)
    dialog = dialog_of(exchange, qtbot)
    assert len(dialog.places.taken) == 2
    dialog.table.setCurrentIndex(dialog.places.index(1, 0))
    qtbot.keyClick(dialog.table, Qt.Key.Key_Space)
    dialog.accept()
    assert desk.document.plan.has_site(SiteId("PIER"))
    assert not desk.document.plan.has_site(SiteId("MILL"))
    desk.document.undo_stack.undo()
    assert not desk.document.plan.has_site(SiteId("PIER"))


def test_a_place_that_is_there_already_is_not_ticked(
    exchange: Exchange, desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    exchange.write(tmp_path / "sites.gpx")
    written(exchange, qtbot)
    exchange.read(tmp_path / "sites.gpx")
    dialog = dialog_of(exchange, qtbot)
    assert dialog.places.rowCount() == 3
    assert dialog.places.taken == ()
    assert not dialog.take.isEnabled()
    assert shown(dialog, 0, 3) == "HALL is there already, and the same"
    dialog.reject()


def test_a_file_that_is_none_is_told_and_changes_nothing(
    exchange: Exchange, desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "places.gpx"
    path.write_text("no xml")
    before = desk.document.plan
    exchange.read(path)
    dialog = dialog_of(exchange, qtbot)
    assert dialog.notices.text != ""
    assert not dialog.take.isEnabled()
    dialog.reject()
    assert desk.document.plan is before


def test_exported_places_are_the_sites(exchange: Exchange, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "sites.geojson"
    exchange.write(path)
    written(exchange, qtbot)
    places = read_places(path).places
    assert [place.identifier for place in places] == ["HALL", "HILL", "SHED"]
    assert "3 sites written" in exchange._notices.text


def test_a_copy_to_give_away_has_no_telephone_numbers(
    exchange: Exchange, desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    contact = Contact(name="Keeper", phone="0123 456789")
    site = replace(desk.document.plan.site(HILL), contacts=(contact,))
    desk.document.edit(desk.document.plan.with_site(site), "Add contact")
    exchange.share(tmp_path / "share.plan.json")
    written(exchange, qtbot)
    assert "456789" not in (tmp_path / "share.plan.json").read_text()
    assert load_plan(tmp_path / "share.plan.json").has_site(HILL)
    assert desk.document.plan.site(HILL).contacts == (contact,)


def test_a_folder_that_is_not_there_is_told(
    exchange: Exchange, qtbot: QtBot, tmp_path: Path
) -> None:
    exchange.write(tmp_path / "missing" / "sites.gpx")
    written(exchange, qtbot)
    assert exchange._notices.text.startswith("sites.gpx cannot be written")
    exchange.share(tmp_path / "missing" / "share.plan.json")
    written(exchange, qtbot)
    assert exchange._notices.text.startswith("share.plan.json cannot be written")


def test_the_tables_of_incident_command_are_written_beside_each_other(
    exchange: Exchange, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *given: (str(tmp_path / "flood"), "")
    )
    exchange.export_comms_forms()
    written(exchange, qtbot)
    assert "flood ICS 205.csv" in exchange._notices.text
    assert len(list(tmp_path.glob("flood ICS *.csv"))) == 3


def test_every_input_of_the_dialogs_has_a_name_for_who_cannot_see_it(
    exchange: Exchange, qtbot: QtBot, tmp_path: Path
) -> None:
    exchange.share(tmp_path / "copy.plan.json")
    written(exchange, qtbot)
    table = tmp_path / "places.csv"
    table.write_text("name,lat,lon\nPIER,-45.01,-29.97\n")
    exchange.read(table)
    looked = dialog_of(exchange, qtbot)
    merging, terrain = exchange.merge(tmp_path / "copy.plan.json"), exchange.get_terrain()
    history = exchange.show_changes()
    qtbot.waitUntil(lambda: not merging.merge.is_busy, timeout=10_000)
    kinds = (QComboBox, QAbstractItemView, QPlainTextEdit, QAbstractButton)
    inputs = [
        child
        for dialog in (looked, merging, terrain, history)
        for child in dialog.findChildren(QWidget)
        if isinstance(child, kinds) and child.isVisibleTo(dialog)
        if not isinstance(child.parent(), QAbstractItemView)  # headers go by their table's name
    ]
    assert len(inputs) > 20
    nameless = [
        child
        for child in inputs
        if not child.accessibleName() and not (isinstance(child, QAbstractButton) and child.text())
    ]
    assert nameless == []
    for dialog in (looked, merging, terrain, history):
        dialog.reject()
