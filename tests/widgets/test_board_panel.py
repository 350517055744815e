"""The board on screen: every line can be reached and chosen by keys, and heard."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.board_rows import MOST_LINES
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.entries import Entry
from guyline.widgets.board_panel import BoardLine, BoardPanel
from guyline.widgets.decision_line import DecisionLine
from guyline.widgets.theme import DARK, CurrentTheme


@pytest.fixture
def panel(desk: Desk, qtbot: QtBot) -> BoardPanel:
    panel = BoardPanel(desk.live, CurrentTheme())
    qtbot.addWidget(panel)
    assert desk.live.current is not None
    panel.show_assessment(desk.live.current)
    return panel


def test_a_line_is_chosen_by_enter_space_or_a_click(panel: BoardPanel, qtbot: QtBot) -> None:
    line = next(line for line in panel.findChildren(BoardLine) if line._row.site_id is not None)
    for choose in (
        lambda: qtbot.keyClick(line, Qt.Key.Key_Return),
        lambda: qtbot.keyClick(line, Qt.Key.Key_Space),
        lambda: qtbot.mouseClick(line, Qt.MouseButton.LeftButton),
    ):
        with qtbot.waitSignal(panel.site_chosen) as chosen:
            choose()
        assert chosen.args == [line._row.site_id]


def test_a_first_step_leads_to_its_place_or_does_its_action(
    panel: BoardPanel, desk: Desk, qtbot: QtBot
) -> None:
    step = next(line for line in panel.findChildren(BoardLine) if line._row.action)
    with qtbot.waitSignal(panel.action_wanted) as wanted:
        qtbot.keyClick(step, Qt.Key.Key_Return)
    assert wanted.args == ["get_terrain"]
    assert desk.live.current is not None
    needless = replace(desk.live.current.plan, needs=())
    panel.show_assessment(replace(desk.live.current, plan=needless))
    step = next(line for line in panel.findChildren(BoardLine) if line._row.entry)
    with qtbot.waitSignal(panel.entry_wanted) as wanted:
        qtbot.mouseClick(step, Qt.MouseButton.LeftButton)
    assert wanted.args == [Entry(path="needs")]


def test_a_board_of_thousands_shows_the_first_and_counts_the_rest(
    panel: BoardPanel, desk: Desk
) -> None:
    current = desk.live.current
    assert current is not None
    network = replace(current.network, needs=current.network.needs * 100)
    panel.show_assessment(replace(current, network=network))
    needs = [line for line in panel.findChildren(BoardLine) if "priority" in line._row.head]
    assert len(needs) == MOST_LINES
    assert f"And {100 - MOST_LINES} more." in {
        label.text() for label in panel.widget().findChildren(QLabel)
    }


def test_every_line_is_heard_with_its_state(panel: BoardPanel) -> None:
    for line in panel.findChildren(BoardLine):
        assert line._row.head in line.accessibleName()
        if line._row.verdict is not None:
            assert line.accessibleName().startswith(line._row.verdict.value)


def test_an_assessment_that_changes_nothing_lays_nothing_out_anew(
    panel: BoardPanel, desk: Desk
) -> None:
    before = panel.widget()
    assert desk.live.current is not None
    panel.show_assessment(desk.live.current)
    assert panel.widget() is before


def test_the_decision_line_counts_the_sites_of_each_verdict(desk: Desk, qtbot: QtBot) -> None:
    line = DecisionLine(desk.live, CurrentTheme())
    qtbot.addWidget(line)
    assert desk.live.current is not None
    for verdict, button in line._tallies.items():
        count = sum(site.verdict is verdict for site in desk.live.current.sites)
        assert button.text() == str(count)
        assert button.isEnabled() == (count > 0)
        assert verdict.value in button.accessibleName()


def test_a_tally_asks_for_its_sites_and_again_for_all(desk: Desk, qtbot: QtBot) -> None:
    line = DecisionLine(desk.live, CurrentTheme())
    qtbot.addWidget(line)
    asked: list[Verdict | None] = []
    line.verdict_chosen.connect(asked.append)
    button = next(button for button in line._tallies.values() if button.isEnabled())
    button.click()
    button.click()
    assert asked[0] is not None
    assert asked[1] is None


def test_board_and_decision_line_paint_in_both_themes(desk: Desk, qtbot: QtBot) -> None:
    theme = CurrentTheme()
    line = DecisionLine(desk.live, theme)
    qtbot.addWidget(line)
    line.resize(900, 80)
    light = line.grab().toImage()
    theme.use(DARK)
    assert line.grab().toImage() != light
