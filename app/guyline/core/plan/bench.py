"""What was read from a radio and measured on the bench."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRecord:
    """Settings as read back from the radio, and measurements; None and "" are not done yet.

    Who tested it, when, and with what result is the answer to the gate of the bench test.
    """

    identifier: str = ""
    frequency_hz: float | None = None
    bandwidth_hz: float | None = None
    spreading_factor: int | None = None
    coding_rate: int | None = None
    tx_power_dbm: float | None = None
    channel_name: str = ""
    key_identifier: str = ""
    """Which key, never the key itself."""
    vswr: float | None = None
    """With its own antenna and feeder."""
    supply_a: float | None = None
    """Mean current while it listens."""
    soak_hours: float | None = None
    """How long it ran without a fault before it was packed."""
