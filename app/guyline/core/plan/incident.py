"""What happened, where, and for how long the network is needed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from guyline.core.plan.facts import Fact, Units


@dataclass(frozen=True, slots=True, kw_only=True)
class Incident:
    """Printed on every page, entered once.

    `start_on` is the day the network must be up; `mission_days` how long it must stay up.
    """

    name: str = ""
    area: str = ""
    start_on: date | None = None
    mission_days: int | None = None
    time_zone: str = "UTC"
    units: Units = Units.METRIC
    planner: str = ""
    planner_phone: str = ""
    net_control: str = ""
    emergency_phone: str = ""
    """What the crew dials for ambulance and fire where the network stands."""


class Relaying(StrEnum):
    """How a message finds its way over relays."""

    ROUTED = "along one route"
    FLOODED = "sent on once by every relay"


@dataclass(frozen=True, slots=True, kw_only=True)
class RadioProfile:
    """The air settings all radios of the plan share."""

    frequency_hz: float = 869_525_000.0
    bandwidth_hz: float = 125_000.0
    spreading_factor: int = 10
    coding_rate: int = 5
    """Denominator of the coding rate: 5 stands for 4/5, 8 for 4/8."""
    preamble_symbols: int = 8
    required_margin_db: float = 10.0
    channel_name: str = ""
    key_identifier: str = ""
    """Which key, never the key itself."""
    hop_limit: int | None = None
    relaying: Relaying = Relaying.ROUTED


@dataclass(frozen=True, slots=True, kw_only=True)
class RadioRule:
    """A regulatory limit as somebody entered it: dated data, never legal advice."""

    name: str
    limit_dbm: float
    limit_kind: str
    """EIRP, ERP or conducted."""
    duty_fraction: float | None = None
    source: str = ""
    confidence: str = ""
    checked_on: date | None = None
    low_hz: float | None = None
    high_hz: float | None = None
    gain_allowance_dbi: float | None = None
    """Antenna gain above which a conducted limit falls dB for dB."""
    psd_limit_dbm: float | None = None
    """Most power in any `psd_bandwidth_hz`, of the kind of the limit."""
    psd_bandwidth_hz: float | None = None
    max_bandwidth_hz: float | None = None
    max_dwell_s: float | None = None
    """Longest single transmission."""
    must_listen: Fact = Fact.UNKNOWN
    """Whether a radio must listen before it talks; unknown is a rule that does not say."""
