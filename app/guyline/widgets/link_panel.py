"""The link between the two chosen sites: odds, budget both ways, patterns."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from guyline.services.documents.content import ReadingLine
from guyline.services.documents.readings_page import line_words
from guyline.viewmodels.link_chain import ChainView
from guyline.viewmodels.link_patterns import PatternView
from guyline.viewmodels.link_view import DirectionView, LinkView
from guyline.viewmodels.record_lists import READINGS
from guyline.widgets.link_chain import LinkChain
from guyline.widgets.link_numbers import LinkNumbers
from guyline.widgets.link_pattern import LinkPattern
from guyline.widgets.link_rose import LinkRose
from guyline.widgets.link_waterfall import LinkWaterfall
from guyline.widgets.panel import tight
from guyline.widgets.reading_strip import ReadingStrip
from guyline.widgets.theme import GRID_PX, CurrentTheme, font


class LinkPanel(QScrollArea):
    """Follows the chosen path; the weaker direction stands first."""

    entry_wanted = Signal(str)
    """Somebody wants to enter something; carries the path of its list in the plan."""

    def __init__(self, view: LinkView, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._title, self._note = QLabel(), _text()
        self._title.setFont(font(13.0, bold=True))
        self._budgets = [_Budget(theme) for _ in range(2)]
        self._readings = _Readings(theme)
        self._readings.enter.clicked.connect(lambda: self.entry_wanted.emit(READINGS.path))
        self._patterns = [_Pattern(theme) for _ in range(2)]
        self._chains = [_Chain(theme) for _ in range(2)]
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Link between the two chosen sites")
        self._lay_out()
        view.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Read the view model again."""
        view, link = self._view, self._view.link
        title = "" if link is None else f"{link.link.from_id} – {link.link.to_id}"
        self._title.setText(title)
        notes = (view.hint, view.missing, view.odds, view.other_model)
        self._note.setText("\n".join(note for note in notes if note))
        directions, patterns, chains = view.directions(), view.patterns(), view.chains()
        for i, budget in enumerate(self._budgets):
            budget.show_direction(directions[i] if i < len(directions) else None)
        self._readings.show_lines(view.readings())
        for i, pattern in enumerate(self._patterns):
            pattern.show_pattern(patterns[i] if i < len(patterns) else None)
        for i, chain in enumerate(self._chains):
            chain.show_chain(chains[i] if i < len(chains) else None)

    def _lay_out(self) -> None:
        sheet = QWidget()
        sheet.setObjectName("sheet")
        rows = QVBoxLayout(sheet)
        rows.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        rows.setSpacing(GRID_PX)
        pictures = (*self._budgets, self._readings, *self._patterns, *self._chains)
        for widget in (self._title, self._note, *pictures):
            rows.addWidget(widget)
        rows.addStretch(1)
        self.setWidget(sheet)


class _Budget(QWidget):
    """One direction: the picture, what it comes to, and on wish every number with its source."""

    def __init__(self, theme: CurrentTheme) -> None:
        super().__init__()
        self._heading, self._words = _heading(), _text()
        self._picture = LinkWaterfall(theme)
        self._asked = QPushButton("Show the numbers and their sources")
        self._asked.setCheckable(True)
        self._numbers = LinkNumbers(theme)
        self._numbers.hide()
        self._asked.toggled.connect(self._numbers.setVisible)
        _stack(self, self._heading, self._picture, self._words, self._asked, self._numbers)

    def show_direction(self, view: DirectionView | None) -> None:
        self.setVisible(view is not None)
        if view is not None:
            self._heading.setText(f"{view.talker} to {view.listener}")
            self._words.setText(view.sentence)
            self._picture.show_direction(view)
            self._numbers.show_direction(view)


class _Readings(QWidget):
    """What crews read on the link against the plan, and where to enter more."""

    def __init__(self, theme: CurrentTheme) -> None:
        super().__init__()
        heading = _heading()
        heading.setText("Read on site, against the plan")
        self._ways = [(_text(), ReadingStrip(theme)) for _ in range(2)]
        self.enter = QPushButton("Enter what was read")
        self.enter.setToolTip("Goes to the list of readings under Plan")
        _stack(self, heading, *(w for way in self._ways for w in way), self.enter)

    def show_lines(self, lines: Sequence[ReadingLine]) -> None:
        self.setVisible(bool(lines))
        for (label, strip), line in zip(self._ways, lines, strict=False):
            words = "; ".join(part for part in line_words(line) if part)
            label.setText(f"{line.listener_id} from {line.talker_id}: {words}.")
            strip.setVisible(line.is_read)
            strip.show_line(line, words)


class _Pattern(QWidget):
    def __init__(self, theme: CurrentTheme) -> None:
        super().__init__()
        self._heading, self._words = _heading(), _text()
        self._picture, self._rose = LinkPattern(theme), LinkRose(theme)
        self._turn = _text()
        self._turn.setText("Its gain all round, north up:")
        _stack(self, self._heading, self._picture, self._turn, self._rose, self._words)

    def show_pattern(self, view: PatternView | None) -> None:
        self.setVisible(view is not None)
        if view is not None:
            self._heading.setText(f"Antenna at {view.site_id}, gain by elevation")
            self._turn.setVisible(view.around_dbi is not None)
            self._rose.show_pattern(view)
            self._words.setText(view.sentence)
            self._picture.show_pattern(view)


class _Chain(QWidget):
    def __init__(self, theme: CurrentTheme) -> None:
        super().__init__()
        self._heading, self._words = _heading(), _text()
        self._picture = LinkChain(theme)
        _stack(self, self._heading, self._picture, self._words)

    def show_chain(self, view: ChainView | None) -> None:
        self.setVisible(view is not None)
        if view is not None:
            self._heading.setText(f"From radio to antenna at {view.site_id}")
            self._words.setText(view.sentence)
            self._picture.show_chain(view)


def _heading() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)  # a long identifier must not widen the sheet
    label.setFont(font(9.5, bold=True))
    return label


def _text() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _stack(owner: QWidget, *widgets: QWidget) -> None:
    layout = QVBoxLayout(owner)
    tight(layout, GRID_PX // 2)
    for widget in widgets:
        layout.addWidget(widget)
