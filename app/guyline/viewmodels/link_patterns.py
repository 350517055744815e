"""The antennas of a link: gain by elevation and all round, with the neighbours' angles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Antenna, Pattern, Site, SiteId
from guyline.core.radio.antenna import gain_toward_dbi
from guyline.core.radio.antenna_choice import (
    DIRECTIONAL,
    lean_cost_db,
    pointing_cost_db,
    pointing_tolerance_deg,
)
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import FindingCode
from guyline.core.units import Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Where a neighbour lies in an antenna's pattern; the azimuth is true."""

    site_id: SiteId
    azimuth_deg: float
    elevation_deg: float
    gain_dbi: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatternView:
    """Pattern of a site's antenna with the neighbours' angles.

    `gain_dbi` is over `elevation_deg` in the direction of the beam; `around_dbi` at every whole
    degree of true bearing on the level of the beam, None where the antenna serves all round.
    """

    site_id: SiteId
    name: str
    elevation_deg: Numbers
    gain_dbi: Numbers
    neighbours: tuple[Neighbour, ...]
    around_dbi: Numbers | None = None
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


SHOWN_ELEVATION_DEG = 30.0  # steeper neighbours are rare; they widen the picture


def pattern_view(assessment: PlanAssessment, site: Site) -> PatternView | None:
    """Return the antenna of a site with its neighbours; None while its gain is unknown."""
    antenna = site.antenna
    if antenna.gain_dbi is None:
        return None
    neighbours = tuple(
        Neighbour(
            site_id=link.link.other(site.site_id),
            azimuth_deg=azimuth,
            elevation_deg=up,
            gain_dbi=used,
        )
        for link in assessment.links
        if site.site_id in link.link.ends
        and (azimuth := link.azimuth_from_deg(site.site_id)) is not None
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
        around_dbi=_around_dbi(antenna, worst),
        aim=aim_words(antenna, worst.elevation_deg) if worst is not None else "",
        better=_better(assessment, site.site_id),
    )


def _around_dbi(antenna: Antenna, worst: Neighbour | None) -> Numbers | None:
    """Gain by true bearing; an antenna without azimuth is aimed at its neighbour."""
    aimed_at = antenna.azimuth_deg
    if aimed_at is None and worst is not None:
        aimed_at = worst.azimuth_deg
    if antenna.pattern not in DIRECTIONAL or aimed_at is None or antenna.gain_dbi is None:
        return None
    off = (np.arange(360.0) - aimed_at + 180.0) % 360.0 - 180.0
    return gain_toward_dbi(
        antenna.pattern,
        antenna.gain_dbi,
        -antenna.tilt_deg,
        off,
        antenna.tilt_deg,
        antenna.beamwidth_azimuth_deg,
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
