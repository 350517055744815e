"""The open plan, its undo history and its modified state."""

from __future__ import annotations

from itertools import count
from weakref import ref

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack
from shiboken6 import isValid

from guyline.core.plan import Plan

_keys = count()
_steps: dict[int, list[_ReplacePlan]] = {}
"""Steps by document, until their stack is gone.

A step belongs to its stack, but Python's collector may free both together in either order, and a
stack frees steps that are gone once more. So steps are held here, and know their document weakly.
"""


class _ReplacePlan(QUndoCommand):
    """Swaps the whole plan value; what did not change is shared, not copied."""

    def __init__(self, document: PlanDocument, after: Plan, text: str, merge_key: str) -> None:
        super().__init__(text)
        self._document = ref(document)
        self._before = document.plan
        self._after = after
        self._merge_key = merge_key

    def redo(self) -> None:
        self._show(self._after)

    def undo(self) -> None:
        self._show(self._before)

    def _show(self, plan: Plan) -> None:
        document = self._document()
        assert document is not None  # its stack asks, and goes with it
        document._show(plan)

    def id(self) -> int:
        return 1 if self._merge_key else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _ReplacePlan) or other._merge_key != self._merge_key:
            return False
        self._after = other._after
        self.setObsolete(self._after == self._before)
        return True


class PlanDocument(QObject):
    """Holds the plan; `changed` carries it after every edit, undo and redo."""

    changed = Signal(Plan)
    printed = Signal(Plan)
    """The plan as it is on paper now."""

    def __init__(self, plan: Plan, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._plan = self._saved = plan
        self.undo_stack = QUndoStack(self)
        self._key = key = next(_keys)
        _steps[key] = []
        self.undo_stack.destroyed.connect(lambda: _steps.pop(key, None))
        self.undo_stack.indexChanged.connect(self._mark_if_saved)
        self.undo_stack.cleanChanged.connect(self._note_saved)

    @property
    def plan(self) -> Plan:
        return self._plan

    @property
    def is_modified(self) -> bool:
        return not self.undo_stack.isClean()

    def edit(self, after: Plan, text: str, *, merge_key: str = "") -> None:
        """Make `after` the current plan in one undoable step named `text`.

        Steps that follow one another with the same `merge_key` become one.
        """
        if after != self._plan:
            step = _ReplacePlan(self, after, text, merge_key)
            _steps[self._key] = [s for s in _steps[self._key] if isValid(s)] + [step]
            self.undo_stack.push(step)

    def open(self, plan: Plan) -> None:
        """Show another plan; its history begins here."""
        self.undo_stack.clear()
        self.undo_stack.setClean()
        self._saved = plan
        self._show(plan)

    @property
    def saved_plan(self) -> Plan:
        """The plan as it was opened or saved last."""
        return self._saved

    def mark_saved(self, plan: Plan) -> None:
        """Note that `plan` is in the file now; edits made since then are not."""
        self._saved = plan
        self.undo_stack.resetClean()
        self._mark_if_saved()

    def _mark_if_saved(self) -> None:
        """Keep the mark of the stack with the saved plan, wherever it stands among the steps."""
        if self._plan is self._saved:
            self.undo_stack.setClean()

    def _note_saved(self, is_clean: bool) -> None:
        if is_clean:
            self._saved = self._plan

    def _show(self, plan: Plan) -> None:
        self._plan = plan
        self.changed.emit(plan)
