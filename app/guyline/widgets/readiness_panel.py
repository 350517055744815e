"""The readiness of the selected site: verdict, then findings worst first."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.readiness import Readiness, Strip, StripKey
from guyline.viewmodels.why_not import WhyNot
from guyline.widgets.finding_strip import FindingStrip
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme, Theme
from guyline.widgets.verdict_icon import VerdictMark
from guyline.widgets.why_not_card import WhyNotCard

EMPTY = "Select a site in the table or on the map: here stands whether it can be built, and why."


class ReadinessPanel(QWidget):
    """Follows the selection; strips keep their place and openness while numbers change."""

    mended = Signal(object)
    entry_wanted = Signal(object)

    def __init__(
        self,
        readiness: Readiness,
        why_not: WhyNot,
        theme: CurrentTheme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._readiness, self._theme = readiness, theme
        self.card = WhyNotCard(why_not, theme)
        self.card.entry_wanted.connect(self.entry_wanted)
        self._mark = VerdictMark(theme, 28)
        self._word, self._site, self._count = QLabel(), QLabel(), QLabel()
        self._word.setObjectName("title")
        self._count.setObjectName("muted")
        self._empty = QLabel(EMPTY)
        self._empty.setObjectName("muted")
        self._empty.setWordWrap(True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._empty.setContentsMargins(GRID_PX + 4, GRID_PX * 2, GRID_PX + 4, 0)
        self._strips: dict[StripKey, FindingStrip] = {}
        self._shown_site: object = None
        self._lay_out()
        readiness.changed.connect(self.refresh)
        theme.changed.connect(self._dress)
        self.refresh()

    def refresh(self) -> None:
        """Read the view model again."""
        site, assessed = self._readiness.site, self._readiness.assessed
        self._head.setVisible(site is not None)
        self._scroll.setVisible(site is not None)
        self._empty.setVisible(site is None)
        if site is None:
            return
        self._site.setText(site.name or site.site_id)
        verdict = Verdict.NOT_ASSESSED if assessed is None else assessed.verdict
        self._mark.show_verdict(verdict)
        self._word.setText(f"{site.site_id}: {verdict.value}")
        self._dress(self._theme.value)
        strips = self._readiness.strips
        self._count.setText(_tally(strips))
        if site.site_id != self._shown_site:
            self._shown_site = site.site_id
            self._forget()
            self._scroll.verticalScrollBar().setValue(0)
        self._show(strips)

    def _show(self, strips: tuple[Strip, ...]) -> None:
        wanted = {strip.key for strip in strips}
        for key in [key for key in self._strips if key not in wanted]:
            self._discard(key)
        for place, strip in enumerate(strips):
            widget = self._strips.get(strip.key)
            if widget is None:
                widget = FindingStrip(self._theme, self._list)
                widget.mended.connect(self.mended)
                widget.entry_wanted.connect(self.entry_wanted)
                self._strips[strip.key] = widget
            if self._rows.indexOf(widget) != place:
                self._rows.removeWidget(widget)
                self._rows.insertWidget(place, widget)
            widget.show_strip(strip)
            widget.show()

    def _forget(self) -> None:
        for key in list(self._strips):
            self._discard(key)

    def _discard(self, key: StripKey) -> None:
        widget = self._strips.pop(key)
        self._rows.removeWidget(widget)
        widget.hide()
        widget.deleteLater()

    def _dress(self, theme: Theme) -> None:
        assessed = self._readiness.assessed
        verdict = Verdict.NOT_ASSESSED if assessed is None else assessed.verdict
        self._word.setStyleSheet(f"color: {theme.verdict_color(verdict)};")

    def _lay_out(self) -> None:
        self._head = QWidget()
        texts = QVBoxLayout()
        tight(texts, 2)
        for label in (self._word, self._site, self._count):
            label.setWordWrap(True)
            texts.addWidget(label)
        head = QHBoxLayout(self._head)
        head.setContentsMargins(GRID_PX + 4, GRID_PX // 2, GRID_PX, GRID_PX)
        head.setSpacing(GRID_PX + 4)
        head.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        head.addLayout(texts, 1)
        self._list = QWidget()
        self._list.setObjectName("sheet")
        self._rows = QVBoxLayout(self._list)
        tight(self._rows)
        self._rows.addStretch(1)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        body = QWidget()
        body.setObjectName("sheet")
        column = QVBoxLayout(body)
        tight(column)
        column.addWidget(self.card)
        column.addWidget(self._list, 1)
        self._scroll.setWidget(body)
        self._scroll.setAccessibleName("Findings, worst first")
        layout = QVBoxLayout(self)
        tight(layout)
        layout.addWidget(self._head)
        layout.addWidget(self._empty, 1)
        layout.addWidget(self._scroll, 1)


def _tally(strips: tuple[Strip, ...]) -> str:
    """Return how many findings there are of each verdict, worst first."""
    counts = [
        (sum(strip.verdict is verdict for strip in strips), word)
        for verdict, word in (
            (Verdict.NO_GO, "against it"),
            (Verdict.NOT_ASSESSED, "unknown"),
            (Verdict.CONDITIONS, "with conditions"),
            (Verdict.GO, "as it should be"),
        )
    ]
    return ", ".join(f"{count} {word}" for count, word in counts if count)
