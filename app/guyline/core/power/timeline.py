"""How many sites are on the air, day by day, with the doubt that the weather leaves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from guyline.core.power.assessment import PowerAssessment

LOW, HIGH = 10.0, 90.0  # percentiles of the band


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """Sites that are up throughout each day of the mission.

    Attributes
    ----------
    low, middle, high
        10th, 50th and 90th percentile over the simulated missions, one number a day.
    unknown
        Number of sites of which nothing can be said; they are counted nowhere else.
    """

    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]
    unknown: int


def alive_runs(assessment: PowerAssessment, mission_days: int) -> NDArray[np.bool_] | None:
    """Return whether the site is up in each mission and day, shape (R, D), None if unknown.

    A site whose answer is certain has one run.
    """
    if len(assessment.alive_by_day) < mission_days:
        return None
    if assessment.alive_runs:
        bits = np.unpackbits(np.frombuffer(assessment.alive_runs, dtype=np.uint8))
        runs = len(bits) // len(assessment.alive_by_day)
        known = bits[: runs * len(assessment.alive_by_day)].reshape(runs, -1)
        return known[:, :mission_days].astype(bool)
    return np.asarray(assessment.alive_by_day[:mission_days])[None, :] >= 1.0


def sites_up(assessments: Iterable[PowerAssessment], mission_days: int) -> Timeline:
    """Return how many sites are up on each day.

    Notes
    -----
    All solar sites are simulated in the same weather, so a dark week is dark for all of them.
    """
    known: list[NDArray[np.bool_]] = []
    unknown = 0
    for assessment in assessments:
        alive = alive_runs(assessment, mission_days)
        if alive is None:
            unknown += 1
        else:
            known.append(alive)
    runs = min((len(alive) for alive in known if len(alive) > 1), default=1)
    up = np.zeros((runs, mission_days))
    for alive in known:
        up += alive[:runs] if len(alive) > 1 else alive
    low, middle, high = np.percentile(up, [LOW, 50.0, HIGH], axis=0, method="nearest")
    return Timeline(
        low=tuple(map(float, low)),
        middle=tuple(map(float, middle)),
        high=tuple(map(float, high)),
        unknown=unknown,
    )
