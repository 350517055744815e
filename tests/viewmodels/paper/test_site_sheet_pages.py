from __future__ import annotations

import dataclasses
from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtGui import QGuiApplication

from guyline.core.plan import Plan, SiteId
from guyline.services.documents.choice import choices, document
from guyline.services.documents.content import Document, SiteSheet
from guyline.services.documents.site_sheet import site_sheet
from guyline.viewmodels.paper.blocks import BOX_MM
from guyline.viewmodels.paper.marks import Frame, Mark, Page, Placed, Rule, Shape, Words
from guyline.viewmodels.paper.page_size import A4, LETTER, PAGE_SIZES, PageSize
from guyline.viewmodels.paper.pages import pages_of
from guyline.viewmodels.paper.site_sheet_front import conductors
from guyline.viewmodels.paper.type import BODY, IDENTIFIER, SMALL
from sheet_stories import (
    BARE,
    assessed,
    crowded_plan,
    full_plan,
    longer,
    printing,
    sparse_plan,
)
from stories import HALL, HILL

pytestmark = pytest.mark.usefixtures("qapp")

ROUNDING_MM = 0.01


def sheet_of(plan: Plan, site_id: SiteId) -> SiteSheet:
    return site_sheet(plan, assessed(plan), site_id, printing(plan))


def documents_of(plan: Plan) -> list[Document]:
    assessment = assessed(plan)
    return [document(assessment, c, printing(plan)) for c in choices(assessment)]


def lengthened(value: Any) -> Any:
    """The same document with every text 30 % longer; identifiers and codes stay."""
    if isinstance(value, tuple):
        return tuple(lengthened(item) for item in value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kept = {"path", "verdict", "state", "imprint", "geo_uri", "gates"}
        return replace(
            value,
            **{
                f.name: lengthened(getattr(value, f.name))
                for f in dataclasses.fields(value)
                if f.name not in kept
            },
        )
    return longer(value) if type(value) is str else value


def extent(mark: Mark) -> tuple[float, float, float, float]:
    match mark:
        case Words() | Frame():
            return (
                mark.x_mm,
                mark.y_mm,
                mark.x_mm + mark.width_mm,
                mark.y_mm + mark.height_mm,
            )
        case Rule():
            xs, ys = sorted((mark.x1_mm, mark.x2_mm)), sorted((mark.y1_mm, mark.y2_mm))
            return xs[0], ys[0], xs[1], ys[1]
        case Shape():
            box = mark.path.boundingRect()
            return box.left(), box.top(), box.right(), box.bottom()


def overlapping(pages: tuple[Page, ...]) -> list[tuple[str, str]]:
    def apart(a: Placed, b: Placed) -> bool:
        return (
            a.right_mm <= b.x_mm + ROUNDING_MM
            or b.right_mm <= a.x_mm + ROUNDING_MM
            or a.bottom_mm <= b.y_mm + ROUNDING_MM
            or b.bottom_mm <= a.y_mm + ROUNDING_MM
        )

    return [
        (a.name, b.name)
        for page in pages
        for n, a in enumerate(page.placed)
        for b in page.placed[n + 1 :]
        if not apart(a, b)
    ]


def outside(pages: tuple[Page, ...], size: PageSize) -> list[str]:
    """Blocks beyond the margins, and marks beyond their block."""
    found = []
    for page in pages:
        for placed in page.placed:
            if (
                placed.x_mm < size.side_mm - ROUNDING_MM
                or placed.y_mm < size.end_mm - ROUNDING_MM
                or placed.right_mm > size.width_mm - size.side_mm + ROUNDING_MM
                or placed.bottom_mm > size.bottom_mm + ROUNDING_MM
            ):
                found.append(f"{placed.name} leaves the page")
            for mark in placed.block.marks:
                left, top, right, bottom = extent(mark)
                if (
                    left < -ROUNDING_MM
                    or top < -ROUNDING_MM
                    or right > placed.block.width_mm + ROUNDING_MM
                    or bottom > placed.block.height_mm + ROUNDING_MM
                ):
                    found.append(f"{placed.name}: {mark}")
    return found


def colliding(pages: tuple[Page, ...]) -> list[tuple[str, str]]:
    """Words that run into other words."""
    found = []
    for page in pages:
        for placed in page.placed:
            words = [m for m in placed.block.marks if isinstance(m, Words) and m.text]
            for n, a in enumerate(words):
                for b in words[n + 1 :]:
                    if (
                        a.x_mm + a.width_mm > b.x_mm + ROUNDING_MM
                        and b.x_mm + b.width_mm > a.x_mm + ROUNDING_MM
                        and a.y_mm + a.height_mm > b.y_mm + ROUNDING_MM
                        and b.y_mm + b.height_mm > a.y_mm + ROUNDING_MM
                    ):
                        found.append((a.text, b.text))
    return found


def words_of(pages: tuple[Page, ...]) -> list[Words]:
    return [
        mark
        for page in pages
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Words)
    ]


def all_text(pages: tuple[Page, ...]) -> str:
    return " ".join(" ".join(words.text for words in words_of(pages)).split())


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize(
    "plan", [full_plan(), sparse_plan(), crowded_plan()], ids=["full", "sparse", "crowded"]
)
@pytest.mark.parametrize("make_longer", [False, True], ids=["as it is", "30 % longer"])
def test_nothing_is_clipped_and_nothing_overlaps(
    plan: Plan, size: PageSize, make_longer: bool
) -> None:
    for made in documents_of(plan):
        pages = pages_of(lengthened(made) if make_longer else made, size)
        assert outside(pages, size) == []
        assert overlapping(pages) == []
        assert colliding(pages) == []


