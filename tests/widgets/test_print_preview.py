from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from coverage_stories import valley_plan, valley_report
from guyline.core.plan import Contact, Plan
from guyline.services.assessment import Assessor
from guyline.services.documents.choice import COVERAGE
from guyline.services.documents.coverage_page import coverage_page
from guyline.services.documents.imprint import Printing
from guyline.services.elevation import Terrain
from guyline.services.job import Job
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.paper.marks import Page, Words
from guyline.viewmodels.paper.page_size import LETTER
from guyline.viewmodels.paper.print_run import PrintRun
from guyline.viewmodels.paper.printed_sheets import PrintedSheets
from guyline.viewmodels.settings import Settings, stored_settings
from guyline.widgets.notices import NoticeBar
from guyline.widgets.print_painting import on_both_sides, on_one_side, paint_leaves
from guyline.widgets.print_preview import (
    PrintPreview,
    export_pdf,
    print_sheets,
    write_chosen,
)
from sheet_stories import full_plan
from stories import HALL, HILL, DrawnTerrain


class Desk:
    def __init__(self) -> None:
        self.document = PlanDocument(full_plan())
        self.printed = PrintedSheets(Settings(stored_settings()))
        self.live = LiveAssessment(self.document, Assessor(DrawnTerrain()))  # type: ignore[arg-type]


@pytest.fixture
def desk(qtbot: QtBot) -> Iterator[Desk]:
    desk = Desk()
    with qtbot.waitSignal(desk.live.settled, timeout=30_000):
        desk.live.refresh()
    yield desk
    desk.live.shut_down()


@pytest.fixture
def run(desk: Desk, qtbot: QtBot) -> PrintRun:
    run = PrintRun(desk.document, desk.live, desk.printed, "flood")
    with qtbot.waitSignal(run.ready, timeout=30_000):
        run.refresh()
    return run


@pytest.fixture
def preview(desk: Desk, qtbot: QtBot) -> PrintPreview:
    run = PrintRun(desk.document, desk.live, desk.printed, "flood")
    with qtbot.waitSignal(run.ready, timeout=30_000):
        preview = PrintPreview(run)
        qtbot.addWidget(preview)
    return preview


def ticks(preview: PrintPreview) -> list[str]:
    items = [preview.choices.item(row) for row in range(preview.choices.count())]
    return [i.text() for i in items if i.checkState() == Qt.CheckState.Checked]


def words_on(pages: tuple[Page, ...]) -> set[str]:
    return {
        mark.text
        for page in pages
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Words)
    }


def test_all_documents_are_offered_and_those_for_the_crew_chosen(preview: PrintPreview) -> None:
    assert preview.choices.count() == len(preview.run.choices) > 5
    assert len(ticks(preview)) == 5  # review, power, three sites; the others on request
    assert preview.print_button.isEnabled()
    assert "5 documents" in preview.state.text()


def test_a_verdict_stands_as_a_word_in_the_list(preview: PrintPreview) -> None:
    assert "HALL: GO" in ticks(preview)


def test_one_sheet_can_be_chosen(preview: PrintPreview, qtbot: QtBot) -> None:
    preview.choose_none()
    assert not preview.print_button.isEnabled()
    item = next(
        preview.choices.item(row)
        for row in range(preview.choices.count())
        if preview.choices.item(row).text().startswith(HILL)
    )
    item.setCheckState(Qt.CheckState.Checked)
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert "1 document" in preview.state.text()


def test_letter_paper_reaches_the_pages(preview: PrintPreview, qtbot: QtBot) -> None:
    preview.sizes.setCurrentText("Letter")
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert preview.pages[0].width_mm == LETTER.width_mm


def test_an_edit_is_seen_in_the_open_preview(
    desk: Desk, preview: PrintPreview, qtbot: QtBot
) -> None:
    plan = desk.document.plan
    assert "Renamed hill" not in words_on(preview.pages)
    hill = replace(plan.site(HILL), name="Renamed hill")
    desk.document.edit(plan.with_site(hill), "Rename")
    assert not preview.print_button.isEnabled()  # what lies there is out of date
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert "Renamed hill" in words_on(preview.pages)


def test_what_was_left_out_stays_left_out_after_an_edit(
    desk: Desk, preview: PrintPreview, qtbot: QtBot
) -> None:
    preview.choices.item(0).setCheckState(Qt.CheckState.Unchecked)
    plan = desk.document.plan
    desk.document.edit(plan.with_site(replace(plan.site(HILL), name="High hill")), "Rename")
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert preview.choices.item(0).checkState() == Qt.CheckState.Unchecked
    assert len(ticks(preview)) == 4


