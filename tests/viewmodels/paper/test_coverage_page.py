from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtGui import QImage

from coverage_stories import CELL_M, COLUMNS, ROWS, place_at, valley_plan, valley_report
from guyline.core.plan import TerrainSource
from guyline.errors import InputError
from guyline.services.documents.content import CoveragePage
from guyline.services.documents.coverage_page import coverage_page
from guyline.services.map_shapes import MapShape
from guyline.viewmodels.ground_view_coverage import Reach
from guyline.viewmodels.paper.coverage_page import coverage_pages
from guyline.viewmodels.paper.coverage_page_files import write_coverage_page
from guyline.viewmodels.paper.coverage_page_hatching import (
    DOTS_PER_MM,
    PRINTED,
    black_and_white,
    hatched,
    pattern,
    service_classes,
)
from guyline.viewmodels.paper.marks import Page, Picture, Words
from guyline.viewmodels.paper.page_size import A4, PAGE_SIZES, PageSize
from guyline.viewmodels.paper.painting import for_screen
from sheet_stories import printing

pytestmark = pytest.mark.usefixtures("qapp")


def page_of(**more: object) -> CoveragePage:
    plan = valley_plan()
    return coverage_page(plan, valley_report(plan), printing(plan), **more)  # type: ignore[arg-type]


def words_of(pages: tuple[Page, ...]) -> list[str]:
    return [
        mark.text
        for page in pages
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Words)
    ]


def darkness(reach: Reach, side: int = 400) -> float:
    return float(pattern(reach, side, side).mean())


def greys(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return rows[:, : image.width()].copy()  # the image goes when this returns


def test_the_worse_the_service_the_darker_the_hatching() -> None:
    shades = [darkness(r) for r in (Reach.SEVERAL, Reach.ONE, Reach.SHORT, Reach.OUT)]
    assert shades[0] == 0.0
    # half as much again from one to the next is seen on any printer; our choice
    assert all(after > 1.5 * before for before, after in pairwise(shades))
    assert shades[-1] < 0.3  # names and contours must stay legible on it


def test_lines_dots_and_squares_are_different_textures() -> None:
    along_diagonal = {r: np.diagonal(pattern(r, 300, 300)[::-1]).mean() for r, _ in PRINTED}
    assert along_diagonal[Reach.OUT] in (0.0, 1.0)  # runs along the lines
    assert 0.0 < along_diagonal[Reach.SHORT] < 0.5
    rows = pattern(Reach.UNKNOWN, 300, 300).all(axis=1)
    assert 0 < rows.sum() < 30  # whole lines across: squares


def test_every_class_of_cell_gets_its_own_hatching_and_the_served_a_rim() -> None:
    classes = service_classes(valley_report().coverage)
    image = greys(hatched(classes, 80.0, 60.0))
    band = image.shape[1] // 5
    for n, (reach, _) in enumerate(PRINTED):
        inside = image[:, n * band + 40 : (n + 1) * band - 40] == 0
        assert inside.mean() == pytest.approx(darkness(reach), abs=0.02)
    edge = image[:, 2 * band - 4 : 2 * band + 4]
    assert (edge == 0).any(axis=1).mean() > 0.99  # the rim runs down the whole edge of service


def test_a_picture_is_one_bit_deep_and_black_stays_black() -> None:
    made = hatched(np.full((2, 2), Reach.OUT.value, dtype=np.uint8), 20.0, 20.0)
    bits = black_and_white(made)
    assert bits.depth() == 1
    assert (bits.color(0), bits.color(1)) == (0xFF000000, 0xFFFFFFFF)
    assert (greys(bits) == greys(made)).all()


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
def test_everything_stays_inside_the_margins(size: PageSize) -> None:
    for page in coverage_pages(page_of(), size):
        for placed in page.placed:
            assert placed.x_mm >= size.side_mm - 0.01
            assert placed.right_mm <= size.width_mm - size.side_mm + 0.01
            assert placed.bottom_mm <= size.bottom_mm + 0.01


def test_the_page_names_who_is_served_who_is_not_scale_grid_and_makers() -> None:
    source = TerrainSource(path="a.tif", description="Ground of the valley", licence="free")
    said = " ".join(words_of(coverage_pages(page_of(sources=(source,)), A4)))
    for name in ("Mill", "Clinic", "Weir", "Away", "in shadow", "unknown", "HALL", "HILL"):
        assert name in said
    for word in ("Scale 1", "Grid: UTM", "Ground of the valley, free", "out of reach", "N"):
        assert word in said
    assert "page 1 of" in said


def test_the_scale_is_the_one_of_the_drawing() -> None:
    (page, *_) = coverage_pages(page_of(), A4)
    picture = next(
        mark
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Picture) and placed.name == "map"
    )
    scale = COLUMNS * CELL_M * 1000.0 / picture.width_mm
    assert picture.width_mm / picture.height_mm == pytest.approx(COLUMNS / ROWS)
    said = " ".join(words_of((page,)))
    told = float(said.split("Scale 1 : ")[1].split(".")[0].replace(" ", ""))
    assert told == pytest.approx(scale, rel=0.005)  # three figures
    assert picture.image.width() == pytest.approx(picture.width_mm * DOTS_PER_MM, abs=1)


