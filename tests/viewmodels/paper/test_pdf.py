from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
import zxingcpp
from pypdf import PdfReader
from PySide6.QtCore import QRectF
from PySide6.QtGui import QGuiApplication

from guyline.core.plan import Plan, SiteId
from guyline.errors import DocumentError, PlanFileError
from guyline.services.documents.site_sheet import site_sheet
from guyline.viewmodels.paper import write_plan_pdf
from guyline.viewmodels.paper.code_square import code_square, modules
from guyline.viewmodels.paper.page_size import A4, PAGE_SIZES, PageSize
from guyline.viewmodels.paper.pages import pages_of
from guyline.viewmodels.paper.type import application
from paper_pictures import POINTS, as_pillow, picture
from sheet_stories import BARE, PRINTED_AT, assessed, full_plan, printing, sparse_plan
from stories import HILL

pytestmark = pytest.mark.usefixtures("qapp")


def written(plan: Plan, folder: Path, **options: object) -> PdfReader:
    path = folder / "sheets.pdf"
    write_plan_pdf(
        plan,
        assessed(plan),
        path,
        plan_name="flood.plan.json",
        printed_at=PRINTED_AT,
        **options,  # type: ignore[arg-type]
    )
    return PdfReader(path)


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_every_page_has_the_exact_size_of_the_paper(size: PageSize, tmp_path: Path) -> None:
    reader = written(full_plan(), tmp_path, page_size=size.name)
    assert len(reader.pages) > 6
    for page in reader.pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == POINTS[size.name]
        assert page.get("/Rotate", 0) == 0


def test_all_fonts_are_embedded_as_truetype(tmp_path: Path) -> None:
    reader = written(full_plan(), tmp_path)
    fonts = set()
    for page in reader.pages:
        for reference in page["/Resources"]["/Font"].values():
            font = reference.get_object()
            for descendant in font["/DescendantFonts"]:
                descriptor = descendant.get_object()["/FontDescriptor"].get_object()
                assert "/FontFile2" in descriptor
                fonts.add(str(font["/BaseFont"]).split("+")[-1])
    assert fonts == {"/FiraSansCondensed-Regular", "/FiraSansCondensed-Bold"}


def test_the_text_of_a_full_sheet_can_be_read_back(tmp_path: Path) -> None:
    text = text_of(written(full_plan(), tmp_path, site_ids=[HILL]))
    for words in (
        "HILL",
        "The hill",
        "Test flood",
        "45°00.000′S 29°58.800′W",
        "WGS 84",
        "geo:-45.00000,-29.98000;u=5",
        "Never alone",
        "Lightning",
        "869.525 MHz",
        "270° T / 286° M",
        "10 mm low-loss foam coax",
        "2 × Spare fuse",
        "NOT IN HAND",
        "north, 000° T / 016° M",
        "60° up from level",
        "The farmer, 000-0201",
        "The gate opens outward.",
        "printed 01 Jun 2026 09:30 UTC",
        "flood.plan.json",
        "planner Desk two, 000-0101",
        "HILL, page 1 of 2",
    ):
        assert words in text, words


def test_office_is_found_although_it_would_be_a_ligature(tmp_path: Path) -> None:
    plan = full_plan()
    plan = plan.with_site(replace(plan.site(HILL), name="Official profile office"))
    assert "Official profile office" in text_of(written(plan, tmp_path, site_ids=[HILL]))


def test_a_sparse_plan_prints_unknown_and_no_number_of_its_own(tmp_path: Path) -> None:
    text = text_of(written(sparse_plan(), tmp_path, site_ids=[BARE]))
    assert text.count("unknown") > 20
    for invented in ("Wh/day", "SNR +", "SNR −", "° T", "geo:", "above ground", " m above sea"):
        assert invented not in text.replace("height in block 8 above ground", ""), invented


def test_a_whole_plan_begins_with_review_and_sites_lacking_power(tmp_path: Path) -> None:
    reader = written(sparse_plan(), tmp_path)
    assert "Readiness review" in reader.pages[0].extract_text().replace("\t", " ")
    assert any(
        "Sites still lacking power" in page.extract_text().replace("\t", " ")
        for page in reader.pages[1:3]
    )


