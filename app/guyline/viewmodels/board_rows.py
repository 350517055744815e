"""Lines of the board and the headings over them."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import SiteId
from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.entries import Entry

MOST_LINES = 40  # our choice: more are not read, and thousands would take seconds to lay out


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow:
    """One line of the board; choosing it shows `site_id`, goes to `entry` or does `action`."""

    verdict: Verdict | None
    head: str
    text: str = ""
    site_id: SiteId | None = None
    entry: Entry | None = None
    action: str = ""

    @property
    def leads_on(self) -> bool:
        return bool(self.site_id or self.entry or self.action)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardSection:
    """Lines under one heading; `empty` stands where there are none.

    `more` counts lines beyond `MOST_LINES` that were not made.
    """

    title: str
    rows: tuple[BoardRow, ...]
    empty: str
    more: int = 0
