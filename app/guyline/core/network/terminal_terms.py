"""Losses and noise that the surroundings of an antenna add to a link."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.plan import Fact, Plan, Roof, Site, Surroundings
from guyline.core.radio.building_entry import Construction, building_entry_loss_db
from guyline.core.radio.clutter import CLUTTER_HEIGHT_M, ClutterKind, terminal_clutter_loss_db
from guyline.core.radio.noise import NoiseEnvironment, planning_noise_figure_db
from guyline.core.radio.spread import Spread, building_spread, clutter_spread, woodland_spread
from guyline.core.radio.vegetation import Foliage, woodland_loss_db
from guyline.core.units import Numbers
from guyline.errors import InputError

CLUTTER = {
    Surroundings.WATER: ClutterKind.WATER,
    Surroundings.OPEN: ClutterKind.OPEN,
    Surroundings.SUBURB: ClutterKind.SUBURBAN,
    Surroundings.TOWN: ClutterKind.URBAN,
    Surroundings.DENSE_TOWN: ClutterKind.DENSE_URBAN,
    Surroundings.WOODLAND: ClutterKind.WOODLAND,
}
NOISE = {
    Surroundings.SUBURB: NoiseEnvironment.RESIDENTIAL,
    Surroundings.TOWN: NoiseEnvironment.CITY,
    Surroundings.DENSE_TOWN: NoiseEnvironment.BUSINESS,
}
CONSTRUCTION = {
    Roof.ORDINARY: Construction.TRADITIONAL,
    Roof.INSULATED: Construction.EFFICIENT,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TerminalTerm:
    """A loss at one end of a link, and how unsure it is."""

    name: str
    loss_db: float
    source: str
    spread: Spread | None = None


def terminal_terms(
    plan: Plan, site: Site, frequency_hz: float, elevation_deg: float
) -> tuple[TerminalTerm, ...]:
    """Losses at a site's end of a link, no obstacle counted twice.

    Trees given as a length of way replace the clutter of woodland. Where the terrain data
    includes trees and roofs, those are in the profile already and clutter is left out.
    """
    terms = []
    if site.trees_m > 0.0:
        terms.append(_trees(plan, site, frequency_hz))
    elif (clutter := _clutter(plan, site, frequency_hz)) is not None:
        terms.append(clutter)
    if site.roof is not Roof.NONE:
        terms.append(_building(site.roof, frequency_hz, elevation_deg))
    return tuple(terms)


def no_terms_because(plan: Plan, site: Site, frequency_hz: float) -> str:
    """Why the losses of a site's surroundings cannot be given at a frequency, "" if they can.

    Each Recommendation holds over a range of frequencies; beyond it the loss is unknown.
    """
    try:
        terminal_terms(plan, site, frequency_hz, 0.0)
    except InputError as error:
        return f"{str(error).rstrip('.')}: {error.advice}".rstrip(".")
    return ""


def _trees(plan: Plan, site: Site, frequency_hz: float) -> TerminalTerm:
    foliage = Foliage.BARE if plan.trees_in_leaf is Fact.NO else Foliage.IN_LEAF
    loss = float(woodland_loss_db(site.trees_m, frequency_hz, foliage))
    return TerminalTerm(
        name=f"{site.trees_m:.0f} m of trees, {foliage}",
        loss_db=loss,
        source="Rec. ITU-R P.833-9",
        spread=woodland_spread(loss),
    )


def _clutter(plan: Plan, site: Site, frequency_hz: float) -> TerminalTerm | None:
    kind = CLUTTER.get(site.surroundings)
    if kind is None or not site.antenna_agl_m or _terrain_has(plan, kind):
        return None
    loss = float(terminal_clutter_loss_db(kind, site.antenna_agl_m, frequency_hz))
    if loss == 0.0:
        return None
    among_roofs = kind not in (ClutterKind.OPEN, ClutterKind.WATER)
    return TerminalTerm(
        name=f"{site.surroundings} around",
        loss_db=loss,
        source="Rec. ITU-R P.2108-1 section 3.1",
        spread=clutter_spread() if among_roofs else None,
    )


def counts_surroundings(plan: Plan, site: Site) -> bool:
    """Whether a term of this end counts the trees or houses among which the antenna stands."""
    if site.trees_m > 0.0:
        return True
    kind = CLUTTER.get(site.surroundings)
    if kind in (None, ClutterKind.OPEN, ClutterKind.WATER) or not site.antenna_agl_m:
        return False
    return site.antenna_agl_m < CLUTTER_HEIGHT_M[kind] and not _terrain_has(plan, kind)


def _terrain_has(plan: Plan, kind: ClutterKind) -> bool:
    if kind in (ClutterKind.OPEN, ClutterKind.WATER):
        return False
    return any(source.includes_trees is Fact.YES for source in plan.terrain_sources)


def _building(roof: Roof, frequency_hz: float, elevation_deg: float) -> TerminalTerm:
    return TerminalTerm(
        name=str(roof),
        loss_db=float(roof_loss_db(roof, frequency_hz, elevation_deg)),
        source="Rec. ITU-R P.2109, median",
        spread=building_spread(CONSTRUCTION[roof], frequency_hz),
    )


def roof_loss_db(roof: Roof, frequency_hz: float, elevation_deg: ArrayLike) -> Numbers:
    """Median loss into a building at the elevation of each path, 0 where there is no roof. [dB]"""
    if roof is Roof.NONE:
        return np.zeros(np.shape(elevation_deg))
    return building_entry_loss_db(
        CONSTRUCTION[roof], frequency_hz, elevation_deg=np.abs(np.asarray(elevation_deg))
    )


def clutter_height_m(site: Site) -> float:
    """Height of what stands around the antenna, 0 where that is unknown. [m]"""
    kind = CLUTTER.get(site.surroundings)
    return 0.0 if kind is None or kind is ClutterKind.WATER else CLUTTER_HEIGHT_M[kind]


def noise_figure_db(site: Site, frequency_hz: float, feeder_loss_db: float) -> float | None:
    """Noise figure with what the surroundings radiate; None where the radio's is unknown. [dB]"""
    own = site.radio.noise_figure_db
    if own is None:
        return None
    environment = NOISE.get(site.surroundings, NoiseEnvironment.RURAL)
    return planning_noise_figure_db(own, environment, frequency_hz, feeder_loss_db)