def test_only_changed_sheets_are_chosen_for_printing_again(
    desk: Desk, preview: PrintPreview, qtbot: QtBot, tmp_path: Path
) -> None:
    write_chosen(preview.run, tmp_path / "first.pdf", preview)
    assert all(text.endswith("(printed)") for text in ticks(preview))
    plan = desk.document.plan
    contact = Contact(name="The new farmer", phone="000-0777")
    desk.document.edit(plan.with_site(replace(plan.site(HILL), contacts=(contact,))), "Contact")
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    preview.choose_changed()
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert [text.split(":")[0] for text in ticks(preview)] == [HILL]


def test_pointing_at_a_document_turns_the_preview_to_it(
    preview: PrintPreview, qtbot: QtBot
) -> None:
    preview.show()
    preview.choices.setCurrentRow(2)
    expected = preview.run.first_page_of(f"site {HALL}")
    assert expected == 3  # after one page of review and one of power
    qtbot.waitUntil(lambda: preview.preview.currentPage() == expected, timeout=10_000)
    preview.close()


def test_printing_gives_the_pages_of_the_preview(run: PrintRun, tmp_path: Path) -> None:
    path = tmp_path / "printed.pdf"
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(path))
    paint_leaves(printer, run.leaves)
    reader = PdfReader(path)
    assert len(reader.pages) == len(run.pages)
    text = " ".join(reader.pages[-1].extract_text().split())
    assert "SHED, page" in text


def test_on_both_sides_each_document_begins_on_a_leaf_of_its_own(run: PrintRun) -> None:
    one, two, three = run.pages[0], run.pages[1], run.pages[2]
    leaves = ((one,), (two, three), (one, two, three), (one,))
    assert on_both_sides(leaves) == [one, None, two, three, one, two, three, None, one]
    assert on_one_side(leaves) == [one, two, three, one, two, three, one]


def test_export_writes_all_sheets_and_says_so(
    desk: Desk, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    bar = NoticeBar(window)
    path = tmp_path / "sheets"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(path), ""))
    export_pdf(window, desk.document, desk.live, "flood")
    qtbot.waitUntil(lambda: "Wrote" in bar.text, timeout=30_000)
    reader = PdfReader(tmp_path / "sheets.pdf")
    assert f"Wrote {len(reader.pages)} pages to sheets.pdf." in bar.text


def test_export_that_cannot_be_written_says_why(
    desk: Desk, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    bar = NoticeBar(window)
    path = tmp_path / "gone" / "sheets.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: (str(path), ""))
    export_pdf(window, desk.document, desk.live)
    qtbot.waitUntil(lambda: "cannot be written" in bar.text, timeout=30_000)


def test_a_dialog_left_without_a_name_writes_nothing(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *args: ("", ""))
    export_pdf(window, desk.document, desk.live)
    assert window.findChild(PrintRun) is None


def test_print_opens_a_preview_that_blocks_nothing(desk: Desk, qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    preview = print_sheets(window, desk.document, desk.live, "flood")
    assert preview.isVisible()
    assert not preview.isModal()
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    preview.close()
    window.close()


def test_coverage_is_worked_out_only_once_somebody_wants_its_page(
    preview: PrintPreview, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Plan] = []

    def drawn(plan: Plan, terrain: object, layers: object, origin: Printing, job: Job) -> object:
        made.append(plan)
        return coverage_page(valley_plan(), valley_report(), origin)

    monkeypatch.setattr("guyline.viewmodels.paper.print_run.worked_out_page", drawn)
    assert made == []
    assert not any("Coverage" in words_on((page,)) for page in preview.pages)
    rows = [preview.choices.item(row) for row in range(preview.choices.count())]
    item = next(row for row in rows if row.text() == "Coverage")
    item.setCheckState(Qt.CheckState.Checked)
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert any("Coverage" in words_on((page,)) for page in preview.pages)
    preview.sizes.setCurrentText("Letter")
    qtbot.waitUntil(lambda: preview.print_button.isEnabled(), timeout=30_000)
    assert any("Coverage" in words_on((page,)) for page in preview.pages)
    assert len(made) == 1


def test_coverage_without_terrain_is_refused_in_words(
    desk: Desk, run: PrintRun, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk.live.assessor, "terrain", Terrain((), ()))
    with qtbot.waitSignal(run.failed, timeout=30_000) as refused:
        run.leave_out([c.key for c in run.choices if c != COVERAGE])
    assert "terrain" in str(refused.args[0])
