"""Whom the network serves beside its sites: people with a pocket radio, wherever they are."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan.surroundings import Surroundings


@dataclass(frozen=True, slots=True, kw_only=True)
class Handheld:
    """The pocket radio that coverage is worked out for: the weaker end of every such link.

    Defaults are a generic class from memory: 14 to 22 dBm, whip of -3 to +2 dBi, 3 to 10 dB
    taken by the body. `surroundings` is what its bearer stands among.
    """

    antenna_agl_m: float = 1.5
    gain_dbi: float = 0.0
    body_loss_db: float = 5.0
    tx_power_dbm: float = 17.0
    noise_figure_db: float = 7.0
    surroundings: Surroundings = Surroundings.OPEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place that needs service; `people` is how many, `weight` how much it counts."""

    name: str
    lat_deg: float
    lon_deg: float
    people: int | None = None
    weight: float = 1.0
    servers_wanted: int = 1
    """How many sites must serve it: two where it must keep service when any one fails."""
