"""The header of the profile plot: both ends to pick, and the numbers of the path."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import Site, SiteId
from guyline.core.readiness.finding import Verdict, Working
from guyline.viewmodels.path_view import FAR, NEAR, PathView
from guyline.viewmodels.path_view_facts import PathFact, path_facts
from guyline.viewmodels.verdict_marks import mark_path
from guyline.widgets.theme import GRID_PX, Theme, font

POINT = "point on the map"
END_NAMES = ("From", "To")


class ProfileHeader(QWidget):
    """`site_chosen` carries the end and the site; `point_chosen` the end to be a bare point."""

    site_chosen = Signal(int, str)
    point_chosen = Signal(int)
    swapped = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._facts: tuple[PathFact, ...] = ()
        self._sites: tuple[Site, ...] = ()
        self._verdicts: dict[SiteId, Verdict] = {}
        self.pickers = (self._picker(NEAR), self._picker(FAR))
        self.swap_button = QToolButton()
        self.swap_button.setText("⇄")
        self.swap_button.setAccessibleName("Swap both ends")
        self.swap_button.setToolTip("Look along the path from its other end")
        self.swap_button.clicked.connect(self.swapped)
        self.facts_label = self._line("Numbers of the path")
        self.facts_label.linkActivated.connect(self._show_working)
        self.problem_label = self._line("What is unknown of the path")
        self._lay_out()
        self.use_theme(theme)

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self.show_sites(self._sites, self._verdicts)
        self._write_facts()

    def show_sites(self, sites: tuple[Site, ...], verdicts: dict[SiteId, Verdict]) -> None:
        """Offer the sites that can be an end, each with the mark of its verdict."""
        self._sites, self._verdicts = sites, verdicts
        for picker in self.pickers:
            chosen = picker.currentData()
            picker.clear()
            for site in sites:
                words = f"{site.site_id}  {site.name}" if site.name else site.site_id
                picker.addItem(self._mark(site.site_id), words, site.site_id)
            picker.addItem(POINT, None)
            picker.setCurrentIndex(picker.findData(chosen) if chosen is not None else -1)

    def show_path(self, view: PathView | None) -> None:
        for end, picker in enumerate(self.pickers):
            if view is None:
                picker.setCurrentIndex(-1)
            else:
                picker.setCurrentIndex(picker.findData(view.ends[end].site_id))
        self.swap_button.setEnabled(view is not None)
        self._facts = () if view is None else path_facts(view)
        self._write_facts()
        self.problem_label.setText("" if view is None else view.problem)
        self.problem_label.setVisible(bool(view is not None and view.problem))

    def _picker(self, end: int) -> QComboBox:
        picker = QComboBox()
        picker.setAccessibleName(f"{END_NAMES[end]}: end of the path")
        picker.setPlaceholderText("Pick a site")
        picker.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        picker.setMinimumContentsLength(12)
        picker.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        picker.activated.connect(lambda index: self._choose(end, index))
        return picker

    def _line(self, name: str) -> QLabel:
        label = QLabel()
        label.setAccessibleName(name)
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.RichText)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        label.setFont(font(8.5))
        label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        return label

    def _lay_out(self) -> None:
        ends = QHBoxLayout()
        ends.setSpacing(GRID_PX)
        ends.addWidget(self.pickers[NEAR], 1)
        ends.addWidget(self.swap_button)
        ends.addWidget(self.pickers[FAR], 1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(GRID_PX, GRID_PX, GRID_PX, GRID_PX // 2)
        rows.setSpacing(GRID_PX // 2)
        rows.addLayout(ends)
        rows.addWidget(self.facts_label)
        rows.addWidget(self.problem_label)

    def _choose(self, end: int, index: int) -> None:
        site_id = self.pickers[end].itemData(index)
        if site_id is None:
            self.point_chosen.emit(end)
        else:
            self.site_chosen.emit(end, site_id)

    def _write_facts(self) -> None:
        gap = " &nbsp;&nbsp; "  # breaks between facts, never inside one
        self.facts_label.setText(
            gap.join(self._fact_html(fact) for fact in self._facts if fact.short_text)
        )
        self.facts_label.setAccessibleDescription(
            ". ".join(f"{fact.caption}: {fact.text}" for fact in self._facts)
        )
        self.facts_label.setVisible(bool(self._facts))

    def _fact_html(self, fact: PathFact) -> str:
        theme = self._theme
        mark = {True: "", False: "✕&nbsp;", None: ""}[fact.is_kept]
        caption, text = (
            escape(words).replace(" ", "&nbsp;") for words in (fact.short_caption, fact.short_text)
        )
        head = f"<span style='color:{theme.muted}'>{caption}</span>&nbsp;" if caption else ""
        link = f"<a href='{fact.key}' style='color:{theme.ink};text-decoration:none'>"
        return f"{head}{link}<b>{mark}{text}</b></a>"

    def _show_working(self, key: str) -> None:
        fact = next(fact for fact in self._facts if fact.key == key)
        at = self.facts_label.mapToGlobal(QPoint(0, self.facts_label.height()))
        QToolTip.showText(at, _working_html(fact.caption, fact.working), self.facts_label)

    def _mark(self, site_id: SiteId) -> QIcon:
        verdict = self._verdicts.get(site_id)
        if verdict is None:
            return QIcon()
        ratio = self.devicePixelRatioF()
        picture = QPixmap(QSize(12, 12) * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        color = QColor(self._theme.verdict_color(verdict))
        painter.fillPath(mark_path(verdict, QRectF(1, 1, 10, 10)), color)
        painter.end()
        return QIcon(picture)


def _working_html(caption: str, working: Working) -> str:
    rows = "".join(
        f"<tr><td>{escape(q.name)}&nbsp;</td><td align='right'>{_value(q.value)}</td>"
        f"<td>&nbsp;{escape(q.unit)}</td><td>&nbsp;{escape(q.source)}</td></tr>"
        for q in working.inputs
    )
    tail = "".join(
        f"<p>{name}: {escape(words)}</p>"
        for name, words in (("Source", working.source), ("Confidence", working.confidence))
        if words
    )
    return f"<b>{escape(caption)}</b><p>{escape(working.formula)}</p><table>{rows}</table>{tail}"


def _value(value: float | str | None) -> str:
    if value is None:
        return "unknown"
    return escape(value) if isinstance(value, str) else f"{value:.6g}"
