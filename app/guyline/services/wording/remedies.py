"""Sentences about what would mend a finding."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Remedy, RemedyAction
from guyline.services.wording.numbers import shortened

REMEDIES: dict[RemedyAction, Callable[[Remedy], str]] = {
    RemedyAction.ENTER: lambda r: f"Enter {shortened(r.what)}.",
    RemedyAction.OBTAIN: lambda r: f"Get {r.what}.",
    RemedyAction.MEASURE: lambda r: f"Measure {r.what}.",
    RemedyAction.MOVE: lambda r: f"Move {r.what}.",
    RemedyAction.RAISE_ANTENNA: lambda r: f"Raise the antenna to {r.value:g} m above ground.",
    RemedyAction.LOWER_TX_POWER: lambda r: f"Set transmit power to {r.value:g} dBm.",
    RemedyAction.LARGER_PANEL: lambda r: f"Use a panel of {r.value:g} W.",
    RemedyAction.LARGER_BATTERY: lambda r: f"Use a battery of {r.value:g} Wh.",
}
