"""Talking out and talking back apart, and what a handheld receives, cell by cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.network.coverage import Coverage, Raster, handheld_sensitivity_dbm, server_answer
from guyline.core.plan import Plan


@dataclass(frozen=True, eq=False, kw_only=True)
class Directions:
    """The best server's link of each cell, one way at a time; NaN where nothing is known.

    Attributes
    ----------
    out_db, back_db : float32 array (rows, columns)
        Margin from the site to the handheld, and from the handheld to the site. [dB]
    received_dbm : float32 array (rows, columns)
        Median level that the handheld receives.
    """

    out_db: Raster
    back_db: Raster
    received_dbm: Raster


@dataclass(frozen=True, eq=False, kw_only=True)
class WayOffsets:
    """What turns the margin of a server's weaker direction into each of its ways.

    Attributes
    ----------
    out_db, back_db : float32 array (servers + 1,)
        To be added, by position of the server; NaN at the end, for a cell without one. [dB]
    sensitivity_dbm : float
        Of the handheld: with the margin of the way out, the level that it receives.
    """

    out_db: Raster
    back_db: Raster
    sensitivity_dbm: float


def way_offsets(plan: Plan, coverage: Coverage) -> WayOffsets:
    """What each server's ways are stronger by than its weaker one.

    Both ways run over the same path, antennas and clutter, so they differ by what powers and
    sensitivities differ by, which is the same in every cell of a server.

    Parameters
    ----------
    plan : Plan
        The one that the coverage was worked out for.
    """
    answers = [server_answer(plan, plan.site(site_id)) for site_id in coverage.site_ids]
    return WayOffsets(
        out_db=np.array([a.out_over_db for a in answers] + [np.nan], dtype=np.float32),
        back_db=np.array([a.back_over_db for a in answers] + [np.nan], dtype=np.float32),
        sensitivity_dbm=handheld_sensitivity_dbm(plan),
    )


def directions_of(plan: Plan, coverage: Coverage) -> Directions:
    """Margin either way and received level of the best server's link in every cell.

    out = margin + (out - weaker), received = out + sensitivity of the handheld.

    Parameters
    ----------
    plan : Plan
        The one that the coverage was worked out for.

    Notes
    -----
    The best server is the one whose weaker direction is best; another one may be louder.
    """
    ways = way_offsets(plan, coverage)
    out = coverage.margin_db + ways.out_db[coverage.server]  # no server is -1: the last, NaN
    return Directions(
        out_db=out,
        back_db=coverage.margin_db + ways.back_db[coverage.server],
        received_dbm=out + np.float32(ways.sensitivity_dbm),
    )


def areas_by_way_km2(plan: Plan, coverage: Coverage) -> tuple[float, float]:
    """Area that the best servers would serve if only talking out, or only back, counted. [km²]

    The lesser of the two is no less than the area served, which asks for both.
    """
    ways = directions_of(plan, coverage)
    cell_km2 = coverage.grid.cell_m**2 / 1e6
    out, back = (
        float((values >= coverage.required_db).sum()) * cell_km2
        for values in (ways.out_db, ways.back_db)
    )
    return out, back
