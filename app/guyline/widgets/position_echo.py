"""Reads a position back while it is typed, and shows it on the map before it is taken."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QRadioButton, QVBoxLayout, QWidget

from guyline.errors import InputError
from guyline.viewmodels.position_entry import Meaning
from guyline.viewmodels.selection import Selection
from guyline.widgets.theme import GRID_PX

HINT = "Enter takes it, Esc leaves it as it was."
CHOOSE_HINT = "It can mean several places: choose with ↑ and ↓. "


class PositionEcho(QWidget):
    """Stands below a line of text while a position is typed into it.

    `read` gives what a text may mean, `show_plan` puts what the plan has into the line.
    A text with one plain meaning is taken when the line is left;
    anything else waits for Enter.
    """

    def __init__(
        self,
        editor: QLineEdit,
        read: Callable[[str], tuple[Meaning, ...]],
        selection: Selection,
        show_plan: Callable[[], object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._editor, self._read, self._selection = editor, read, selection
        self._show_plan = show_plan
        self._meanings: tuple[Meaning, ...] = ()
        self._chosen = 0
        self._is_wanted = False
        self.told, self.doubted, self._hint = QLabel(), QLabel(), QLabel()
        self.doubted.setObjectName("problem")
        self._hint.setObjectName("evidence")
        self.choices: list[QRadioButton] = []
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(GRID_PX, 0, 0, GRID_PX)
        self._layout.setSpacing(GRID_PX // 2)
        for label in (self.told, self.doubted, self._hint):
            label.setWordWrap(True)
            self._layout.addWidget(label)
        editor.textEdited.connect(self._hear)
        editor.textChanged.connect(self._forget_if_shown)
        editor.returnPressed.connect(self._want)
        editor.installEventFilter(self)
        self.hide()

    @property
    def is_settled(self) -> bool:
        """Whether what stands in the line may be taken now."""
        if self._is_wanted or not self._meanings:
            return True
        plain = [i for i, meaning in enumerate(self._meanings) if meaning.is_plain]
        return plain == [0] and self._chosen == 0

    def choose(self, number: int) -> None:
        """Take another of the meanings as the likely one, and show it."""
        if 0 <= number < len(self._meanings):
            self._chosen = number
            self._show()

    def settle(self) -> None:
        """Let the line show what the plan has."""
        self._editor.setModified(False)
        self.leave()
        self._show_plan()

    def leave(self) -> None:
        """Forget what was heard."""
        if self._meanings:
            self._selection.point_at(None)
        self._meanings, self._chosen, self._is_wanted = (), 0, False
        self.hide()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None and len(self._meanings) > 1:
                self.choose(self._chosen + step)
                return True
            if event.key() == Qt.Key.Key_Escape and self._editor.isModified():
                self.settle()
                return True
        return super().eventFilter(watched, event)

    def _hear(self, text: str) -> None:
        self._is_wanted, self._chosen = False, 0
        try:
            self._meanings = self._read(text)
        except InputError:  # told when it is entered; half a position is no mistake yet
            self.leave()
            return
        self._show()

    def _want(self) -> None:
        """Make Enter take the chosen meaning: the line then says that and nothing else."""
        self._is_wanted = True
        if self._chosen > 0:
            self._editor.setText(self._meanings[self._chosen].entry)
            self._editor.setModified(True)

    def _forget_if_shown(self) -> None:
        if not self._editor.isModified() and not self._is_wanted:
            self.leave()

    def _show(self) -> None:
        meaning = self._meanings[self._chosen]
        self._selection.point_at(meaning.place)
        self._show_choices()
        self.told.setText("\n".join((*meaning.echoes, *meaning.candidate.notes)))
        self.doubted.setText("\n".join(doubt.message for doubt in meaning.doubts))
        self.doubted.setVisible(bool(meaning.doubts))
        several = len(self._meanings) > 1
        self._hint.setText(f"{CHOOSE_HINT if several else ''}{HINT}")
        said = (self.told.text(), self.doubted.text(), self._hint.text())
        self._editor.setAccessibleDescription(". ".join(text for text in said if text))
        self.show()

    def _show_choices(self) -> None:
        several = self._meanings if len(self._meanings) > 1 else ()
        while len(self.choices) < len(several):
            self._add_choice(len(self.choices))
        for i, button in enumerate(self.choices):
            button.setVisible(i < len(several))
            if i < len(several):
                button.setText(several[i].candidate.echo)
                button.setChecked(i == self._chosen)

    def _add_choice(self, number: int) -> None:
        button = QRadioButton()
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard stays in the line
        button.setAccessibleName(f"Meaning {number + 1}")
        button.clicked.connect(lambda: self.choose(number))
        self._layout.insertWidget(number, button)
        self.choices.append(button)
