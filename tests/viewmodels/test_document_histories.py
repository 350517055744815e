"""Edit, undo, redo, save and reopen in any order, against a plain list of plans."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

import stories
from guyline.core.plan import Plan, SiteId
from guyline.services.plan_files import load_plan, save_plan
from guyline.viewmodels.document import PlanDocument
from strategies import TEXT, positions, site_ids, sites


class DocumentHistories(RuleBasedStateMachine):
    """`history` is what a planner expects: every plan since opening, and where one stands."""

    def __init__(self) -> None:
        super().__init__()
        self._folder = tempfile.TemporaryDirectory()
        self.path = Path(self._folder.name) / "valley.plan.json"
        self.saved = stories.three_sites()
        save_plan(self.saved, self.path)
        self.document = PlanDocument(load_plan(self.path))
        self.history = [self.document.plan]
        self.here = 0
        self.merge_keys = [""]
        self.clean: int | None = 0

    def teardown(self) -> None:
        for expected in reversed(self.history[: self.here]):
            self.document.undo_stack.undo()
            assert self.document.plan == expected
        assert not self.document.undo_stack.canUndo()
        for expected in self.history[1:]:
            self.document.undo_stack.redo()
            assert self.document.plan == expected
        assert not self.document.undo_stack.canRedo()
        self._folder.cleanup()

    def edit(self, after: Plan, merge_key: str = "") -> None:
        self.document.edit(after, "Change", merge_key=merge_key)
        before = self.history[self.here]
        if after == before:
            return
        if self.clean is not None and self.clean > self.here:
            self.clean = None  # the saved plan lay among the steps that are now forgotten
        merges = bool(merge_key) and self.merge_keys[self.here] == merge_key
        if merges and self.here > 0 and self.clean != self.here:
            self.here -= 1
        del self.history[self.here + 1 :], self.merge_keys[self.here + 1 :]
        if after != self.history[self.here]:
            self.history.append(after)
            self.merge_keys.append(merge_key)
            self.here += 1

    @rule(site=sites())
    def add_a_site(self, site: stories.Site) -> None:
        plan = self.document.plan
        if not plan.has_site(site.site_id) and len(plan.sites) < 6:
            self.edit(plan.adding_site(site))

    @precondition(lambda self: self.document.plan.sites)
    @rule(data=st.data())
    def remove_a_site(self, data: st.DataObject) -> None:
        self.edit(self.document.plan.without_sites([self._pick(data)]))

    @precondition(lambda self: self.document.plan.sites)
    @rule(data=st.data(), new=site_ids())
    def rename_a_site(self, data: st.DataObject, new: SiteId) -> None:
        if not self.document.plan.has_site(new):
            self.edit(self.document.plan.renaming_site(self._pick(data), new))

    @precondition(lambda self: self.document.plan.sites)
    @rule(data=st.data(), height_m=st.sampled_from([None, 2.0, 8.0, 12.5]))
    def drag_an_antenna(self, data: st.DataObject, height_m: float | None) -> None:
        plan = self.document.plan
        site = plan.site(self._pick(data))
        after = plan.with_site(replace(site, antenna_agl_m=height_m))
        self.edit(after, merge_key=f"{site.site_id}.antenna_agl_m")

    @precondition(lambda self: self.document.plan.sites)
    @rule(data=st.data())
    def move_a_site(self, data: st.DataObject) -> None:
        plan = self.document.plan
        site = replace(plan.site(self._pick(data)), position=data.draw(positions()))
        self.edit(plan.with_site(site))

    @rule(name=TEXT)
    def type_the_name_of_the_incident(self, name: str) -> None:
        plan = self.document.plan
        after = replace(plan, incident=replace(plan.incident, name=name))
        self.edit(after, merge_key="incident.name")

    @rule()
    def undo(self) -> None:
        self.document.undo_stack.undo()
        self.here = max(0, self.here - 1)

    @rule()
    def redo(self) -> None:
        self.document.undo_stack.redo()
        self.here = min(len(self.history) - 1, self.here + 1)

    @rule()
    def save(self) -> None:
        save_plan(self.document.plan, self.path)
        self.document.undo_stack.setClean()
        self.saved = self.document.plan
        self.clean = self.here

    @rule()
    def reopen(self) -> None:
        self.document.open(load_plan(self.path))
        self.history, self.here, self.merge_keys, self.clean = [self.saved], 0, [""], 0

    @invariant()
    def the_plan_is_the_one_expected(self) -> None:
        assert self.document.plan == self.history[self.here]

    @invariant()
    def the_modified_mark_is_right(self) -> None:
        assert self.document.is_modified == (self.clean != self.here)
        if not self.document.is_modified:
            assert self.document.plan == self.saved

    @invariant()
    def the_file_is_the_plan_saved_last(self) -> None:
        assert load_plan(self.path) == self.saved

    def _pick(self, data: st.DataObject) -> SiteId:
        return data.draw(st.sampled_from([site.site_id for site in self.document.plan.sites]))


DocumentHistories.TestCase.settings = settings(
    max_examples=40, stateful_step_count=30, deadline=None
)
TestDocumentHistories = DocumentHistories.TestCase
