"""The whole deployment in one line along the top."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.wording import decision_line
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX, CurrentTheme, Theme
from guyline.widgets.verdict_icon import VerdictMark, mark_icon

_TEXT_BESIDE = Qt.ToolButtonStyle.ToolButtonTextBesideIcon
PROGRESS_AFTER_MS = 400  # our choice: shorter waits pass without a flicker


class DecisionLine(QFrame):
    """What happens if we go today; `verdict_chosen` asks to see the sites of one verdict."""

    verdict_chosen = Signal(object)
    blocker_chosen = Signal()

    def __init__(
        self, live: LiveAssessment, theme: CurrentTheme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self._live, self._theme = live, theme
        self._mark = VerdictMark(theme, 32)
        self._headline, self._rest = QLabel(), QLabel()
        self._headline.setObjectName("title")
        self._rest.setWordWrap(True)
        for label in (self._headline, self._rest):
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._tallies = {verdict: self._tally(verdict) for verdict in Verdict}
        self._progress = _Progress(live)
        self._lay_out()
        self._dress(theme.value)
        theme.changed.connect(self._dress)
        live.updated.connect(self._show)
        self.tell_empty()
        if live.current is not None:
            self._show(live.current)

    @property
    def text(self) -> str:
        return f"{self._headline.text()} {self._rest.text()}"

    def tell_empty(self) -> None:
        self._headline.setText("Looking at the plan…")
        self._rest.setText("")

    def _show(self, assessment: PlanAssessment) -> None:
        headline, _, rest = decision_line(assessment).partition(". ")
        self._headline.setText(headline.rstrip(".") + ".")
        self._rest.setText(rest)
        self._rest.setToolTip(rest)
        self._mark.show_verdict(assessment.verdict)
        self.setAccessibleName(self.text)
        for verdict, button in self._tallies.items():
            count = sum(site.verdict is verdict for site in assessment.sites)
            button.setText(f"{count}")
            button.setEnabled(count > 0)
            button.setAccessibleName(f"{count} sites {verdict.value}")
            button.setToolTip(f"{count} {verdict.value}: show only these")

    def _tally(self, verdict: Verdict) -> QToolButton:
        button = QToolButton()
        button.setToolButtonStyle(_TEXT_BESIDE)
        button.setCheckable(True)
        button.setAccessibleName(f"Sites {verdict.value}")
        button.clicked.connect(lambda on: self._choose(verdict if on else None))
        return button

    def _choose(self, verdict: Verdict | None) -> None:
        for other, button in self._tallies.items():
            button.setChecked(other is verdict)
        self.verdict_chosen.emit(verdict)

    def _dress(self, theme: Theme) -> None:
        for verdict, button in self._tallies.items():
            button.setIcon(mark_icon(verdict, theme))

    def _lay_out(self) -> None:
        texts = QVBoxLayout()
        tight(texts, 2)
        texts.addWidget(self._headline)
        texts.addWidget(self._rest)
        tallies = QHBoxLayout()
        tight(tallies, GRID_PX // 2)
        for button in self._tallies.values():
            tallies.addWidget(button)
        right = QVBoxLayout()
        tight(right, GRID_PX // 2)
        right.addLayout(tallies)
        right.addWidget(self._progress)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX, GRID_PX)
        layout.setSpacing(GRID_PX + 4)
        layout.addWidget(self._mark)
        layout.addLayout(texts, 1)
        layout.addLayout(right)


class _Progress(QWidget):
    """How far the run under way has come, and a button that stops it."""

    def __init__(self, live: LiveAssessment, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bar = QProgressBar()
        self._bar.setAccessibleName("Progress of the assessment")
        self._bar.setFixedHeight(18)
        stop = QPushButton("Stop")
        stop.setToolTip("Stop working it out; what is shown stays")
        stop.clicked.connect(live.cancel)
        layout = QHBoxLayout(self)
        tight(layout, GRID_PX // 2)
        layout.addWidget(self._bar, 1)
        layout.addWidget(stop)
        policy = self.sizePolicy()
        policy.setRetainSizeWhenHidden(True)  # nothing jumps when it comes and goes
        self.setSizePolicy(policy)
        self.hide()
        self._delay = QTimer(self)
        self._delay.setSingleShot(True)
        self._delay.setInterval(PROGRESS_AFTER_MS)
        self._delay.timeout.connect(self.show)
        live.stale.connect(self._begin)
        live.settled.connect(self._end)
        live.progressed.connect(self._move)

    def _begin(self) -> None:
        if not self.isVisible() and not self._delay.isActive():
            self._bar.setRange(0, 0)
            self._delay.start()

    def _end(self) -> None:
        self._delay.stop()
        self.hide()

    def _move(self, done: float, text: str) -> None:
        self._bar.setRange(0, 0 if done < 0 else 100)
        self._bar.setValue(round(done * 100))
        self._bar.setFormat(text)
