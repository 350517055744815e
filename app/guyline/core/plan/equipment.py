"""What stands at a site: radio, antenna, feeder.

The plan holds the numbers themselves beside the catalogue key they came from,
so that it reads the same on another machine and under a newer catalogue.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from guyline.core.plan.facts import Fact


class Pattern(StrEnum):
    """The shape of an antenna's pattern."""

    OMNI = "omni"
    DIPOLE = "dipole"
    SECTOR = "sector"
    YAGI = "yagi"
    PATCH = "patch"


class Polarisation(StrEnum):
    """Orientation of the electric field."""

    VERTICAL = "vertical"
    HORIZONTAL = "horizontal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Radio:
    """A radio; `identifier` is read from the radio itself, not from its label.

    Currents are drawn from the rail `supply_v`; `host_a` is what the rest of the board
    (processor, regulator, lamps) takes all the time.
    """

    catalogue_key: str = ""
    identifier: str = ""
    tx_power_dbm: float | None = None
    noise_figure_db: float | None = None
    supply_v: float | None = None
    receive_a: float | None = None
    transmit_a: float | None = None
    host_a: float | None = None
    listens: Fact = Fact.UNKNOWN
    """Whether it listens before it talks, by itself and always."""
    port: str = ""
    """Its antenna connector in words, such as "SMA jack"."""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Antenna:
    """An antenna; `azimuth_deg` is true, `tilt_deg` positive downward."""

    catalogue_key: str = ""
    pattern: Pattern = Pattern.OMNI
    gain_dbi: float | None = None
    polarisation: Polarisation = Polarisation.VERTICAL
    azimuth_deg: float | None = None
    tilt_deg: float = 0.0
    beamwidth_azimuth_deg: float | None = None
    low_hz: float | None = None
    """The band it is made for, from here to `high_hz`."""
    high_hz: float | None = None
    port: str = ""
    """Its connector in words, such as "N jack"."""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeder:
    """The cable between radio and antenna.

    Matched loss is (k1 sqrt(f_MHz) + k2 f_MHz) per 100 ft, the form in which makers publish it.
    """

    catalogue_key: str = ""
    length_m: float | None = None
    k1_db_per_100ft: float | None = None
    k2_db_per_100ft: float | None = None
    joints: int = 2
    """Mated connector pairs between radio and antenna."""
    has_arrestor: bool = False
    near_port: str = ""
    """The connector at the radio's end, in words."""
    far_port: str = ""
    """The connector at the antenna's end."""
    source: str = ""
