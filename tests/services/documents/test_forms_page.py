"""The forms of incident command on paper hold what the plan knows of each of their blocks.

Blocks as FEMA 502-2, ICS Forms Booklet (2010), lists them; `services.comms_forms` fills them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from guyline.core.plan import Contact, Plan
from guyline.services.comms_forms import comms_forms
from guyline.services.documents.forms_page import forms_page
from guyline.viewmodels.paper.marks import Page, Words
from guyline.viewmodels.paper.page_size import A4, PAGE_SIZES, PageSize
from guyline.viewmodels.paper.pages import pages_of
from sheet_stories import assessed, full_plan, printing, sparse_plan
from stories import HALL


def pages(plan: Plan, size: PageSize = A4) -> tuple[Page, ...]:
    return pages_of(forms_page(plan, assessed(plan), printing(plan)), size)


def told(page: Page) -> str:
    marks = [m for at in page.placed for m in at.block.marks if isinstance(m, Words)]
    return " ".join(" ".join(m.text.replace("\u00a0", " ") for m in marks).split())


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("size", PAGE_SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("plan", [full_plan(), sparse_plan()], ids=["full", "sparse"])
def test_each_form_has_a_page_with_every_value_of_it(plan: Plan, size: PageSize) -> None:
    made = pages(plan, size)
    forms = comms_forms(plan, printing(plan).at)
    assert len(made) == len(forms) == 3
    for page, form in zip(made, forms, strict=True):
        words = told(page)
        assert form.title in words
        for cell in (*form.columns, *(cell for row in form.rows for cell in row)):
            assert set(cell.split()) <= set(words.split()), cell
        assert "Signature" in words


@pytest.mark.usefixtures("qapp")
def test_a_long_list_of_people_goes_on_under_its_own_title() -> None:
    plan = full_plan()
    people = tuple(Contact(name=f"Person {n}", role="keys", phone="000-0100") for n in range(90))
    plan = plan.with_site(replace(plan.site(HALL), contacts=people))
    lists = [page for page in pages(plan) if "205A" in told(page)]
    assert len(lists) > 1
    assert "Person 89" in " ".join(map(told, lists))


@pytest.mark.usefixtures("qapp")
def test_nothing_reaches_over_the_edge_of_the_paper() -> None:
    for page in pages(full_plan()):
        for at in page.placed:
            for mark in at.block.marks:
                if isinstance(mark, Words):
                    assert at.x_mm + mark.x_mm + mark.width_mm <= A4.width_mm
                    assert at.y_mm + mark.y_mm + mark.height_mm <= A4.height_mm


def test_the_time_of_preparing_is_told_but_makes_no_other_form() -> None:
    plan = full_plan()
    now = printing(plan)
    later = replace(now, at=now.at + timedelta(days=2))
    first, second = (forms_page(plan, assessed(plan), at) for at in (now, later))
    assert first.forms != second.forms
    assert first.imprint.digest == second.imprint.digest
    other = replace(plan, radio_profile=replace(plan.radio_profile, channel_name="Other"))
    assert forms_page(other, assessed(plan), now).imprint.digest != first.imprint.digest
