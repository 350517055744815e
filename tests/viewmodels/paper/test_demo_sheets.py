"""The sheets of the demo plan, as a crew would get them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from pypdf import PdfReader

from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.documents.content import SiteSheet
from guyline.services.documents.imprint import Printing
from guyline.services.documents.map_extract import Ground
from guyline.services.documents.review_page import review_page
from guyline.services.documents.site_sheet import site_sheet
from guyline.services.opening import OpenedPlan, open_plan
from guyline.viewmodels.paper import write_plan_pdf
from guyline.viewmodels.paper.marks import Frame, Page, Words
from guyline.viewmodels.paper.page_size import A4, PAGE_SIZES, PageSize
from guyline.viewmodels.paper.pages import pages_of
from paper_pictures import POINTS, as_pillow, picture
from sheet_stories import PRINTED_AT

pytestmark = pytest.mark.usefixtures("qapp")

DEMO = Path(__file__).parents[3] / "demo_projects/ullerby_sound/ullerby_sound.plan.json"
CROWDED = SiteId("KITE")
"""Seven links and eight conditions: the one site that may need a third side, on short paper."""


@pytest.fixture(scope="module")
def opened() -> OpenedPlan:
    return open_plan(DEMO)


@pytest.fixture(scope="module")
def assessment(opened: OpenedPlan) -> PlanAssessment:
    return opened.assessor.assess(opened.plan)


@pytest.fixture(scope="module")
def sheets(opened: OpenedPlan, assessment: PlanAssessment) -> dict[SiteId, SiteSheet]:
    printing = Printing(at=PRINTED_AT, plan_name=DEMO.name, revision="12345678")
    ground = Ground(terrain=opened.terrain, layers=opened.assessor.layers)
    return {
        site.site_id: site_sheet(opened.plan, assessment, site.site_id, printing, ground)
        for site in opened.plan.sites
    }


def words_on(page: Page) -> str:
    found = [
        mark.text
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Words)
    ]
    return " ".join(" ".join(found).split())


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_every_site_of_the_demo_fits_on_one_leaf(
    size: PageSize, sheets: dict[SiteId, SiteSheet]
) -> None:
    sides = {site_id: len(pages_of(sheet, size)) for site_id, sheet in sheets.items()}
    allowed = dict.fromkeys(sides, 2)
    if size is not A4:
        allowed[CROWDED] = 3
    assert {s: n for s, n in sides.items() if n > allowed[s]} == {}


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_all_twelve_blocks_are_on_every_sheet(
    size: PageSize, sheets: dict[SiteId, SiteSheet]
) -> None:
    titles = (
        "2 Stop box",
        "3 Where",
        "4 Who",
        "5 Cautions",
        "6 Take",
        "7 Radio settings",
        "8 Antenna",
        "9 Links to prove",
        "10 Power",
        "11 Do in this order",
        "12 As built",
    )
    for sheet in sheets.values():
        pages = pages_of(sheet, size)
        whole = " ".join(words_on(page) for page in pages)
        assert [t for t in titles if t not in whole] == []
        front = words_on(pages[0])
        for kept in (titles[0], titles[3], titles[5], "000-0199"):
            assert kept in front, sheet.site_id


def test_blocks_overleaf_are_named_on_the_first_side(sheets: dict[SiteId, SiteSheet]) -> None:
    for sheet in sheets.values():
        pages = pages_of(sheet, A4)
        mark = words_on(pages[0]).rsplit("→ block", 1)[-1]
        numbers = {int(part) for part in mark.split(":")[0].lstrip("s ").split(", ")}
        behind = " ".join(words_on(page) for page in pages[1:])
        for number, title in ((6, "Take"), (9, "Links"), (10, "Power"), (11, "Do"), (12, "As")):
            assert (f"{number} {title}" in behind) is (number in numbers)


def test_most_sheets_have_a_map_of_the_ground_and_all_name_its_makers(
    sheets: dict[SiteId, SiteSheet],
) -> None:
    with_map = 0
    for sheet in sheets.values():
        whole = " ".join(words_on(page) for page in pages_of(sheet, A4))
        with_map += "contours every" in whole
        assert "Ground: Invented ground of Ullerby Sound" in whole
    assert with_map >= 8


def test_a_first_side_is_never_mostly_empty(sheets: dict[SiteId, SiteSheet]) -> None:
    for sheet in sheets.values():
        first = pages_of(sheet, A4)[0]
        lowest = max(p.bottom_mm for p in first.placed if p.name != "foot")
        assert lowest > 0.75 * A4.height_mm


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_the_file_has_embedded_fonts_exact_paper_and_no_colour(
    size: PageSize, opened: OpenedPlan, assessment: PlanAssessment, tmp_path: Path
) -> None:
    path = tmp_path / "demo.pdf"
    ground = Ground(terrain=opened.terrain, layers=opened.assessor.layers)
    write_plan_pdf(
        opened.plan,
        assessment,
        path,
        page_size=size.name,
        plan_name=DEMO.name,
        printed_at=PRINTED_AT,
        ground=ground,
    )
    reader = PdfReader(path)
    for page in reader.pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == POINTS[size.name]
        for reference in page["/Resources"]["/Font"].values():
            for descendant in reference.get_object()["/DescendantFonts"]:
                assert "/FontFile2" in descendant.get_object()["/FontDescriptor"].get_object()
        text = page.extract_text()
        assert "page" in text
        for operands, operator in page.get_contents().operations:  # type: ignore[union-attr]
            if operator in (b"rg", b"RG", b"scn", b"SCN") and len(operands) == 3:
                assert len({float(value) for value in operands}) == 1  # a grey


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_every_code_is_read_at_300_dots_an_inch(
    size: PageSize, sheets: dict[SiteId, SiteSheet]
) -> None:
    for site_id in (SiteId("TOWN"), SiteId("CRANE")):
        sheet = sheets[site_id]
        found = zxingcpp.read_barcodes(as_pillow(picture(pages_of(sheet, size)[0], size, 300)))
        assert [code.text for code in found] == [sheet.geo_uri]


def test_the_map_stays_lines_on_white_in_grey(sheets: dict[SiteId, SiteSheet]) -> None:
    page = pages_of(sheets[SiteId("TOWN")], A4)[1]
    dots = np.asarray(as_pillow(picture(page, A4, 300)))
    (sketch,) = (p for p in page.placed if p.name == "sketches" and p.block.height_mm > 40.0)
    frame = max((m for m in sketch.block.marks if isinstance(m, Frame)), key=lambda m: m.width_mm)
    mm = 300 / 25.4
    left, top = sketch.x_mm + frame.x_mm + 1.0, sketch.y_mm + frame.y_mm + 1.0
    inside = dots[
        round(top * mm) : round((top + frame.height_mm - 2.0) * mm),
        round(left * mm) : round((left + frame.width_mm - 2.0) * mm),
    ]
    dark = float((inside < 128).mean())
    assert 0.05 < dark < 0.45  # lines, and white enough between them to read names


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_the_review_of_the_demo_is_one_page_with_every_site(
    size: PageSize, opened: OpenedPlan, assessment: PlanAssessment
) -> None:
    printing = Printing(at=PRINTED_AT, plan_name=DEMO.name, revision="12345678")
    pages = pages_of(review_page(opened.plan, assessment, printing), size)
    assert len(pages) == 1
    words = words_on(pages[0])
    for site in opened.plan.sites:
        assert site.site_id in words
    assert "If we go today" in words
    assert "15 May, in 348 d" in words  # from 1 June 2026, counted by hand: 348 days


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_every_open_condition_of_a_site_is_named_on_its_leaf(
    size: PageSize, sheets: dict[SiteId, SiteSheet]
) -> None:
    for sheet in sheets.values():
        words = " ".join(words_on(page) for page in pages_of(sheet, size))
        assert "more: ask the planner" not in words
        for reason in sheet.reasons:
            assert reason.line[:24] in words.replace("\xa0", " "), sheet.site_id
