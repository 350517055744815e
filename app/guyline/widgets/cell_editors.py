"""Editors for one value: a list where there are choices, a line of text where not."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QCompleter, QLineEdit, QWidget

from guyline.core.plan import Plan
from guyline.viewmodels.equipment import CHOOSERS, proposed_names
from guyline.viewmodels.fields import Field, Kind

_PLACEHOLDERS = {Kind.DATE: "2031-04-25", Kind.POSITION: "48.20850, -4.37280"}


class ChoiceBox(QComboBox):
    """A list of choices that the mouse wheel does not change by accident."""

    def __init__(self, choices: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.addItems(list(choices))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)

    def choose(self, text: str) -> None:
        """Show a choice; one that the list lacks is added, so that nothing is misread."""
        if self.findText(text) < 0:
            self.insertItem(0, text)
        self.setCurrentText(text)

    def showPopup(self) -> None:  # noqa: N802 - Qt's own name
        # not in the constructor: a list that nobody opens costs ten widgets to dress
        self.view().setMinimumWidth(self.view().sizeHintForColumn(0) + 40)
        super().showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


def choices_of(field: Field, plan: Plan) -> tuple[str, ...] | None:
    """Return what a field can be chosen from, None where it is typed."""
    if field.catalogue == "sites":
        none = ("",) if field.can_be_unknown else ()
        return (*none, *(site.site_id for site in plan.sites))
    if field.kind is Kind.CATALOGUE:
        return CHOOSERS[field.catalogue].titles
    if field.kind is Kind.FLAG:
        return ("yes", "no")
    if field.choices is not None:
        return tuple(choice.value for choice in field.choices)
    return None


def editor_for(field: Field, plan: Plan, parent: QWidget | None = None) -> ChoiceBox | QLineEdit:
    """Return an editor that tells its name, range and unit to whoever asks."""
    choices = choices_of(field, plan)
    if choices is not None:
        editor: ChoiceBox | QLineEdit = ChoiceBox(choices, parent)
    else:
        editor = QLineEdit(parent)
        editor.setPlaceholderText(_PLACEHOLDERS.get(field.kind, ""))
        _propose(editor, proposed_names(field.catalogue))
        if field.is_numeric:
            editor.setAlignment(Qt.AlignmentFlag.AlignRight)
    editor.setAccessibleName(field.heading)
    editor.setToolTip(tip_of(field))
    return editor


def _propose(editor: QLineEdit, names: Sequence[str]) -> None:
    """Offer names while somebody types; anything else may be written too."""
    if not names:
        return
    completer = QCompleter(list(names), editor)
    completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
    completer.setFilterMode(Qt.MatchFlag.MatchContains)
    editor.setCompleter(completer)


def text_of(editor: QWidget) -> str:
    return editor.currentText() if isinstance(editor, QComboBox) else editor.text()  # type: ignore[attr-defined]


def show_text(editor: QWidget, text: str) -> None:
    if isinstance(editor, ChoiceBox):
        editor.choose(text)
    elif isinstance(editor, QLineEdit):
        editor.setText(text)
        editor.setCursorPosition(0)  # a long text is read from its beginning


def tip_of(field: Field) -> str:
    """Return what the field means and its range, in one or two short sentences."""
    parts = [field.tip] if field.tip else []
    if field.minimum is not None and field.maximum is not None:
        parts.append(f"{field.minimum:g} to {field.maximum:g} {field.unit}".rstrip())
    if field.is_numeric and field.can_be_unknown:
        parts.append("empty: unknown")
    return "; ".join(parts)
