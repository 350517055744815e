"""What the link view shows: the budget in both directions, the odds, and the antennas."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QObject, Signal

from guyline.core.network.budget_steps import BudgetStep, budget_steps
from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Antenna, Link, Pattern, RadioProfile, Site, SiteId
from guyline.core.radio.antenna import gain_toward_dbi
from guyline.core.radio.antenna_choice import (
    DIRECTIONAL,
    lean_cost_db,
    pointing_cost_db,
    pointing_tolerance_deg,
)
from guyline.core.radio.link_budget import noise_floor_dbm, required_snr_db
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import FindingCode
from guyline.core.units import Numbers
from guyline.services.wording.numbers import percent
from guyline.viewmodels.link_chain import ChainView, chain_view
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Where a neighbour lies in an antenna's elevation pattern."""

    site_id: SiteId
    elevation_deg: float
    gain_dbi: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatternView:
    """Elevation pattern of a site's antenna with the neighbours' angles."""

    site_id: SiteId
    name: str
    elevation_deg: Numbers
    gain_dbi: Numbers
    neighbours: tuple[Neighbour, ...]
    aim: str = ""
    """What bad aim costs, in words."""
    better: str = ""
    """Antennas of the catalogue that reach the worst served neighbour better, with their gain."""

    @property
    def sentence(self) -> str:
        return " ".join(words for words in (self._gain_words, self.aim, self._other) if words)

    @property
    def _other(self) -> str:
        return f"Better there: {self.better}." if self.better else ""

    @property
    def _gain_words(self) -> str:
        if not self.neighbours:
            return f"{self.site_id}: {self.name}."
        worst = min(self.neighbours, key=lambda n: n.gain_dbi)
        way = "up" if worst.elevation_deg >= 0 else "down"
        return (
            f"{self.site_id}: {self.name}. Least gain toward {worst.site_id},"
            f" {abs(worst.elevation_deg):.1f}° {way}: {worst.gain_dbi:.1f} dBi."
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

    def patterns(self) -> tuple[PatternView, ...]:
        """The antennas of both ends."""
        link, assessment = self.link, self._live.current
        if link is None or assessment is None:
            return ()
        plan = assessment.plan
        return tuple(
            pattern
            for site_id in (link.link.from_id, link.link.to_id)
            if (pattern := _pattern(assessment, plan.site(site_id))) is not None
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


SHOWN_ELEVATION_DEG = 30.0  # steeper neighbours are rare; they widen the picture


def _pattern(assessment: PlanAssessment, site: Site) -> PatternView | None:
    antenna = site.antenna
    if antenna.gain_dbi is None:
        return None
    neighbours = tuple(
        Neighbour(site_id=link.link.other(site.site_id), elevation_deg=up, gain_dbi=used)
        for link in assessment.links
        if site.site_id in link.link.ends
        and (up := link.elevation_from_deg(site.site_id)) is not None
        and (used := _gain_used_dbi(link, site.site_id)) is not None
    )
    worst = min(neighbours, key=lambda n: n.gain_dbi, default=None)
    reach = max([SHOWN_ELEVATION_DEG, *(abs(n.elevation_deg) + 5.0 for n in neighbours)])
    elevation = np.linspace(-reach, reach, 241)
    gain = gain_toward_dbi(
        antenna.pattern,
        antenna.gain_dbi,
        elevation,
        tilt_deg=antenna.tilt_deg,
        beamwidth_azimuth_deg=antenna.beamwidth_azimuth_deg,
    )
    kind = antenna.catalogue_key or str(antenna.pattern)
    name = f"{kind}, {antenna.gain_dbi:g} dBi"
    if antenna.pattern is not Pattern.DIPOLE and antenna.tilt_deg:
        name += f", tilted {antenna.tilt_deg:g}° down"
    return PatternView(
        site_id=site.site_id,
        name=name,
        elevation_deg=elevation,
        gain_dbi=np.asarray(gain),
        neighbours=neighbours,
        aim=aim_words(antenna, worst.elevation_deg) if worst is not None else "",
        better=_better(assessment, site.site_id),
    )


BAD_AIM_DEG = 10.0  # our choice: a bracket that turned a little in the wind
LEAN_DEG = 5.0  # our choice: a mast that looks upright and is not
TOLERATED_DB = 1.0


def aim_words(antenna: Antenna, elevation_deg: float) -> str:
    """Return what a turned antenna and a leaning mast cost toward a neighbour."""
    lean = lean_cost_db(antenna, LEAN_DEG, elevation_deg)
    leaning = f"a mast that leans {LEAN_DEG:g}° costs up to {max(lean, 0.0):.1f} dB."
    if antenna.pattern not in DIRECTIONAL:
        return leaning[:1].upper() + leaning[1:]
    cost = pointing_cost_db(antenna, BAD_AIM_DEG, elevation_deg)
    within = pointing_tolerance_deg(antenna, TOLERATED_DB, elevation_deg)
    return (
        f"{BAD_AIM_DEG:g}° off costs {cost:.1f} dB, up to {within:.0f}° off costs at most"
        f" {TOLERATED_DB:g} dB; {leaning}"
    )


def _better(assessment: PlanAssessment, site_id: SiteId) -> str:
    findings = assessment.site(site_id).findings
    return next((f.fact("better") for f in findings if f.code is FindingCode.ANTENNA_BEAM), "")


def _gain_used_dbi(link: LinkAssessment, site_id: SiteId) -> float | None:
    if link.budget is None:
        return None
    forward = link.budget.forward
    return forward.tx_gain_dbi if site_id == link.link.from_id else forward.rx_gain_dbi
