"""The preview of an import: what was understood, doubted and would change."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from guyline.core.plan import SiteId
from guyline.services.interchange import Column
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.place_import import DEED_COLUMN, DOUBT_COLUMN, PlaceImport, sent_text
from guyline.widgets.import_dialog import ImportDialog
from stories import HALL

CHECKED, UNCHECKED = Qt.CheckState.Checked, Qt.CheckState.Unchecked


def read(desk: Desk, qtbot: QtBot, text: str) -> PlaceImport:
    places = PlaceImport(sent_text(text), desk.document, desk.selection, None, desk)
    QAbstractItemModelTester(places, QAbstractItemModelTester.FailureReportingMode.Fatal, places)
    places.start()
    settled(places, qtbot)
    return places


def settled(places: PlaceImport, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not places.is_busy, timeout=10_000)


def shown(places: PlaceImport, row: int, column: int) -> str:
    return str(places.index(row, column).data())


def tick(places: PlaceImport, row: int) -> object:
    return places.index(row, 0).data(Qt.ItemDataRole.CheckStateRole)


def test_a_position_with_its_sign_lost_is_left_out_until_it_is_put_right(
    desk: Desk, qtbot: QtBot
) -> None:
    places = read(desk, qtbot, "name,lat,lon\nBARN,45.01,-29.97\n")
    assert "north for south" in shown(places, 0, DOUBT_COLUMN)
    assert tick(places, 0) == UNCHECKED
    assert places.has_meant(0)
    places.take_meant(0)
    assert tick(places, 0) == CHECKED
    assert shown(places, 0, DOUBT_COLUMN) == ""
    places.accept()
    position = desk.document.plan.site(SiteId("BARN")).position
    assert position is not None
    assert position.lat_deg == -45.01


def test_a_place_beside_a_site_may_be_taken_as_an_update_or_as_a_new_site(
    desk: Desk, qtbot: QtBot
) -> None:
    # 0.0001° of latitude are 11 m: within the 25 m in which two sites are doubted to be one
    places = read(desk, qtbot, "id,name,lat,lon\nDOOR,The door,-45.0001,-30.0\n")
    assert tick(places, 0) == UNCHECKED
    assert shown(places, 0, DEED_COLUMN) == "left out, seems to be HALL"
    assert places.deeds(0) == ("update HALL", "new site DOOR")
    places.setData(places.index(0, DEED_COLUMN), "new site DOOR")
    assert tick(places, 0) == CHECKED
    before = desk.document.plan.site(HALL)
    places.accept()
    assert desk.document.plan.has_site(SiteId("DOOR"))
    assert desk.document.plan.site(HALL) == before


def test_an_update_keeps_what_the_file_does_not_tell(desk: Desk, qtbot: QtBot) -> None:
    before = desk.document.plan.site(HALL)
    places = read(desk, qtbot, "id,lat,lon\nHALL,-45.002,-30.0\n")
    assert shown(places, 0, DEED_COLUMN) == "update HALL: moved 222 m"  # 0.002° · 111.13 km/°
    places.accept()
    after = desk.document.plan.site(HALL)
    assert replace(after, position=before.position) == before
    assert desk.document.undo_stack.count() == 1


def test_the_same_place_twice_in_a_file_is_taken_once(desk: Desk, qtbot: QtBot) -> None:
    places = read(desk, qtbot, "id,lat,lon\nBARN,-45.01,-29.97\nBARN,-45.01,-29.97\n")
    assert [tick(places, row) for row in range(2)] == [CHECKED, UNCHECKED]
    assert shown(places, 1, DEED_COLUMN) == "left out, the file has BARN twice"


def test_columns_are_given_another_meaning(desk: Desk, qtbot: QtBot) -> None:
    places = read(desk, qtbot, "what,a,b\nBARN,-45.01,-29.97\n")
    assert places.found.columns[1:] == (Column.LATITUDE, Column.LONGITUDE)
    places.read_as(places.with_column(1, Column.LONGITUDE))
    settled(places, qtbot)
    places.read_as(places.with_column(2, Column.LATITUDE))
    settled(places, qtbot)
    (choice,) = places.found.choices
    assert (choice.proposal.place.lat_deg, choice.proposal.place.lon_deg) == (-29.97, -45.01)


def test_a_table_of_which_no_column_is_known_says_so_and_waits_for_a_meaning(
    desk: Desk, qtbot: QtBot
) -> None:
    places = PlaceImport(sent_text("a,b\n12,Barn\n"), desk.document, desk.selection, None, desk)
    with qtbot.waitSignal(places.refused, timeout=10_000):
        places.start()
    settled(places, qtbot)
    assert places.found.table is not None
    assert places.rowCount() == 0


def test_separator_and_decimal_sign_are_put_right_in_the_preview(desk: Desk, qtbot: QtBot) -> None:
    text = "name;lat;lon\nBARN;-45,01;-29,97\n"
    dialog = ImportDialog(PlaceImport(sent_text(text), desk.document, desk.selection, None))
    qtbot.addWidget(dialog)
    dialog.show()
    settled(dialog.places, qtbot)
    assert dialog.mapping.separator.currentText() == "semicolon"
    assert dialog.mapping.comma.isChecked()
    dialog.mapping.separated.emit(",")
    settled(dialog.places, qtbot)
    assert "No column" in dialog.notices.text
    assert dialog.mapping.separator.currentText() == "comma"
    assert not dialog.take.isEnabled()
    dialog.mapping.separated.emit(";")
    settled(dialog.places, qtbot)
    assert not dialog.notices.isVisible()
    dialog.mapping.comma.click()
    settled(dialog.places, qtbot)
    assert not dialog.mapping.comma.isChecked()
    (choice,) = dialog.places.taken  # letters and commas are understood without the mark too
    assert choice.proposal.place.lat_deg == -45.01
    dialog.reject()


def test_the_row_at_hand_is_shown_on_the_map(desk: Desk, qtbot: QtBot) -> None:
    pointed: list[object] = []
    desk.selection.place_changed.connect(pointed.append)
    places = PlaceImport(
        sent_text("name,lat,lon\nA,-45.01,-29.97\nB,-45.02,-29.96\n"),
        desk.document,
        desk.selection,
        None,
    )
    dialog = ImportDialog(places)
    qtbot.addWidget(dialog)
    dialog.show()
    settled(places, qtbot)
    assert pointed[-1] == (-45.01, -29.97)
    qtbot.keyClick(dialog.table, Qt.Key.Key_Down)
    assert pointed[-1] == (-45.02, -29.96)
    dialog.reject()
    assert pointed[-1] is None


@pytest.mark.parametrize("is_taken", [True, False])
def test_all_are_ticked_or_none(desk: Desk, qtbot: QtBot, is_taken: bool) -> None:
    places = read(desk, qtbot, "name,lat,lon\nA,-45.01,-29.97\nB,-45.02,-29.96\n")
    places.tick_all(is_taken)
    assert len(places.taken) == (2 if is_taken else 0)
