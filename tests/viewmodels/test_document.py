from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import guyline
import stories
from guyline.core.plan import Plan
from guyline.viewmodels.document import PlanDocument


def antenna_at(height_m: float, plan: Plan | None = None) -> Plan:
    plan = plan or stories.three_sites()
    return plan.with_site(replace(plan.site(stories.HILL), antenna_agl_m=height_m))


def test_an_edit_is_shown_at_once_and_undone_and_done_again() -> None:
    document = PlanDocument(stories.three_sites())
    shown: list[Plan] = []
    document.changed.connect(shown.append)
    document.edit(antenna_at(9.0), "Change antenna height")
    document.undo_stack.undo()
    document.undo_stack.redo()
    assert shown == [antenna_at(9.0), stories.three_sites(), antenna_at(9.0)]
    assert document.plan == antenna_at(9.0)
    assert document.undo_stack.undoText() == "Change antenna height"


def test_removing_a_site_is_undone_with_its_links_and_needs() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(document.plan.without_sites([stories.HILL]), "Remove HILL")
    assert document.plan.links == ()
    document.undo_stack.undo()
    assert document.plan == stories.three_sites()


def test_typing_in_one_field_is_one_step() -> None:
    document = PlanDocument(stories.three_sites())
    for height_m in (1.0, 12.0, 12.5):
        document.edit(antenna_at(height_m), "Change antenna height", merge_key="HILL.antenna")
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.plan == stories.three_sites()


def test_typing_back_to_the_old_value_leaves_no_step_and_no_modified_mark() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(antenna_at(9.0), "Change antenna height", merge_key="HILL.antenna")
    document.edit(stories.three_sites(), "Change antenna height", merge_key="HILL.antenna")
    assert document.undo_stack.count() == 0
    assert not document.is_modified
    assert document.plan == stories.three_sites()


def test_an_edit_that_changes_nothing_is_no_step() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(stories.three_sites(), "Change nothing")
    assert document.undo_stack.count() == 0


def test_steps_of_different_fields_stay_apart() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(antenna_at(9.0), "Change antenna height", merge_key="HILL.antenna")
    document.edit(replace(document.plan, earth_k=1.0), "Change k", merge_key="k")
    assert document.undo_stack.count() == 2


def test_after_a_save_typing_on_is_a_new_step_so_that_the_saved_plan_can_be_had_again() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(antenna_at(9.0), "Change antenna height", merge_key="HILL.antenna")
    document.undo_stack.setClean()
    document.edit(antenna_at(9.5), "Change antenna height", merge_key="HILL.antenna")
    assert document.is_modified
    document.undo_stack.undo()
    assert not document.is_modified
    assert document.plan == antenna_at(9.0)


def test_opening_another_plan_begins_its_history() -> None:
    document = PlanDocument(stories.three_sites())
    document.edit(antenna_at(9.0), "Change antenna height")
    document.open(Plan())
    assert document.plan == Plan()
    assert not document.undo_stack.canUndo()
    assert not document.is_modified


def test_steps_go_with_their_document_whoever_is_collected_first() -> None:
    script = """
import gc
from dataclasses import replace
from PySide6.QtCore import QCoreApplication
from guyline.core.plan import Plan
from guyline.viewmodels.document import PlanDocument, _steps

application = QCoreApplication([])
for _ in range(100):
    document = PlanDocument(Plan())
    for k in (1.1, 1.2, 1.3):
        document.edit(replace(document.plan, earth_k=k), "Change k")
    document.undo_stack.undo()
    document.edit(replace(document.plan, earth_k=2.0), "Change k")
    del document
    gc.collect()
assert not _steps, f"{len(_steps)} histories are left"
"""
    result = subprocess.run(
        [sys.executable, "-X", "faulthandler", "-c", script],
        env={
            **os.environ,
            "PYTHONPATH": str(Path(guyline.__file__).parents[1]),
            "MALLOC_PERTURB_": "165",  # freed memory is overwritten, so that its use shows
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 0, result.stderr[-2_000:]
