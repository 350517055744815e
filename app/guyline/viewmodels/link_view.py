"""What the link view shows: the budget in both directions, the odds, and the antennas."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from guyline.core.network.budget_steps import BudgetStep, budget_steps
from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Link, RadioProfile, SiteId
from guyline.core.radio.link_budget import noise_floor_dbm, required_snr_db
from guyline.services.documents.content import ReadingLine
from guyline.services.documents.readings_page import reading_lines
from guyline.services.wording.numbers import percent
from guyline.viewmodels.link_chain import ChainView, chain_view
from guyline.viewmodels.link_patterns import PatternView, pattern_view
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection

EMPTY = (
    "Choose two sites of the plan as the ends of the path: here stands the budget of their link."
)
WAITING = "The budget appears when the plan has been assessed."
NOT_LISTED = (
    "This pair is not listed as a link to prove. Add it under Plan, Links, to see its budget."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberLine:
    """One number of a budget in words, with where it is from."""

    name: str
    change: str
    level: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionView:
    """One direction of a link: who talks, who listens, and every step between."""

    talker: SiteId
    listener: SiteId
    steps: tuple[BudgetStep, ...]
    received_dbm: float
    sensitivity_dbm: float
    margin_db: float
    required_db: float
    needed_from: str
    """What the needed level is made of."""

    @property
    def numbers(self) -> tuple[NumberLine, ...]:
        """Every step, then what the listener needs and what is left over."""
        steps = [
            NumberLine(
                name=step.name,
                change=f"{step.change_db:+.1f} dB" if i else "",
                level=f"{step.level_dbm:.1f} dBm",
                source=step.source,
            )
            for i, step in enumerate(self.steps)
        ]
        needed = NumberLine(
            name=f"Needed by {self.listener}",
            change="",
            level=f"{self.sensitivity_dbm:.1f} dBm",
            source=self.needed_from,
        )
        margin = NumberLine(
            name="Margin",
            change=f"{self.margin_db:+.1f} dB",
            level="",
            source=f"received less needed; {self.required_db:g} dB asked for by the plan",
        )
        return (*steps, needed, margin)

    @property
    def is_kept(self) -> bool:
        return self.margin_db >= self.required_db

    @property
    def sentence(self) -> str:
        state = "kept" if self.is_kept else f"{self.required_db - self.margin_db:.1f} dB missing"
        return (
            f"{self.listener} hears {self.talker} at {self.received_dbm:.1f} dBm and needs"
            f" {self.sensitivity_dbm:.1f} dBm: margin {self.margin_db:.1f} dB,"
            f" {self.required_db:.0f} dB asked for, {state}."
        )


class LinkView(QObject):
    """Follows the two sites of the chosen path and their link in the latest assessment."""

    changed = Signal()

    def __init__(
        self, selection: Selection, live: LiveAssessment, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._selection, self._live = selection, live
        selection.path_changed.connect(lambda path: self.changed.emit())
        live.updated.connect(lambda assessment: self.changed.emit())

    @property
    def link(self) -> LinkAssessment | None:
        """The assessed link between both ends; None where there is none."""
        ends, assessment = self._ends(), self._live.current
        if ends is None or assessment is None:
            return None
        return next((k for k in assessment.links if k.link.ends == frozenset(ends)), None)

    @property
    def hint(self) -> str:
        """What to do first where there is nothing to show."""
        if self.link is not None:
            return ""
        if self._live.current is None:
            return WAITING
        return EMPTY if self._ends() is None else NOT_LISTED

    @property
    def missing(self) -> str:
        """What must be entered before there is a budget."""
        link = self.link
        if link is None or link.budget is not None:
            return ""
        names = ", ".join(f"{name} of {site_id}" for site_id, name in link.missing)
        return f"No budget yet: unknown {names or 'ground on the way'}."

    @property
    def odds(self) -> str:
        """The probability that the link works, with its band and causes, in a sentence."""
        link = self.link
        if link is None or link.spread is None:
            return ""
        low, high = link.spread.band_db(90.0)
        causes = ", ".join(
            f"{cause} {100 * share:.0f} %" for cause, share in link.spread.shares()[:3]
        )
        return (
            f"Works with a probability of {percent(link.spread.probability)}."
            f" Margin {low:.0f} to {high:.0f} dB in nine cases of ten;"
            f" the doubt comes from {causes}."
        )

    @property
    def other_model(self) -> str:
        """What the complete P.1812 says, where it differs by more than half a decibel."""
        difference = None if self.link is None else self.link.model_difference_db
        if difference is None or abs(difference) <= 0.5:
            return ""
        more = "more" if difference > 0 else "less"
        return f"The complete P.1812 for half of the time: {abs(difference):.1f} dB {more} loss."

    def directions(self) -> tuple[DirectionView, ...]:
        """Both directions, the weaker first; empty without a budget."""
        link, assessment = self.link, self._live.current
        if link is None or link.budget is None or assessment is None:
            return ()
        profile = assessment.plan.radio_profile
        both = (_direction(link, True, profile), _direction(link, False, profile))
        return both if link.budget.limiting == "forward" else both[::-1]

    def readings(self) -> tuple[ReadingLine, ...]:
        """Both directions as planned and as read on site, in the order of `directions`."""
        link, assessment = self.link, self._live.current
        if link is None or assessment is None:
            return ()
        lines = reading_lines(assessment.plan, link)
        weaker = [view.talker for view in self.directions()[:1]]
        return tuple(sorted(lines, key=lambda line: line.talker_id not in weaker))

    def patterns(self) -> tuple[PatternView, ...]:
        """The antennas of both ends."""
        link, assessment = self.link, self._live.current
        if link is None or assessment is None:
            return ()
        plan = assessment.plan
        return tuple(
            pattern
            for site_id in (link.link.from_id, link.link.to_id)
            if (pattern := pattern_view(assessment, plan.site(site_id))) is not None
        )

    def chains(self) -> tuple[ChainView, ...]:
        """From radio to antenna at both ends."""
        link, assessment = self.link, self._live.current
        if link is None or assessment is None:
            return ()
        plan, ends = assessment.plan, (link.link.from_id, link.link.to_id)
        return tuple(chain_view(plan, plan.site(site_id)) for site_id in ends)

    def _ends(self) -> tuple[SiteId, SiteId] | None:
        path = self._selection.path
        if path is None or path[0].site_id is None or path[1].site_id is None:
            return None
        return path[0].site_id, path[1].site_id


def _direction(link: LinkAssessment, forward: bool, profile: RadioProfile) -> DirectionView:
    assert link.budget is not None
    way = link.budget.forward if forward else link.budget.backward
    ends: Link = link.link
    return DirectionView(
        talker=ends.from_id if forward else ends.to_id,
        listener=ends.to_id if forward else ends.from_id,
        steps=budget_steps(link, forward=forward),
        received_dbm=way.received_dbm,
        sensitivity_dbm=way.sensitivity_dbm,
        margin_db=way.margin_db,
        required_db=profile.required_margin_db,
        needed_from=_needed_from(profile, way.sensitivity_dbm),
    )


def _needed_from(profile: RadioProfile, sensitivity: float) -> str:
    snr = required_snr_db(profile.spreading_factor)
    noise_figure = sensitivity - snr - noise_floor_dbm(profile.bandwidth_hz, 0.0)
    return (
        f"-174 dBm + 10 log {profile.bandwidth_hz:g} Hz + {noise_figure:.1f} dB of noise, own and"
        f" about the site + {snr:g} dB SNR for spreading factor {profile.spreading_factor}"
        f" (transceiver data sheet)"
    )
