"""Gets terrain for the area of the plan: source, margin, size first, then the fetching."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from guyline.errors import GuylineError
from guyline.services.terrain_download import Download
from guyline.services.terrain_tiles import TILE_SETS
from guyline.services.wording import counted
from guyline.viewmodels.terrain_fetch import TerrainFetch, size_words, tile_set_facts
from guyline.widgets.cell_editors import ChoiceBox
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

MARGINS_KM = (5, 10, 20, 40, 80)
PRIVACY = "Only the names of the tiles go to the server; the plan stays here."


class TerrainDialog(QDialog):
    """One button leads on: ask for the size, fetch. Stopping keeps what has come."""

    def __init__(self, terrain: TerrainFetch, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.terrain = terrain
        terrain.setParent(self)
        self.setWindowTitle("Get terrain for this area")
        self.setAccessibleName(self.windowTitle())
        self.notices = NoticeBar()
        self.sources = QButtonGroup(self)
        self.margin = ChoiceBox([f"{km} km" for km in MARGINS_KM])
        self.margin.setCurrentIndex(MARGINS_KM.index(round(terrain.margin_km)))
        self.margin.setAccessibleName("Margin round the sites")
        self.told = _wrapped("")
        self.told.setObjectName("heading")
        self.notice = _wrapped("", "evidence")
        self.progress = QProgressBar()
        self.progress.setRange(0, 1000)
        self.progress.setAccessibleName("How much is fetched")
        self.lead = QPushButton()
        self.lead.setDefault(True)
        self.stop = QPushButton("Close")
        self._lay_out()
        self._connect()
        self._refresh()

    def reject(self) -> None:
        """Stop what is at work, or close."""
        if self.terrain.is_busy:
            self.terrain.cancel()
        else:
            super().reject()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.terrain.cancel()
        super().closeEvent(event)

    def _connect(self) -> None:
        terrain = self.terrain
        terrain.changed.connect(self._refresh)
        terrain.progressed.connect(self._show_progress)
        terrain.refused.connect(self._refuse)
        terrain.done.connect(self._show_done)
        self.sources.idClicked.connect(lambda i: self._use())
        self.margin.activated.connect(lambda i: self._use())
        self.lead.clicked.connect(self._go_on)
        self.stop.clicked.connect(self.reject)

    def _use(self) -> None:
        margin_km = float(MARGINS_KM[self.margin.currentIndex()])
        self.terrain.use(TILE_SETS[self.sources.checkedId()], margin_km)

    def _go_on(self) -> None:
        self.notices.hide()
        if self.terrain.is_surveyed:
            self.terrain.fetch()
        else:
            self.terrain.survey()

    def _refresh(self) -> None:
        terrain = self.terrain
        problem = terrain.problem
        self.told.setText(problem or terrain.told)
        self.notice.setText(f"{terrain.tile_set.notice} ({terrain.tile_set.licence})")
        self.lead.setText(self._lead_words())
        self.lead.setEnabled(not problem and not terrain.is_busy)
        self.stop.setText("Stop" if terrain.is_busy else "Close")
        self.progress.setVisible(terrain.is_busy)
        for widget in (*self.sources.buttons(), self.margin):
            widget.setEnabled(not terrain.is_busy)

        if not terrain.is_busy and self.stop.hasFocus():
            self.lead.setFocus()  # Stop has done its part
        self._grow()

    def _grow(self) -> None:
        """Make room for what is told; wrapped texts do not ask for it themselves."""
        self._sheet.activate()
        needed = self._sheet.totalHeightForWidth(self.width())
        if needed > self.height():
            self.resize(self.width(), needed)

    def _lead_words(self) -> str:
        if not self.terrain.is_surveyed:
            return "Ask for the size"
        size = self.terrain.bytes_to_fetch
        if size is None:
            return "Fetch"
        return f"Fetch {size_words(size)}" if size else "Add to the plan"

    def _show_progress(self, done: float, text: str) -> None:
        self.progress.setRange(0, 1000 if done >= 0 else 0)
        self.progress.setValue(round(1000 * done))
        self.progress.setFormat("%p %")
        self.told.setText(f"{text}…")

    def _refuse(self, error: GuylineError) -> None:
        self.notices.tell_error(error)
        self._grow()

    def _show_done(self, download: Download) -> None:
        if download.problems:
            here = counted(len(download.sources), "tile")
            self.notices.tell(" ".join(download.problems[:2]), f"{here} can be used.")
            self._grow()
        elif download.sources:
            self.accept()
        else:
            self.notices.tell(f"No tile is there: {self.terrain.tile_set.missing_means}.")

    def _lay_out(self) -> None:
        layout = self._sheet = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX + 4)
        layout.addWidget(self.notices)
        for i, tile_set in enumerate(TILE_SETS):
            button = QRadioButton(tile_set.name)
            button.setChecked(tile_set is self.terrain.tile_set)
            button.setAccessibleDescription(tile_set_facts(tile_set))
            self.sources.addButton(button, i)
            facts = _wrapped(tile_set_facts(tile_set), "muted")
            facts.setIndent(3 * GRID_PX)
            source = QVBoxLayout()
            tight(source, GRID_PX // 2)
            source.addWidget(button)
            source.addWidget(facts)
            layout.addLayout(source)
        margin, label = QHBoxLayout(), QLabel("&Margin round the sites")
        tight(margin, GRID_PX)
        label.setBuddy(self.margin)
        margin.addWidget(label)
        margin.addWidget(self.margin)
        margin.addStretch(1)
        layout.addLayout(margin)
        for widget in (self.told, self.progress, self.notice, _wrapped(PRIVACY, "muted")):
            layout.addWidget(widget)
        layout.addStretch(1)
        buttons = QHBoxLayout()
        tight(buttons, GRID_PX)
        buttons.addStretch(1)
        buttons.addWidget(self.stop)
        buttons.addWidget(self.lead)
        layout.addLayout(buttons)
        self.resize(76 * GRID_PX, 48 * GRID_PX)


def _wrapped(text: str, name: str = "") -> QLabel:
    label = QLabel(text)
    label.setObjectName(name)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