def test_no_name_on_the_map_covers_another() -> None:
    plan = valley_plan()
    crowd = tuple(place_at(f"Farm {n}", -3000.0 + 40.0 * n, 10.0 * n) for n in range(25))
    plan = replace(plan, places=crowd)
    pages = coverage_pages(coverage_page(plan, valley_report(plan), printing(plan)), A4)
    (drawn,) = (placed for placed in pages[0].placed if placed.name == "map")
    names = [mark for mark in drawn.block.marks if isinstance(mark, Words)]
    assert sum(mark.text.startswith("Farm") for mark in names) > 5
    for n, a in enumerate(names):
        for b in names[n + 1 :]:
            assert (
                a.x_mm + a.width_mm <= b.x_mm + 0.01
                or b.x_mm + b.width_mm <= a.x_mm + 0.01
                or a.y_mm + a.height_mm <= b.y_mm + 0.01
                or b.y_mm + b.height_mm <= a.y_mm + 0.01
            ), (a.text, b.text)


def test_areas_and_tracks_are_drawn_into_the_map() -> None:
    def ink(shapes: tuple[MapShape, ...]) -> int:
        (page, *_) = coverage_pages(page_of(shapes=shapes), A4)
        (drawn,) = (placed for placed in page.placed if placed.name == "map")
        picture = next(mark for mark in drawn.block.marks if isinstance(mark, Picture))
        return int((greys(picture.image) == 0).sum())

    corner = place_at("", -3000.0, 0.0)
    other = place_at("", 0.0, 2000.0)
    track = MapShape(
        name="Track",
        is_area=False,
        parts=((np.array([corner.lat_deg, other.lat_deg]), np.array([-140.02, -140.0])),),
        anchor=(corner.lat_deg, corner.lon_deg),
    )
    assert ink((track,)) > ink(()) + 500


@pytest.mark.parametrize("name", ["valley.pdf", "valley.PNG"])
def test_the_page_is_written_as_its_ending_says(name: str, tmp_path: Path) -> None:
    plan = valley_plan()
    write_coverage_page(plan, valley_report(plan), tmp_path / name, plan_name="valley")
    if name.endswith("pdf"):
        sheet = PdfReader(tmp_path / name).pages[0]
        drawn = [part.get_object() for part in sheet["/Resources"]["/XObject"].values()]
        assert {part["/BitsPerComponent"] for part in drawn} == {1}  # black or white, no screen
        assert max(part["/Width"] for part in drawn) > 150.0 * DOTS_PER_MM
        said = sheet.extract_text()
        assert "Clinic" in said
        assert "valley" in said
        return
    image = QImage(str(tmp_path / name))
    assert image.width() / image.height() == pytest.approx(A4.width_mm / A4.height_mm, abs=0.002)
    assert image.isGrayscale()
    assert 0.02 < (greys(image) < 128).mean() < 0.5


def test_another_ending_is_refused_with_advice(tmp_path: Path) -> None:
    plan = valley_plan()
    with pytest.raises(InputError) as refused:
        write_coverage_page(plan, valley_report(plan), tmp_path / "valley.docx")
    assert ".pdf" in refused.value.advice


def test_a_preview_gets_the_map_in_greys_that_a_screen_can_show() -> None:
    (page, *_) = coverage_pages(page_of(), A4)
    shown = for_screen(page)
    (before,) = pictures_of(page, "map")
    (after,) = pictures_of(shown, "map")
    assert (after.width_mm, after.height_mm) == (before.width_mm, before.height_mm)
    assert after.image.width() < before.image.width()
    shades = greys(after.image)
    assert ((shades > 30) & (shades < 225)).mean() > 0.05  # hatching has become grey
    assert set(np.unique(greys(before.image))) == {0, 255}
    assert words_of((shown,)) == words_of((page,))


def pictures_of(page: Page, name: str) -> list[Picture]:
    blocks = [placed.block for placed in page.placed if placed.name == name]
    return [mark for block in blocks for mark in block.marks if isinstance(mark, Picture)]
