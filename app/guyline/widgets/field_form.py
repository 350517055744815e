"""A form made from rows of fields: what is entered becomes one undoable step."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import Plan
from guyline.errors import InputError
from guyline.viewmodels.fields import Field, Kind, edited, in_units, is_available, shown
from guyline.viewmodels.site_fields import FieldGroup
from guyline.widgets.cell_editors import editor_for, show_text, text_of, tip_of
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

_NUMBER_PX = 12 * GRID_PX
_LONG_TEXT_PX = 9 * GRID_PX
_LABEL_EMS = 10


class FieldForm(QWidget):
    """One group of fields of a plan or site.

    `holder()` gives what is shown, None while there is nothing;
    `edit(after, text)` takes the changed one.
    """

    def __init__(
        self,
        group: FieldGroup,
        holder: Callable[[], object | None],
        plan: Callable[[], Plan],
        edit: Callable[[object, str], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._holder, self._plan, self._edit = holder, plan, edit
        self._rows = [_Row(field, self) for field in group.fields]
        self._lay_out(group)
        self.refresh()

    def refresh(self) -> None:
        """Show what the holder holds now; what is being typed stays."""
        holder = self._holder()
        if holder is not None:
            for row in self._rows:
                row.show_value(holder, self._plan())

    def enter(self, field: Field, text: str) -> None:
        """Take an entry.

        Raises
        ------
        InputError
            It is no such value, or out of range.
        """
        holder = self._holder()
        if holder is None or text == shown(field, holder):
            return
        after = edited(field, holder, text)
        if after != holder:
            self._edit(after, f"Change {field.title.lower()}")

    def go_to(self, path: str) -> bool:
        """Put the keyboard into a field, and say whether the form has it."""
        for row in self._rows:
            if row.field.path == path:
                row.editor.setFocus()
                return True
        return False

    @property
    def plan(self) -> Plan:
        return self._plan()

    def has(self, path: str) -> bool:
        return any(row.field.path == path for row in self._rows)

    def row(self, path: str) -> _Row:
        return next(row for row in self._rows if row.field.path == path)

    def _lay_out(self, group: FieldGroup) -> None:
        grid = QGridLayout()
        tight(grid, GRID_PX // 2)
        grid.setHorizontalSpacing(GRID_PX)
        grid.setColumnStretch(1, 1)
        grid.setColumnMinimumWidth(0, _LABEL_EMS * self.fontMetrics().horizontalAdvance("m"))
        for i, row in enumerate(self._rows):
            grid.addWidget(row.label, 3 * i, 0, Qt.AlignmentFlag.AlignVCenter)
            grid.addLayout(row.entry, 3 * i, 1)
            grid.addLayout(row.below, 3 * i + 1, 0, 1, 2)
            grid.addWidget(row.problem, 3 * i + 2, 0, 1, 2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        layout.setSpacing(GRID_PX)
        if group.title:
            heading = QLabel(group.title)
            heading.setObjectName("heading")
            layout.addWidget(heading)
        if group.tip:
            tip = QLabel(group.tip)
            tip.setObjectName("muted")
            tip.setWordWrap(True)
            layout.addWidget(tip)
        layout.addLayout(grid)


class _LongText(QPlainTextEdit):
    """Several lines, taken when the focus leaves."""

    def __init__(self, field: Field, taken: Callable[[], None]) -> None:
        super().__init__()
        self._taken = taken
        self.setFixedHeight(_LONG_TEXT_PX)
        self.setTabChangesFocus(True)
        self.setAccessibleName(field.heading)
        self.setToolTip(tip_of(field))

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._taken()


class _Row:
    """Label, editor, unit, and the place where a wrong entry is explained."""

    def __init__(self, field: Field, form: FieldForm) -> None:
        self._as_planned, self._form = field, form
        self.field = in_units(field, form.plan.incident.units)
        self.label = QLabel(field.title)
        self.label.setToolTip(tip_of(self.field))
        self.label.setWordWrap(True)
        self.unit = QLabel(self.field.unit)
        self.unit.setObjectName("muted")
        self.problem = QLabel()
        self.problem.setWordWrap(True)
        self.problem.setObjectName("problem")
        self.problem.hide()
        self.editor = self._make_editor()
        self.label.setBuddy(self.editor)
        self.label.setFixedWidth(_LABEL_EMS * self.label.fontMetrics().horizontalAdvance("m"))
        self.below = QVBoxLayout()
        tight(self.below)
        self.may_take: Callable[[], bool] = lambda: True
        self.taken: Callable[[], object] = lambda: None
        self.entry = QHBoxLayout()
        tight(self.entry, GRID_PX // 2)
        self.entry.addWidget(self.editor, 1)
        if field.unit:
            self.entry.addWidget(self.unit)
        if field.is_numeric:
            self.entry.addStretch(1)

    def show_value(self, holder: object, plan: Plan) -> None:
        if self.field.catalogue == "sites":
            return
        self._use(in_units(self._as_planned, plan.incident.units))
        self.editor.setEnabled(is_available(self.field, holder))
        text = shown(self.field, holder)
        if not self.editor.hasFocus() or isinstance(self.editor, QComboBox) or self._is_untouched:
            self._set(text)
            self._explain(None)

    def _use(self, field: Field) -> None:
        """Show and read the value in the units of that field from now on."""
        if field is not self.field:
            self.field = field
            self.unit.setText(field.unit)
            for widget in (self.label, self.editor):
                widget.setToolTip(tip_of(field))
            self.editor.setAccessibleName(field.heading)

    def take(self) -> None:
        """Enter what stands in the editor; a wrong entry stays with its reason beside it."""
        try:
            self._form.enter(self.field, self._text)
        except InputError as error:
            self._explain(error)
        else:
            self._explain(None)
            self.taken()

    def _finish(self) -> None:
        if self.may_take():
            self.take()

    @property
    def _text(self) -> str:
        if isinstance(self.editor, QPlainTextEdit):
            return self.editor.toPlainText()
        return text_of(self.editor)

    @property
    def _is_untouched(self) -> bool:
        return not (isinstance(self.editor, QLineEdit) and self.editor.isModified())

    def _set(self, text: str) -> None:
        if text == self._text:
            return
        if isinstance(self.editor, QPlainTextEdit):
            self.editor.setPlainText(text)
        else:
            show_text(self.editor, text)

    def _explain(self, error: InputError | None) -> None:
        if error is None and not self.problem.text():
            return  # dressing an editor anew costs more than all the rest of its row
        self.problem.setText("" if error is None else f"{error} {error.advice}")
        self.problem.setVisible(error is not None)
        self.editor.setProperty("wrong", error is not None)
        self.editor.style().unpolish(self.editor)
        self.editor.style().polish(self.editor)
        self.editor.setAccessibleDescription(self.problem.text())

    def _make_editor(self) -> QComboBox | QLineEdit | QPlainTextEdit:
        if self.field.kind is Kind.LONG_TEXT:
            return _LongText(self.field, self.take)
        editor = editor_for(self.field, self._form.plan)
        if isinstance(editor, QComboBox):
            editor.activated.connect(lambda index: self.take())
        else:
            editor.editingFinished.connect(self._finish)
            if self.field.is_numeric:
                editor.setFixedWidth(_NUMBER_PX)
        return editor
