"""The readiness of the selected site, as strips worst first."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan, Site
from guyline.core.readiness.assessment import SiteAssessment
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    Quantity,
    Verdict,
)
from guyline.core.readiness.remedy import apply_remedy
from guyline.services.wording import remedy_sentence, sentence, title
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.entries import Entry, entry_of
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection

StripKey = tuple[str, str, str]
"""Code, other end, quantity."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A value against its limit, as fractions of one scale from left to right."""

    zero: float
    value: float
    limit: float
    is_kept: bool
    caption: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One finding as people see it; `key` stays the same while its numbers change."""

    key: StripKey
    verdict: Verdict
    title: str
    sentence: str
    gauge: Gauge | None
    evidence: str
    remedy: str
    can_be_done_here: bool
    entry: Entry | None
    """Where what is missing is entered, None where nothing is."""
    formula: str
    inputs: tuple[tuple[str, str, str], ...]
    """Name, value with unit, source."""
    source: str
    confidence: str


class Readiness(QObject):
    """`changed` says that verdict and strips are to be read again."""

    changed = Signal()
    stale = Signal()

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._live = document, selection, live
        selection.site_changed.connect(self._announce)
        live.updated.connect(self._announce)
        live.stale.connect(self.stale)
        document.changed.connect(self._announce)

    @property
    def site(self) -> Site | None:
        """The selected site, None where none is."""
        site_id = self._selection.site_id
        plan = self._document.plan
        return plan.site(site_id) if site_id is not None and plan.has_site(site_id) else None

    @property
    def assessed(self) -> SiteAssessment | None:
        site, current = self.site, self._live.current
        if site is None or current is None or not current.plan.has_site(site.site_id):
            return None
        return current.site(site.site_id)

    @property
    def strips(self) -> tuple[Strip, ...]:
        return () if self.assessed is None else tuple(map(strip, self.assessed.findings))

    def mend(self, key: StripKey) -> None:
        """Do what would mend that finding, as one undoable step."""
        finding = self._finding(key)
        if finding is not None and finding.remedy is not None and finding.remedy.is_edit:
            after: Plan = apply_remedy(self._document.plan, finding.remedy)
            self._document.edit(
                after, f"{finding.site_id}: {remedy_sentence(finding).rstrip('.')}"
            )

    def _finding(self, key: StripKey) -> Finding | None:
        found = () if self.assessed is None else self.assessed.findings
        return next((finding for finding in found if _key(finding) == key), None)

    def _announce(self, what: object) -> None:
        self.changed.emit()


def strip(finding: Finding) -> Strip:
    """Return a finding in words and fractions."""
    working = finding.working
    remedy = finding.remedy
    return Strip(
        key=_key(finding),
        verdict=finding.verdict,
        title=title(finding),
        sentence=sentence(finding),
        gauge=gauge(finding),
        evidence=_evidence(finding),
        remedy=remedy_sentence(finding),
        can_be_done_here=remedy is not None and remedy.is_edit,
        entry=entry_of(finding),
        formula=working.formula,
        inputs=tuple((q.name, _quantity_text(q), q.source) for q in working.inputs),
        source=working.source,
        confidence=working.confidence,
    )


def gauge(finding: Finding) -> Gauge | None:
    """Return where value and limit lie on a scale that holds both and zero."""
    value, limit, margin = finding.value, finding.limit, finding.margin
    if value is None or limit is None or margin is None or finding.comparison is Comparison.IS:
        return None
    if not (isfinite(value) and isfinite(limit)):
        return None
    low, high = min(0.0, value, limit), max(0.0, value, limit)
    if high == low:
        return None
    room = 0.12 * (high - low)  # so that neither end touches the frame
    low, high = low - (room if low < 0 else 0.0), high + room

    def place(number: float) -> float:
        return (number - low) / (high - low)

    return Gauge(
        zero=place(0.0),
        value=place(value),
        limit=place(limit),
        is_kept=margin >= 0,
        caption=_caption(finding, value, limit),
    )


def _caption(finding: Finding, value: float, limit: float) -> str:
    unit = f" {finding.unit}" if finding.unit else ""
    if value == round(value) and limit == round(limit):  # things that are counted
        return f"{value:.0f} of {finding.comparison.value} {limit:.0f}{unit}"
    return f"{_figure(value)} of {finding.comparison.value} {_figure(limit)}{unit}"


def _figure(value: float) -> str:
    decimals = 0 if abs(value) >= 100 else 1 if abs(value) >= 1 else 2
    return f"{value:.{decimals}f}".replace("-", "\N{MINUS SIGN}")


def _evidence(finding: Finding) -> str:
    if finding.evidence and finding.evidence_on is not None:
        return f"{finding.evidence}, {finding.evidence_on:%d %b %Y}"
    return finding.evidence


def _quantity_text(quantity: Quantity) -> str:
    if quantity.value is None:
        return "unknown"
    value = quantity.value
    text = value if isinstance(value, str) else _input_figure(value)
    return f"{text} {quantity.unit}".rstrip()


def _input_figure(value: float) -> str:
    """Return an input with four digits, of large ones all before the point."""
    if abs(value) < 10_000 or not isfinite(value):
        text = f"{value:.4g}"
    else:
        text = f"{value:_.0f}".replace("_", "\N{NARROW NO-BREAK SPACE}")
    return text.replace("-", "\N{MINUS SIGN}")


def _key(finding: Finding) -> StripKey:
    return finding.code.value, finding.far_id or "", finding.quantity
