"""What stands around an antenna, and whether it is under a roof."""

from __future__ import annotations

from enum import StrEnum


class Surroundings(StrEnum):
    """What the antenna stands among.

    Bare ground, as on a summit above the trees, adds no loss; open country has hedges and
    single trees. Unknown adds no loss either, but makes the link less sure.
    """

    UNKNOWN = "unknown"
    WATER = "water"
    BARE = "bare ground"
    OPEN = "open country"
    SUBURB = "suburb"
    TOWN = "town"
    DENSE_TOWN = "dense town"
    WOODLAND = "woodland"


class Roof(StrEnum):
    """Whether the antenna is under open sky, or in a building and in which kind."""

    NONE = "outdoors"
    ORDINARY = "in an ordinary building"
    INSULATED = "in a thermally insulated building"