def test_only_the_sheets_asked_for_are_written(tmp_path: Path) -> None:
    text = text_of(written(full_plan(), tmp_path, site_ids=[HILL]))
    assert "HILL, page 1" in text
    assert "HALL, page" not in text
    assert "Readiness review" not in text


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_the_code_is_read_from_the_printed_page_at_300_dots_an_inch(size: PageSize) -> None:
    plan = full_plan()
    page = pages_of(site_sheet(plan, assessed(plan), HILL, printing(plan)), size)[0]
    found = zxingcpp.read_barcodes(as_pillow(picture(page, size, 300)))
    assert [code.text for code in found] == ["geo:-45.00000,-29.98000;u=5"]


def test_the_code_keeps_a_quiet_zone_of_four_modules() -> None:
    words = "geo:-45.00000,-29.98000;u=5"
    block = code_square(words)
    count = len(modules(words))
    module_mm = block.width_mm / (count + 8)
    (shape,) = block.marks
    ink = shape.path.boundingRect()  # type: ignore[union-attr]
    assert module_mm >= 0.5  # smaller ones are not read from worn paper
    expected = QRectF(4 * module_mm, 4 * module_mm, count * module_mm, count * module_mm)
    for got, wanted in zip(ink.getRect(), expected.getRect(), strict=True):
        assert got == pytest.approx(wanted)


def test_the_page_is_black_on_white(qapp: QGuiApplication) -> None:
    plan = full_plan()
    page = pages_of(site_sheet(plan, assessed(plan), HILL, printing(plan)), A4)[0]
    image = picture(page, A4, 100)
    histogram = as_pillow(image).histogram()
    inked = sum(histogram[:64])
    between = sum(histogram[64:192])
    assert inked > 10_000
    assert between < inked  # edges of letters only: no grey areas
    assert histogram[255] > 0.8 * image.width() * image.height()


def test_nothing_is_drawn_in_the_margins() -> None:
    plan = full_plan()
    for page in pages_of(site_sheet(plan, assessed(plan), HILL, printing(plan)), A4):
        image = as_pillow(picture(page, A4, 100))
        margin = round((A4.end_mm - 0.5) / 25.4 * 100)
        wide, tall = image.size
        for strip in (
            (0, 0, wide, margin),
            (0, tall - margin, wide, tall),
            (0, 0, margin, tall),
            (wide - margin, 0, wide, tall),
        ):
            assert image.crop(strip).getextrema() == (255, 255)


def test_printing_again_gives_the_same_words(tmp_path: Path) -> None:
    first = text_of(written(full_plan(), tmp_path))
    assert text_of(written(full_plan(), tmp_path)) == first


def test_an_unknown_paper_size_is_refused_with_the_known_ones(tmp_path: Path) -> None:
    with pytest.raises(DocumentError) as caught:
        written(full_plan(), tmp_path, page_size="A3")
    assert "A4 or Letter" in caught.value.advice


def test_nothing_chosen_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DocumentError):
        written(full_plan(), tmp_path, site_ids=[SiteId("NOBODY")])
    assert not (tmp_path / "sheets.pdf").exists()


def test_a_file_that_cannot_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    folder = tmp_path / "sheets.pdf"
    folder.mkdir()
    (folder / "kept").touch()
    plan = full_plan()
    with pytest.raises(PlanFileError):
        write_plan_pdf(plan, assessed(plan), folder)
    assert (folder / "kept").exists()
    assert [p.name for p in tmp_path.iterdir()] == ["sheets.pdf"]


def test_a_time_without_zone_is_taken_as_this_computers(tmp_path: Path) -> None:
    plan = full_plan()
    path = tmp_path / "sheets.pdf"
    naive = datetime(2026, 6, 1, 12, 0)
    write_plan_pdf(plan, assessed(plan), path, printed_at=naive)
    utc = naive.astimezone().astimezone(PRINTED_AT.tzinfo)
    assert f"{utc:%H:%M} UTC" in text_of(PdfReader(path))


def test_the_running_application_is_used(qapp: QGuiApplication) -> None:
    assert application() is qapp
