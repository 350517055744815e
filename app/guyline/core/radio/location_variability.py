"""How much the loss varies from place to place within a small area."""

from __future__ import annotations

from math import log, sqrt

PREDICTION_SQUARE_M = 100.0  # our choice: the ground a crew moves an antenna about on


def inverse_normal(x: float) -> float:
    """Value which a normal variable exceeds with probability x; attachment 2, literally."""
    clipped = min(max(x, 1e-6), 1.0 - 1e-6)
    if clipped > 0.5:
        return -inverse_normal(1.0 - clipped)
    t = sqrt(-2.0 * log(clipped))
    c = ((0.010328 * t + 0.802853) * t + 2.515516698) / (
        ((0.001308 * t + 0.189269) * t + 1.432788) * t + 1.0
    )
    return t - c


def location_loss_db(
    location_percent: float,
    frequency_hz: float,
    rx_agl_m: float,
    rx_clutter_m: float,
    prediction_square_m: float = PREDICTION_SQUARE_M,
    *,
    is_at_sea: bool = False,
) -> float:
    """Loss to be added so that it suffices at that part of the places, in dB; 0 at 50 %.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, sections 4.7 and 4.8.
    """
    if location_percent == 50.0 or is_at_sea:
        return 0.0
    spread = (0.52 + 0.024 * frequency_hz / 1e9) * prediction_square_m**0.28
    above_cover = min(max((rx_agl_m - rx_clutter_m) / 10.0, 0.0), 1.0)
    return -inverse_normal(location_percent / 100.0) * float(spread) * (1.0 - above_cover)