@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("make_longer", [False, True], ids=["as it is", "30 % longer"])
def test_stop_box_cautions_and_radio_settings_never_leave_the_first_side(
    size: PageSize, make_longer: bool
) -> None:
    for plan, site_id in ((full_plan(), HILL), (sparse_plan(), BARE), (crowded_plan(), HILL)):
        sheet = sheet_of(plan, site_id)
        front = pages_of(lengthened(sheet) if make_longer else sheet, size)[:1]
        words = all_text(front)
        for line in sheet.stop:
            assert line.lead in words
        assert "Cautions" in words
        assert "Radio settings" in words
        assert "Transmit power" in words
        for line in sheet.cautions:
            assert make_longer or line.lead in words


def test_every_caution_is_printed_and_those_overleaf_are_counted() -> None:
    sheet = sheet_of(crowded_plan(), HILL)
    pages = pages_of(sheet, A4)
    front, whole = all_text(pages[:1]), all_text(pages)
    leads = [line.lead for line in (*sheet.cautions, *sheet.beyond)]
    assert all(lead in whole for lead in leads)
    overleaf = sum(f"{lead}" not in front for lead in leads)
    assert overleaf
    assert f"and {overleaf} more on side 2" in front


def test_kit_that_has_no_room_stands_overleaf_and_the_first_side_says_so() -> None:
    sheet = sheet_of(crowded_plan(), HILL)
    pages = pages_of(sheet, A4)
    front, whole = all_text(pages[:1]), all_text(pages)
    assert "→ blocks 6, " in front
    assert ": side 2" in front
    assert "6 Take" not in front
    for line in sheet.take:
        assert f"{line.quantity} × {line.name.split(' with')[0]} " in whole


def test_type_is_never_smaller_than_ten_points_but_in_imprint_and_sketches() -> None:
    for page in pages_of(sheet_of(full_plan(), HILL), A4):
        for placed in page.placed:
            sizes = {m.style.size_pt for m in placed.block.marks if isinstance(m, Words)}
            if placed.name in ("foot", "sketches"):
                assert min(sizes) >= SMALL.size_pt
            else:
                assert min(sizes) >= BODY.size_pt


def test_the_identifier_is_large() -> None:
    words = words_of(pages_of(sheet_of(full_plan(), HILL), A4)[:1])
    assert next(w for w in words if w.text == HILL).style == IDENTIFIER
    assert IDENTIFIER.size_pt >= 28.0


def test_boxes_to_tick_suit_a_thumb_in_a_glove() -> None:
    frames = [
        mark
        for page in pages_of(sheet_of(full_plan(), HILL), A4)
        for placed in page.placed
        for mark in placed.block.marks
        if isinstance(mark, Frame) and mark.width_mm == mark.height_mm
    ]
    assert len(frames) > 20
    assert all(frame.width_mm >= 5.0 for frame in frames)
    assert BOX_MM >= 5.0


def test_unknown_is_printed_as_a_word_with_a_line_to_write_on() -> None:
    pages = pages_of(sheet_of(sparse_plan(), BARE), A4)
    unknown = [w for w in words_of(pages) if w.text == "unknown"]
    assert len(unknown) >= 15
    for page in pages:
        for placed in page.placed:
            rules = [m for m in placed.block.marks if isinstance(m, Rule)]
            for word in placed.block.marks:
                if isinstance(word, Words) and word.text == "unknown":
                    assert any(
                        rule.x1_mm >= word.x_mm
                        and word.y_mm < rule.y1_mm < word.y_mm + 2.5 * word.height_mm
                        and rule.x2_mm - rule.x1_mm >= 8.0
                        for rule in rules
                    )


def test_sides_are_numbered_and_name_the_site() -> None:
    pages = pages_of(sheet_of(full_plan(), HILL), LETTER)
    for n, page in enumerate(pages, 1):
        assert f"HILL, page {n} of {len(pages)}" in all_text((page,))


def test_a_site_that_is_ready_needs_one_leaf_only() -> None:
    sheet = sheet_of(full_plan(), HALL)
    assert sheet.reasons == ()
    assert len(pages_of(sheet, A4)) == 2


def test_what_keeps_a_site_from_go_is_told_in_full() -> None:
    sheet = sheet_of(sparse_plan(), BARE)
    assert len(sheet.reasons) > 5
    pages = pages_of(sheet, A4)
    assert f"→ {len(sheet.reasons)} reasons on the last side" in all_text(pages[:1])
    whole = all_text(pages)
    for line in sheet.reasons:
        assert line.line.split(".")[0].split(":")[0] in whole


def test_layout_does_not_depend_on_the_device(qapp: QGuiApplication) -> None:
    sheet = sheet_of(full_plan(), HILL)
    first, second = pages_of(sheet, A4), pages_of(sheet, A4)
    assert words_of(first) == words_of(second)


def test_plus_is_drawn_solid_above_minus_dashed_between_what_feeds_and_what_is_fed() -> None:
    marks = conductors().marks
    plus, minus = (mark for mark in marks if isinstance(mark, Rule))
    signs = [mark for mark in marks if isinstance(mark, Words)]
    assert (plus.is_dashed, minus.is_dashed) == (False, True)
    assert plus.y1_mm < minus.y1_mm
    assert [sign.text for sign in sorted(signs, key=lambda sign: sign.y_mm)] == ["+", "−"]
    assert all(sign.x_mm + sign.width_mm < plus.x1_mm for sign in signs)
