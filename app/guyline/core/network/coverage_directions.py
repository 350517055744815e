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


def directions_of(plan: Plan, coverage: Coverage) -> Directions:
    """Margin either way and received level of the best server's link in every cell.

    Both ways run over the same path, antennas and clutter, so they differ by what powers and
    sensitivities differ by, which is the same in every cell of a server:
    out = margin + (out - weaker), received = out + sensitivity of the handheld.

    Parameters
    ----------
    plan : Plan
        The one that the coverage was worked out for.

    Notes
    -----
    The best server is the one whose weaker direction is best; another one may be louder.
    """
    answers = [server_answer(plan, plan.site(site_id)) for site_id in coverage.site_ids]
    out_over = np.array([a.out_over_db for a in answers] + [np.nan], dtype=np.float32)
    back_over = np.array([a.back_over_db for a in answers] + [np.nan], dtype=np.float32)
    out = coverage.margin_db + out_over[coverage.server]  # no server is -1: the last, NaN
    return Directions(
        out_db=out,
        back_db=coverage.margin_db + back_over[coverage.server],
        received_dbm=out + np.float32(handheld_sensitivity_dbm(plan)),
    )
