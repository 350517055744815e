"""What is in the store, whose it is, and which site it is promised to."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan.site import SiteId


@dataclass(frozen=True, slots=True, kw_only=True)
class StockItem:
    """A thing in the store; `mass_kg` and `battery_wh` are of one piece.

    `name` is the word that checklists use for it; what follows a comma or colon describes it.
    """

    name: str
    serial: str = ""
    owner: str = ""
    quantity: int = 1
    assigned_to: SiteId | None = None
    mass_kg: float | None = None
    battery_wh: float | None = None
    """Energy of the battery that it is or holds, which decides how it may be sent."""
