"""The power of the chosen site: energy of a day, the sun's way, sizes that do, cables."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from guyline.services.fetched_climate import Service
from guyline.viewmodels.power_view import PowerView
from guyline.widgets.energy_bars import EnergyBars
from guyline.widgets.panel import tight
from guyline.widgets.sizing_plot import SizingPlot, sizing_sentence
from guyline.widgets.sun_arc_plot import SunArcPlot
from guyline.widgets.theme import GRID_PX, CurrentTheme, font

SIZE = "Which panel with which battery?"
STOP = "Stop"


class PowerPanel(QScrollArea):
    """Follows the chosen site."""

    def __init__(
        self, view: PowerView, theme: CurrentTheme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._view = view
        self._shown: object = None
        self._title, self._note = QLabel(), _text()
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
        self._network = _Section("The whole plan", self._network_words)
        self._energy = _Section("Energy of a day", self._bars)
        self._sun = _Section("The sun over the horizon", self._arc, self._arc_words)
        self._sizes = _Section("Panel against battery", self._button, self._plot, self._plot_words)
        self._texts = {
            name: _text() for name in ("What would mend it", "Cables and fuses", "Battery")
        }
        self._readings = _text()
        self._sections = [_Section(name, label) for name, label in self._texts.items()]
        self._meter = _Section("What the meter should show on the first day", self._readings)
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
        network = view.network() if self.isVisible() else ()
        now = (view.power, None if site is None else site.power, view.hint, network)
        if not self.isVisible() or now == self._shown:
            return
        self._shown = now
        self._network.setVisible(bool(network))
        self._network_words.setText("\n".join(network))
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
        lines = (view.cures(), view.wiring(), view.handling())
        for section, label, found in zip(self._sections, self._texts.values(), lines, strict=True):
            section.setVisible(bool(found))
            label.setText("\n".join(found))
        self._refresh_readings()
        self._refresh_sizing()
        self._refresh_climate()

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
        cells = "".join(
            f"<tr><td>{clock}&nbsp;&nbsp;</td><td>{short}&nbsp;&nbsp;</td><td>{charging}</td></tr>"
            for clock, short, charging in rows
        )
        head = "<tr><td>clock</td><td>panel alone&nbsp;&nbsp;</td><td>into the battery</td></tr>"
        self._readings.setText(f"<table>{head}{cells}</table>")

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
        rows = QVBoxLayout(sheet)
        rows.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        rows.setSpacing(GRID_PX)
        cures, *others = self._sections
        site = (self._energy, cures, self._sun, self._climate, self._sizes, self._meter, *others)
        order = (*site, self._network)
        for widget in (self._title, self._note, *order):
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


def _text() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
