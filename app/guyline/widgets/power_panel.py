"""The power of the chosen site: energy of a day, the sun's way, sizes that do, cables."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from guyline.services.fetched_climate import Service
from guyline.viewmodels.power_view import PowerView
from guyline.widgets.energy_bars import EnergyBars
from guyline.widgets.panel import tight
from guyline.widgets.power_cures import CureList, LackingList
from guyline.widgets.sizing_plot import SizingPlot, sizing_sentence
from guyline.widgets.sun_arc_plot import SunArcPlot
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

SIZE = "Which panel with which battery?"
STOP = "Stop"
_TOP = 2  # after title and note


class PowerPanel(QScrollArea):
    """Follows the chosen site."""

    def __init__(
        self, view: PowerView, theme: CurrentTheme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._view = view
        self._shown: object = None
        self._title, self._note, self._facts = QLabel(), _text(), _text()
        self._cures, self._lacking = CureList(), LackingList(theme)
        self._cures.chosen.connect(view.do_cure)
        self._lacking.chosen.connect(view.choose)
        self._title.setFont(font(13.0, bold=True))
        self._bars, self._arc, self._plot = EnergyBars(theme), SunArcPlot(theme), SizingPlot(theme)
        self._arc_words, self._plot_words = _text(), _text()
        self._button = QPushButton(SIZE)
        self._button.clicked.connect(self._size_or_stop)
        self._climate_words, self._fetch_buttons = _text(), []
        for service in Service:
            button = QPushButton(f"Ask {service}")
            button.clicked.connect(lambda _, s=service: self._fetch_or_stop(s))
            self._fetch_buttons.append(button)
        self._climate = _Section("Climate", self._climate_words, *self._fetch_buttons)
        self._network_words = _text()
        self._network = _Section("Sites that lack power", self._lacking, self._network_words)
        self._mending = _Section("What would mend it", self._cures)
        self._energy = _Section("Energy of a day", self._bars)
        self._sun = _Section("The sun over the horizon", self._arc, self._arc_words)
        self._sizes = _Section("Panel against battery", self._button, self._plot, self._plot_words)
        self._texts = {name: _text() for name in ("Cables and fuses", "Battery")}
        self._readings, self._readings_words = _text(), _text()
        self._sections = [_Section(name, label) for name, label in self._texts.items()]
        self._meter = _Section(
            "What the meter should show on the first day", self._readings, self._readings_words
        )
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Power of the chosen site")
        self._lay_out()
        view.changed.connect(self.refresh)
        view.sizing_changed.connect(self._refresh_sizing)
        view.fetching_changed.connect(self._refresh_climate)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the view model again, where anybody looks and something is new."""
        view, site = self._view, self._view.site
        network = (view.lacking(), view.network()) if self.isVisible() else ()
        now = (view.power, None if site is None else site.power, view.hint, network)
        if not self.isVisible() or now == self._shown:
            return
        self._shown = now
        self._refresh_network()
        self._title.setText("" if site is None else f"{site.site_id}: {site.power.source}")
        self._note.setText(view.hint or view.note)
        bars = view.bars()
        self._energy.setVisible(bool(bars))
        self._bars.show_bars(bars)
        skyline = view.skyline()
        self._sun.setVisible(skyline is not None)
        if skyline is not None:
            self._arc.show_skyline(skyline)
            self._arc_words.setText(skyline.sentence)
        self._facts.setText(_table(view.facts()))
        cures = view.cures()
        self._mending.setVisible(bool(cures))
        self._cures.show_cures(cures, view.cure_ranking())
        lines = (view.wiring(), view.handling())
        for section, label, found in zip(self._sections, self._texts.values(), lines, strict=True):
            section.setVisible(bool(found))
            label.setText("\n".join(found))
        self._refresh_readings()
        self._refresh_sizing()
        self._refresh_climate()

    def _refresh_network(self) -> None:
        """The whole plan stands first while no site is chosen, and last when one is."""
        lacking, words = self._view.lacking(), self._view.network()
        self._network.setVisible(lacking is not None)
        self._lacking.show_section(lacking)
        self._network_words.setText("\n".join(words))
        self._rows.removeWidget(self._network)
        last = self._rows.count() - 1  # before the stretch
        self._rows.insertWidget(last if self._view.power is not None else _TOP, self._network)

    def _refresh_climate(self) -> None:
        words = self._view.climate()
        self._climate.setVisible(bool(words))
        self._climate_words.setText(words)
        for button, service in zip(self._fetch_buttons, Service, strict=True):
            button.setText(STOP if self._view.is_fetching else f"Ask {service}")

    def _fetch_or_stop(self, service: Service) -> None:
        if self._view.is_fetching:
            self._view.cancel_fetching()
        else:
            self._view.fetch_climate(service)

    def _refresh_readings(self) -> None:
        rows = self._view.readings()
        self._meter.setVisible(bool(rows))
        head = ("clock", "panel open", "panel shorted", "into the battery")
        self._readings.setText(_table((head, *rows)) if rows else "")
        self._readings_words.setText(self._view.readings_note())

    def _refresh_sizing(self) -> None:
        view, chart = self._view, self._view.sizing
        self._sizes.setVisible(view.can_size)
        self._button.setVisible(chart is None)
        self._button.setText(STOP if view.is_sizing else SIZE)
        self._plot.show_chart(chart)
        self._plot_words.setVisible(chart is not None)
        self._plot_words.setText("" if chart is None else sizing_sentence(chart))

    def _size_or_stop(self) -> None:
        if self._view.is_sizing:
            self._view.cancel_sizing()
        else:
            self._view.make_sizing()

    def _lay_out(self) -> None:
        sheet = QWidget()
        sheet.setObjectName("sheet")
        rows = self._rows = QVBoxLayout(sheet)
        rows.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        rows.setSpacing(GRID_PX)
        site = (self._mending, self._energy, self._sun, self._climate, self._sizes, self._meter)
        order = (*site, *self._sections, self._network)
        for widget in (self._title, self._note, self._facts, *order):
            rows.addWidget(widget)
        rows.addStretch(1)
        self.setWidget(sheet)


class _Section(QWidget):
    def __init__(self, heading: str, *content: QWidget) -> None:
        super().__init__()
        label = QLabel(heading)
        label.setFont(font(9.5, bold=True))
        layout = QVBoxLayout(self)
        tight(layout, GRID_PX // 2)
        for widget in (label, *content):
            layout.addWidget(widget)


def _table(rows: tuple[tuple[str, ...], ...]) -> str:
    """Rows of words as a table of rich text."""
    lines = (
        "".join(f"<td>{escape(cell)}&nbsp;&nbsp;</td>" for cell in row if cell) for row in rows
    )
    return f"<table>{''.join(f'<tr>{line}</tr>' for line in lines)}</table>" if rows else ""


def _text() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
