"""A position is read back and shown on the map before it is taken."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from guyline.core.plan import Position
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.position_entry import meanings
from guyline.widgets.site_form import POSITION, SiteForm
from stories import HILL

NEAR = "45 00.6 S 29 58.2 W"  # 45.01° S 29.97° W, in degrees and minutes


@pytest.fixture
def form(desk: Desk, qtbot: QtBot) -> SiteForm:
    desk.selection.select_site(HILL)
    form = SiteForm(desk.document, desk.selection)
    qtbot.addWidget(form)
    form.show()
    qtbot.waitExposed(form)
    form.go_to(POSITION)
    return form


@pytest.fixture
def pointed(desk: Desk) -> list[object]:
    """Every place that was shown on the map."""
    places: list[object] = []
    desk.selection.place_changed.connect(places.append)
    return places


def editor(form: SiteForm) -> QLineEdit:
    found = next(f for f in form.forms if f.has(POSITION)).row(POSITION).editor
    assert isinstance(found, QLineEdit)
    return found


def typed(form: SiteForm, qtbot: QtBot, text: str) -> QLineEdit:
    line = editor(form)
    line.selectAll()
    qtbot.keyClicks(line, text)
    return line


def position(desk: Desk) -> Position:
    found = desk.document.plan.site(HILL).position
    assert found is not None
    return found


def test_every_notation_is_read_back_while_typing_and_nothing_is_taken(
    form: SiteForm, desk: Desk, qtbot: QtBot, pointed: list[object]
) -> None:
    before = position(desk)
    line = typed(form, qtbot, NEAR)
    told = form.echo.told.text()
    assert "45.01000°S 29.97000°W" in told
    assert "45°00.600′S 29°58.200′W" in told
    assert "45°00′36.0″S 29°58′12.0″W" in told
    assert (
        "UTM 26 South" in told
    )  # zone of 30° W to 24° W, rederived: floor((180 - 29.97) / 6) + 1
    assert "MGRS 26G" in told  # band of 48° S to 40° S (DMA TM 8358.1, table 2-? from memory): G
    assert "45.01000°S" in line.accessibleDescription()
    assert pointed[-1] == (pytest.approx(-45.01), pytest.approx(-29.97))
    assert position(desk) == before


def test_enter_takes_it_as_one_undoable_step(
    form: SiteForm, desk: Desk, qtbot: QtBot, pointed: list[object]
) -> None:
    before = position(desk)
    line = typed(form, qtbot, NEAR)
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert position(desk).lat_deg == pytest.approx(-45.01, abs=1e-9)
    assert desk.document.undo_stack.count() == 1
    assert not form.echo.isVisible()
    assert pointed[-1] is None
    assert line.text() == "-45.01000, -29.97000"
    desk.document.undo_stack.undo()
    assert position(desk) == before


def test_escape_leaves_it_as_it_was(form: SiteForm, desk: Desk, qtbot: QtBot) -> None:
    before, text = position(desk), editor(form).text()
    line = typed(form, qtbot, NEAR)
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert line.text() == text
    assert not form.echo.isVisible()
    assert position(desk) == before


def test_a_doubtful_position_waits_for_enter(form: SiteForm, desk: Desk, qtbot: QtBot) -> None:
    before = position(desk)
    line = typed(form, qtbot, "45.01 N 29.97 W")
    assert "north for south" in form.echo.doubted.text()
    qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert position(desk) == before
    line.setFocus()
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert position(desk).lat_deg == pytest.approx(45.01)


def test_a_plain_position_is_taken_when_the_line_is_left(
    form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    line = typed(form, qtbot, "45.01234 S 29.97123 W")
    qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert position(desk).lat_deg == pytest.approx(-45.01234)


def test_one_of_several_meanings_is_chosen_with_the_arrow_keys(
    form: SiteForm, desk: Desk, qtbot: QtBot, pointed: list[object]
) -> None:
    text = "45.01 29.97"
    found = meanings(text, desk.document.plan, None, HILL)
    assert len(found) > 1
    line = typed(form, qtbot, text)
    assert [button.isVisible() for button in form.echo.choices] == [True] * len(found)
    qtbot.keyClick(line, Qt.Key.Key_Down)
    assert form.echo.choices[1].isChecked()
    assert pointed[-1] == found[1].place
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert position(desk).lat_deg == pytest.approx(found[1].place[0], abs=1e-6)
    assert position(desk).lon_deg == pytest.approx(found[1].place[1], abs=1e-6)


def test_what_is_no_position_is_explained_on_enter_and_stays(
    form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    before = position(desk)
    line = typed(form, qtbot, "by the old mill")
    assert not form.echo.isVisible()
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert position(desk) == before
    assert line.text() == "by the old mill"
    assert line.accessibleDescription()


def test_a_jump_since_the_last_version_is_told_while_it_is_typed(
    form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    typed(form, qtbot, "45.0015 S 29.9800 W")
    assert "another datum, or the gate for the mast?" in form.echo.doubted.text()
