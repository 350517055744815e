"""What would mend a lack of power, and the sites that have one: lines to act on."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from guyline.core.plan import SiteId
from guyline.viewmodels.board_rows import BoardSection
from guyline.viewmodels.power_view import CureRow
from guyline.widgets.board_panel import BoardLine
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme


class CureList(QWidget):
    """One line a cure, with a button where the plan can do it; `chosen` carries its place."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows = QVBoxLayout(self)
        tight(self._rows, GRID_PX // 2)

    def show_cures(self, cures: tuple[CureRow, ...], ranking: str) -> None:
        _clear(self._rows)
        for place, cure in enumerate(cures):
            self._rows.addWidget(_wrapped(cure.words))
            if cure.action:
                self._rows.addWidget(self._button(place, cure))
        if ranking:
            note = _wrapped(ranking)
            note.setObjectName("muted")
            self._rows.addWidget(note)

    def _button(self, place: int, cure: CureRow) -> QPushButton:
        button = QPushButton(cure.action)
        button.setAccessibleName(f"{cure.action}: changes the plan, can be undone")
        button.setToolTip("Changes the plan; Ctrl+Z takes it back")
        button.clicked.connect(lambda: self.chosen.emit(place))
        return button


class LackingList(QWidget):
    """One line a site that lacks power or may; `chosen` carries its identifier."""

    chosen = Signal(object)

    def __init__(self, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._rows = QVBoxLayout(self)
        tight(self._rows)

    def show_section(self, section: BoardSection | None) -> None:
        _clear(self._rows)
        if section is None:
            return
        for row in section.rows:
            line = BoardLine(row, self._theme)
            line.chosen.connect(lambda chosen: self._choose(chosen.site_id))
            self._rows.addWidget(line)
        if not section.rows:
            self._rows.addWidget(_wrapped(section.empty))

    def _choose(self, site_id: SiteId | None) -> None:
        if site_id is not None:
            self.chosen.emit(site_id)


def _clear(layout: QVBoxLayout) -> None:
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()  # its button may be what asked for this


def _wrapped(text: str) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    return label
