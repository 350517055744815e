"""Forms and lists: each entry is an undoable step, a wrong one stays with its reason beside it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QCheckBox, QLineEdit, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from conftest import save_and_wait
from guyline.core.plan import Fact, Gate, Hazard, ItemState, SiteId
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.record_lists import (
    CHECKLIST,
    CONTACTS,
    GATES,
    LINKS,
    NEEDS,
    PLAN_LISTS,
    SITE_LISTS,
    RecordList,
)
from guyline.viewmodels.record_table import RecordTableModel
from guyline.viewmodels.site_fields import SITE_FIELDS
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.field_form import FieldForm
from guyline.widgets.plan_form import PlanForm
from guyline.widgets.record_editor import RecordEditor
from guyline.widgets.site_form import SiteForm
from stories import HALL, HILL, SHED

FATAL = QAbstractItemModelTester.FailureReportingMode.Fatal


@pytest.fixture
def site_form(desk: Desk, qtbot: QtBot) -> SiteForm:
    desk.selection.select_site(HILL)
    form = SiteForm(desk.document, desk.selection)
    qtbot.addWidget(form)
    return form


@pytest.fixture
def plan_form(desk: Desk, qtbot: QtBot) -> PlanForm:
    form = PlanForm(desk.document, desk.session)
    qtbot.addWidget(form)
    return form


def row(form: SiteForm | PlanForm, path: str):  # type: ignore[no-untyped-def]
    for group in form.findChildren(FieldForm):
        for known in group._rows:
            if known.field.path == path:
                return known
    raise KeyError(path)


def enter(qtbot: QtBot, editor: QLineEdit, text: str) -> None:
    editor.selectAll()
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)


def list_of(form: SiteForm | PlanForm, kind: RecordList) -> RecordEditor:
    return next(e for e in form.findChildren(RecordEditor) if e._model.kind is kind)


def test_every_field_of_a_site_can_be_entered_somewhere(site_form: SiteForm) -> None:
    paths = {r.field.path for form in site_form.forms for r in form._rows}
    assert paths == set(SITE_FIELDS)


def test_connectors_of_the_table_are_proposed_while_typing(site_form: SiteForm) -> None:
    editor = row(site_form, "antenna.port").editor
    completer = editor.completer()
    completer.setCompletionPrefix("sma")
    model = completer.completionModel()
    names = {model.index(i, 0).data() for i in range(model.rowCount())}
    assert names == {"SMA plug", "SMA jack", "RP-SMA plug", "RP-SMA jack"}
    assert row(site_form, "name").editor.completer() is None


def test_every_list_of_the_plan_can_be_filled_somewhere(plan_form: PlanForm) -> None:
    shown = [editor._model.kind for editor in plan_form.findChildren(RecordEditor)]
    assert sorted(kind.path for kind in shown) == sorted(kind.path for kind in PLAN_LISTS)


def test_a_number_typed_into_the_form_is_an_undoable_step(
    site_form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    before = desk.document.plan
    enter(qtbot, row(site_form, "power.battery.capacity_wh").editor, "1,5 kWh")
    battery = desk.document.plan.site(HILL).power.battery
    assert battery is not None
    assert battery.capacity_wh == 1500.0
    desk.document.undo_stack.undo()
    assert desk.document.plan is before
    assert row(site_form, "power.battery.capacity_wh").editor.text() == "400"


def test_a_wrong_entry_stays_with_its_reason_beside_it(
    site_form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    before = desk.document.plan
    height = row(site_form, "antenna_agl_m")
    enter(qtbot, height.editor, "4000")
    assert desk.document.plan is before
    assert height.editor.text() == "4000"
    assert "outside 0 to 300 m" in height.problem.text()
    assert height.editor.accessibleDescription() == height.problem.text()
    enter(qtbot, height.editor, "4")
    assert height.problem.isHidden()
    assert desk.document.plan.site(HILL).antenna_agl_m == 4.0


def test_a_choice_in_the_form_changes_the_plan(site_form: SiteForm, desk: Desk) -> None:
    granted = row(site_form, "permission.is_granted").editor
    assert isinstance(granted, ChoiceBox)
    granted.setCurrentText("no")
    granted.activated.emit(granted.currentIndex())
    assert desk.document.plan.site(HILL).permission.is_granted is Fact.NO


def test_a_long_text_is_taken_when_the_focus_leaves(site_form: SiteForm, desk: Desk) -> None:
    notes = row(site_form, "notes")
    assert isinstance(notes.editor, QPlainTextEdit)
    notes.editor.setPlainText("Two dogs.\nGate on the left.")
    notes.take()
    assert desk.document.plan.site(HILL).notes == "Two dogs.\nGate on the left."


def test_what_belongs_to_a_missing_position_waits_for_it(site_form: SiteForm, desk: Desk) -> None:
    site = desk.document.plan.site(HILL)
    desk.document.edit(desk.document.plan.with_site(replace(site, position=None)), "Forget")
    assert not row(site_form, "position.source").editor.isEnabled()
    assert row(site_form, "position").editor.isEnabled()


def test_the_form_follows_the_selection(site_form: SiteForm, desk: Desk) -> None:
    desk.selection.select_site(SHED)
    assert row(site_form, "name").editor.text() == "The shed"
    desk.selection.select_site(None)
    assert all(form.isHidden() for form in site_form.findChildren(FieldForm))


def test_hazards_are_marked_one_by_one(site_form: SiteForm, desk: Desk) -> None:
    boxes = {box.text(): box for box in site_form.findChildren(QCheckBox)}
    assert set(boxes) == {hazard.value for hazard in Hazard}
    boxes["flood water"].click()
    assert desk.document.plan.site(HILL).hazards == {Hazard.FLOOD_WATER}
    boxes["flood water"].click()
    assert desk.document.plan.site(HILL).hazards == frozenset()


def test_the_kit_list_fills_the_checklist_once(site_form: SiteForm, desk: Desk) -> None:
    held = desk.document.plan.site(HILL).checklist
    site_form.start_checklist()
    filled = desk.document.plan.site(HILL).checklist
    assert filled[: len(held)] == held
    assert len(filled) > len(held)
    site_form.start_checklist()
    assert desk.document.plan.site(HILL).checklist == filled


def test_an_item_is_added_to_the_checklist_changed_and_removed(
    site_form: SiteForm, desk: Desk
) -> None:
    editor = list_of(site_form, CHECKLIST)
    before = desk.document.plan.site(HILL).checklist
    editor.add()
    model, last = editor._model, len(before)
    assert model.setData(model.index(last, 0), "Rope")
    assert model.setData(model.index(last, 2), "packed")
    item = desk.document.plan.site(HILL).checklist[last]
    assert (item.name, item.state) == ("Rope", ItemState.PACKED)
    editor.table.selectRow(last)
    editor.remove()
    assert desk.document.plan.site(HILL).checklist == before


def test_a_gate_is_answered_where_it_stands_and_empty_answers_are_not_kept(
    site_form: SiteForm, desk: Desk
) -> None:
    model = list_of(site_form, GATES)._model
    assert [model.index(i, 0).data() for i in range(model.rowCount())] == [g.value for g in Gate]
    assert not model.flags(model.index(0, 0)) & Qt.ItemFlag.ItemIsEditable
    radio = list(Gate).index(Gate.RADIO)
    assert model.setData(model.index(radio, 6), "Radio lead")
    assert desk.document.plan.site(HILL).record(Gate.RADIO).owner == "Radio lead"
    kept = len(desk.document.plan.site(HILL).gate_records)
    assert model.setData(model.index(radio, 6), "")
    assert len(desk.document.plan.site(HILL).gate_records) == kept - 1


@pytest.mark.parametrize("kind", [*SITE_LISTS, *PLAN_LISTS], ids=lambda kind: kind.title)
def test_every_list_keeps_every_promise_of_qt(desk: Desk, kind: RecordList) -> None:
    document = desk.document

    def holder() -> object:
        return document.plan.site(HILL) if kind in SITE_LISTS else document.plan

    def edit(after: object, text: str) -> None:
        plan = document.plan.with_site(after) if kind in SITE_LISTS else after  # type: ignore[arg-type]
        document.edit(plan, text)  # type: ignore[arg-type]  # the holder of this list

    model = RecordTableModel(kind, holder, edit, desk)
    QAbstractItemModelTester(model, FATAL, desk)
    record = kind.make(document.plan)
    if record is not None:
        model.add(record)
        model.refresh()
        model.remove([model.rowCount() - 1])
        model.refresh()
    document.undo_stack.undo()
    model.refresh()


def test_a_fresh_link_is_the_first_pair_that_is_not_there(plan_form: PlanForm, desk: Desk) -> None:
    list_of(plan_form, LINKS).add()
    assert desk.document.plan.links[-1].ends == frozenset((HALL, SHED))
    list_of(plan_form, LINKS).add()  # every pair is there now
    assert len(desk.document.plan.links) == 3


@pytest.mark.parametrize("kind", [LINKS, NEEDS], ids=lambda kind: kind.title)
def test_a_site_is_not_paired_with_itself(
    plan_form: PlanForm, desk: Desk, qtbot: QtBot, kind: RecordList
) -> None:
    model = list_of(plan_form, kind)._model
    far = model.index(0, 1).data()
    with qtbot.waitSignal(plan_form.refused):
        assert not model.setData(model.index(0, 0), far)


def test_a_link_is_not_entered_twice(plan_form: PlanForm, desk: Desk, qtbot: QtBot) -> None:
    model = list_of(plan_form, LINKS)._model
    with qtbot.waitSignal(plan_form.refused):
        assert not model.setData(model.index(1, 1), HALL)  # HALL and HILL are linked already


def test_elevation_beside_the_plan_is_named_from_it(
    plan_form: PlanForm, desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    assert save_and_wait(desk, tmp_path / "flood.plan.json", qtbot)
    with qtbot.waitSignal(desk.session.opened, timeout=20_000):
        plan_form.take_terrain([tmp_path / "ground.tif"])
    assert desk.document.plan.terrain_sources[0].path == "ground.tif"


def test_an_empty_list_says_what_to_do_first(site_form: SiteForm) -> None:
    editor = list_of(site_form, CONTACTS)
    assert editor.table.isHidden()
    assert not editor._empty.isHidden()
    (add,) = [b for b in editor.findChildren(QPushButton) if b.text() == CONTACTS.adds]
    add.click()
    assert not editor.table.isHidden()


@pytest.mark.parametrize("path", ["antenna_agl_m", "checklist", "gate_records"])
def test_the_form_goes_to_a_field_or_list_and_says_so(site_form: SiteForm, path: str) -> None:
    site_form.show()
    assert site_form.go_to(path)
    assert not site_form.go_to("links")


def test_a_site_that_is_gone_leaves_an_empty_form(site_form: SiteForm, desk: Desk) -> None:
    desk.document.edit(desk.document.plan.without_sites([HILL]), "Remove")
    assert all(form.isHidden() for form in site_form.findChildren(FieldForm))
    assert desk.document.plan.sites[0].site_id == SiteId("HALL")


def test_forms_and_lists_take_up_the_units_of_the_plan(
    site_form: SiteForm, plan_form: PlanForm, desk: Desk, qtbot: QtBot
) -> None:
    desk.selection.select_site(HILL)
    height = row(site_form, "antenna_agl_m")
    assert (height.unit.text(), height.editor.text()) == ("m", "10.0")
    units = row(plan_form, "incident.units").editor
    units.setCurrentText("imperial")
    units.activated.emit(units.currentIndex())
    site_form.refresh()
    plan_form.refresh()
    assert (height.unit.text(), height.editor.text()) == ("ft", "32.81")
    assert "984.252 ft" in height.editor.toolTip()
    enter(qtbot, height.editor, "40")
    assert desk.document.plan.site(HILL).antenna_agl_m == pytest.approx(12.192)
    masses = list_of(site_form, CHECKLIST).table.model()
    headings = [
        masses.headerData(i, Qt.Orientation.Horizontal) for i in range(masses.columnCount())
    ]
    assert "Mass [lb]" in headings
    desk.document.undo_stack.undo()
    desk.document.undo_stack.undo()
    site_form.refresh()
    assert (height.unit.text(), height.editor.text()) == ("m", "10.0")


def test_each_gate_tells_what_a_yes_says_yes_to(site_form: SiteForm) -> None:
    gates = list_of(site_form, GATES).table.model()
    tips = {
        gates.index(i, 0).data(): gates.index(i, 1).data(Qt.ItemDataRole.ToolTipRole)
        for i in range(gates.rowCount())
    }
    assert "Are there two of them at least" in tips["safety and crew"]
    assert "at most 14 days old" in tips["safety and crew"]
    assert tips["radio"].startswith("Worked out")


def test_the_form_goes_to_the_box_of_a_hazard(site_form: SiteForm, qtbot: QtBot) -> None:
    site_form.show()
    site_form.activateWindow()
    assert site_form.go_to("hazards", "flood water")
    box = next(b for b in site_form.findChildren(QCheckBox) if b.text() == "flood water")
    qtbot.waitUntil(box.hasFocus)


def gate_row(site_form: SiteForm, path: str):  # type: ignore[no-untyped-def]
    return site_form.gate.form.row(path)


def test_a_gate_is_answered_in_full_below_the_list_with_its_questions(
    site_form: SiteForm, desk: Desk, qtbot: QtBot
) -> None:
    assert site_form.go_to("gate_records", "safety and crew", "evidence")
    assert site_form.gate._title.text() == "Safety and crew"
    assert "Are there two of them at least" in site_form.gate._questions.text()
    enter(qtbot, gate_row(site_form, "evidence").editor, "roster of 30 May")
    record = desk.document.plan.site(HILL).record(Gate.SAFETY)
    assert record.evidence == "roster of 30 May"
    assert record.answered_by == "Duty planner"  # what was there stays
    assert desk.document.undo_stack.undoText() == "Change evidence for safety and crew of HILL"
    others = [r for r in desk.document.plan.site(HILL).gate_records if r.gate is not Gate.SAFETY]
    desk.document.undo_stack.undo()
    before = desk.document.plan.site(HILL).gate_records
    assert [r for r in before if r.gate is not Gate.SAFETY] == others


def test_a_yes_without_a_name_is_signed_by_the_planner_with_one_button(
    site_form: SiteForm, desk: Desk
) -> None:
    plan = desk.document.plan
    unsigned = replace(plan.site(HILL), gate_records=())
    named = replace(plan, incident=replace(plan.incident, planner="M. Planner"))
    desk.document.edit(named.with_site(unsigned), "Start again")
    site_form.refresh()
    site_form.go_to("gate_records", "need", "answer")
    gate = site_form.gate
    assert gate.sign.isHidden()  # nothing is answered yet
    gate._today = lambda: date(2031, 5, 30)
    answer = gate_row(site_form, "answer").editor
    answer.setCurrentText("yes")
    answer.activated.emit(answer.currentIndex())
    site_form.refresh()
    assert not gate.sign.isHidden()
    assert gate.sign.text() == "Sign as M. Planner, today"
    gate.sign.click()
    site_form.refresh()
    record = desk.document.plan.site(HILL).record(Gate.NEED)
    assert (record.answered_by, record.answered_on) == ("M. Planner", date(2031, 5, 30))
    assert gate.sign.isHidden()


def test_a_gate_that_is_emptied_again_is_not_kept(site_form: SiteForm, desk: Desk) -> None:
    site_form.go_to("gate_records", "need", "owner")
    for path in ("answer", "evidence", "answered_by", "answered_on"):
        site_form.gate.form.enter(
            gate_row(site_form, path).field, "unknown" if path == "answer" else ""
        )
    kept = desk.document.plan.site(HILL).gate_records
    assert Gate.NEED not in {record.gate for record in kept}
