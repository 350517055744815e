"""What a crew read from the radios of a link once it was built."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from guyline.core.plan.site import SiteId


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkReading:
    """What the listener showed of the talker's packets; None was not read.

    Read with the radio profile of the plan. `packets_heard` of `packets_sent` arrived.
    """

    talker_id: SiteId
    listener_id: SiteId
    level_dbm: float | None = None
    snr_db: float | None = None
    packets_heard: int | None = None
    packets_sent: int | None = None
    read_on: date | None = None
    read_by: str = ""
    note: str = ""

    @property
    def is_signed(self) -> bool:
        """Whether somebody stands for it with name and date."""
        return self.read_on is not None and bool(self.read_by.strip())

    @property
    def delivered(self) -> float | None:
        """Part of the packets that arrived."""
        if self.packets_heard is None or not self.packets_sent:
            return None
        return self.packets_heard / self.packets_sent
