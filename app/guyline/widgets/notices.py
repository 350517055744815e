"""One bar that tells what went wrong or was done, and what to do next."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from guyline.errors import GuylineError
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX


class NoticeBar(QFrame):
    """Stands until it is closed or another notice takes its place; blocks nothing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self._message, self._advice = QLabel(), QLabel()
        self._message.setObjectName("heading")
        for label in (self._message, self._advice):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._action = QPushButton()
        self._action.hide()
        self._close = QPushButton("Close")
        self._close.setToolTip("Close this notice (Esc)")
        self._act: Callable[[], object] | None = None
        self._action.clicked.connect(self._do)
        self._close.clicked.connect(self.hide)
        self._lay_out()
        self.hide()

    @property
    def text(self) -> str:
        return f"{self._message.text()} {self._advice.text()}".strip()

    def tell(
        self,
        message: str,
        advice: str = "",
        action: tuple[str, Callable[[], object]] | None = None,
    ) -> None:
        """Show a sentence, what to do next, and at most one thing that can be done here."""
        self._message.setText(message)
        self._advice.setText(advice)
        self._advice.setVisible(bool(advice))
        self._act = action[1] if action else None
        self._action.setText(action[0] if action else "")
        self._action.setVisible(action is not None)
        self.setAccessibleName(self.text)
        self.show()
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))

    def tell_error(self, error: GuylineError) -> None:
        self.tell(str(error), error.advice)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _do(self) -> None:
        self.hide()
        if self._act is not None:
            self._act()

    def _lay_out(self) -> None:
        texts = QVBoxLayout()
        tight(texts, 2)
        texts.addWidget(self._message)
        texts.addWidget(self._advice)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX, GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addLayout(texts, 1)
        layout.addWidget(self._action)
        layout.addWidget(self._close)
