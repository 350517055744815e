"""A sheet of paper on the desk: heading, room for small controls, content."""

from __future__ import annotations

from typing import TypeVar

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLayout, QVBoxLayout, QWidget

from guyline.widgets.theme import GRID_PX

Content = TypeVar("Content", bound=QWidget)
_BAR_PX = 3 * GRID_PX  # headings of neighbours stand on one line, controls or not


class Panel(QFrame):
    """A framed surface; `bar` is its top row, heading first, for controls to be added.

    Content that is made later is handed to `take`.

    Content that tells by itself what it is needs no heading on screen, only for screen readers.
    """

    def __init__(
        self,
        heading: str,
        content: QWidget | None = None,
        parent: QWidget | None = None,
        *,
        shows_heading: bool = True,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self.setAccessibleName(heading)
        self.bar = QHBoxLayout()
        self.bar.setContentsMargins(GRID_PX + 4, GRID_PX // 2, GRID_PX // 2, GRID_PX // 2)
        self.bar.setSpacing(GRID_PX)
        self.heading = QLabel(heading)
        self.heading.setObjectName("heading")
        self.bar.addWidget(self.heading)
        self.bar.addStretch(1)
        self.bar.addStrut(_BAR_PX)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(1, 1, 1, 1)
        layout.setSpacing(0)
        if shows_heading:
            layout.addLayout(self.bar)
        if content is not None:
            layout.addWidget(content, 1)

    def take(self, content: Content) -> Content:
        """Show a content that has just been made, and return it."""
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.addWidget(content, 1)
        return content


def tight(layout: QLayout, spacing: int = 0) -> None:
    """Take the platform's own margins away: the grid decides."""
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(spacing)
