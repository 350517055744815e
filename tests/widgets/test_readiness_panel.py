"""The readiness panel: worst first, opened by keys, mended by a button that undo takes back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from conftest import is_settled
from guyline.core.readiness.finding import FindingCode, Verdict, severity
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.entries import Entry
from guyline.widgets.finding_strip import FindingStrip
from guyline.widgets.readiness_panel import EMPTY, ReadinessPanel
from guyline.widgets.theme import DARK, CurrentTheme
from stories import HILL, SHED


@pytest.fixture
def panel(desk: Desk, qtbot: QtBot) -> ReadinessPanel:
    panel = ReadinessPanel(desk.readiness, desk.why_not, CurrentTheme())
    qtbot.addWidget(panel)
    panel.mended.connect(desk.readiness.mend)
    panel.resize(360, 600)
    desk.selection.select_site(HILL)
    return panel


def strips(panel: ReadinessPanel) -> list[FindingStrip]:
    rows = panel._rows
    return [
        widget
        for i in range(rows.count())
        if isinstance(widget := rows.itemAt(i).widget(), FindingStrip)
    ]


def too_loud(desk: Desk, qtbot: QtBot) -> None:
    """Let the shed radiate more than the rule of the plan allows."""
    site = desk.document.plan.site(SHED)
    loud = replace(site, radio=replace(site.radio, tx_power_dbm=30.0))
    desk.document.edit(desk.document.plan.with_site(loud), "Shout")
    desk.selection.select_site(SHED)
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)


def test_without_a_site_the_panel_says_what_to_do_first(desk: Desk, qtbot: QtBot) -> None:
    desk.selection.select_site(None)
    panel = ReadinessPanel(desk.readiness, desk.why_not, CurrentTheme())
    qtbot.addWidget(panel)
    assert not panel._empty.isHidden()
    assert panel._empty.text() == EMPTY


def test_every_finding_of_the_site_has_a_strip_worst_first(
    panel: ReadinessPanel, desk: Desk
) -> None:
    assessed = desk.live.current.site(HILL)  # type: ignore[union-attr]  # the desk is assessed
    shown = [strip._strip for strip in strips(panel)]
    assert len(shown) == len(assessed.findings)
    ranks = [severity(strip.verdict) for strip in shown if strip is not None]
    assert ranks == sorted(ranks)


def test_the_word_of_the_verdict_stands_beside_the_mark(panel: ReadinessPanel, desk: Desk) -> None:
    assessed = desk.live.current.site(HILL)  # type: ignore[union-attr]  # the desk is assessed
    assert panel._word.text() == f"HILL: {assessed.verdict.value}"


def test_enter_opens_the_numbers_and_closes_them_again(
    panel: ReadinessPanel, qtbot: QtBot
) -> None:
    strip = strips(panel)[0]
    qtbot.keyClick(strip, Qt.Key.Key_Return)
    assert strip.is_open
    assert not strip._numbers.isHidden()
    qtbot.keyClick(strip, Qt.Key.Key_Space)
    assert not strip.is_open


def test_the_numbers_name_inputs_sources_and_confidence(panel: ReadinessPanel) -> None:
    margin = next(
        strip
        for strip in strips(panel)
        if strip._strip is not None and strip._strip.key[0] == FindingCode.LINK_MARGIN
    )
    text = margin._numbers.text()
    assert margin._strip is not None
    assert margin._strip.formula.split()[0] in text
    assert "Source:" in text
    for name, value, _ in margin._strip.inputs:
        assert name.split()[0] in text
        assert value.split()[0] in text


def test_a_strip_stays_open_while_its_numbers_change(
    panel: ReadinessPanel, desk: Desk, qtbot: QtBot
) -> None:
    strip = strips(panel)[0]
    strip.toggle()
    site = desk.document.plan.site(HILL)
    desk.document.edit(desk.document.plan.with_site(replace(site, antenna_agl_m=11.0)), "Raise")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    same = [s for s in strips(panel) if s is strip]
    assert same
    assert strip.is_open


def test_what_is_mended_by_the_button_is_undone_by_undo(
    panel: ReadinessPanel, desk: Desk, qtbot: QtBot
) -> None:
    too_loud(desk, qtbot)
    mendable = [s for s in strips(panel) if s._strip is not None and s._strip.can_be_done_here]
    assert mendable, [s._strip.sentence for s in strips(panel) if s._strip is not None]
    before = desk.document.plan
    mendable[0]._mend.click()
    assert desk.document.plan != before
    assert desk.document.undo_stack.undoText().startswith("SHED: ")
    desk.document.undo_stack.undo()
    assert desk.document.plan is before


def test_what_must_be_entered_leads_to_its_field(
    panel: ReadinessPanel, desk: Desk, qtbot: QtBot
) -> None:
    site = desk.document.plan.site(HILL)
    desk.document.edit(desk.document.plan.with_site(replace(site, position=None)), "Forget")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    position = Entry(path="position", site_id=HILL)
    asking = [s for s in strips(panel) if s._strip is not None and s._strip.entry == position]
    with qtbot.waitSignal(panel.entry_wanted) as wanted:
        asking[0]._mend.click()
    assert wanted.args == [position]


def test_ctrl_and_enter_on_a_strip_do_what_its_button_does(
    panel: ReadinessPanel, desk: Desk, qtbot: QtBot
) -> None:
    site = desk.document.plan.site(HILL)
    desk.document.edit(desk.document.plan.with_site(replace(site, position=None)), "Forget")
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    with qtbot.waitSignal(panel.entry_wanted) as wanted:
        qtbot.keyClick(strips(panel)[0], Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert wanted.args[0].site_id == HILL
    assert not strips(panel)[0].is_open


def test_a_strip_is_heard_with_verdict_and_sentence(panel: ReadinessPanel) -> None:
    strip = strips(panel)[0]
    assert strip._strip is not None
    assert strip.accessibleName().startswith(strip._strip.verdict.value)
    assert strip._strip.sentence in strip.accessibleName()


def test_the_panel_paints_in_both_themes(desk: Desk, qtbot: QtBot) -> None:
    theme = CurrentTheme()
    panel = ReadinessPanel(desk.readiness, desk.why_not, theme)
    qtbot.addWidget(panel)
    desk.selection.select_site(HILL)
    light = panel.grab().toImage()
    theme.use(DARK)
    assert panel.grab().toImage() != light


@pytest.mark.parametrize("verdict", Verdict)
def test_tallies_count_each_verdict(verdict: Verdict, panel: ReadinessPanel, desk: Desk) -> None:
    assessed = desk.live.current.site(HILL)  # type: ignore[union-attr]  # the desk is assessed
    count = sum(finding.verdict is verdict for finding in assessed.findings)
    words = {
        Verdict.NO_GO: "against it",
        Verdict.NOT_ASSESSED: "unknown",
        Verdict.CONDITIONS: "with conditions",
        Verdict.GO: "as it should be",
    }
    assert (f"{count} {words[verdict]}" in panel._count.text()) == (count > 0)
