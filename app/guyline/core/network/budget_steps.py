"""The link budget of one direction step by step, as a picture or a table shows it."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.network.link import LinkAssessment


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetStep:
    """One step on the way from radio to radio.

    `change_db` is positive where the signal grows; `level_dbm` is what is left after it.
    """

    name: str
    change_db: float
    level_dbm: float
    source: str


SMALLEST_DB = 0.05  # half of the last printed digit: smaller steps would print as 0.0


def budget_steps(link: LinkAssessment, *, forward: bool) -> tuple[BudgetStep, ...]:
    """Steps from transmit power to received level, in the order the signal meets them.

    Parameters
    ----------
    forward : bool
        From `link.link.from_id` to `link.link.to_id`, or back.

    Returns
    -------
    tuple of BudgetStep
        Empty where the budget is unknown. The first step is the transmit power itself with
        no change; the last level is what the listening radio receives.
    """
    if link.budget is None or link.path is None or link.path.diffraction_db is None:
        return ()
    clutter_db = link.path.clutter_db or 0.0
    way = link.budget.forward if forward else link.budget.backward
    terms = link.near_terms + link.far_terms if forward else link.far_terms + link.near_terms
    losses = [
        ("Free space", link.path.free_space_db, "Rec. ITU-R P.525"),
        (
            "Ground in the way",
            link.path.diffraction_db - clutter_db,
            "delta-Bullington, Rec. ITU-R P.526 and P.1812",
        ),
        (
            "Trees and houses on the way",
            clutter_db,
            "delta-Bullington with and without them, heights of Rec. ITU-R P.1812 table 2",
        ),
        *((term.name[:1].upper() + term.name[1:], term.loss_db, term.source) for term in terms),
    ]
    ends = link.link.from_id, link.link.to_id
    talker, listener = ends if forward else ends[::-1]
    crossed = way.path_loss_db - sum(loss for _, loss, _ in losses)
    changes = [
        ("Feeder", -way.tx_feeder_loss_db, f"cable, joints and arrestor of {talker}, plan"),
        ("Antenna", way.tx_gain_dbi, f"pattern of {talker} toward {listener}, ITU-R F.1336"),
        *((name, -loss, source) for name, loss, source in losses),
        ("Crossed polarisation", -crossed, "common practice, no source"),
        ("Antenna", way.rx_gain_dbi, f"pattern of {listener} toward {talker}, ITU-R F.1336"),
        ("Feeder", -way.rx_feeder_loss_db, f"cable, joints and arrestor of {listener}, plan"),
    ]
    steps = [
        BudgetStep(
            name="Transmit power",
            change_db=0.0,
            level_dbm=way.tx_power_dbm,
            source=f"radio of {talker}, plan",
        )
    ]
    for name, change, source in changes:
        level = steps[-1].level_dbm + change
        if abs(change) >= SMALLEST_DB:
            steps.append(BudgetStep(name=name, change_db=change, level_dbm=level, source=source))
    return tuple(steps)
