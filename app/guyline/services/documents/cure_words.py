"""What would end a lack of power, in words: what it is, what it weighs and costs, how sure."""

from __future__ import annotations

from collections.abc import Sequence

from guyline.core.plan import Site
from guyline.core.power.assessment import Cure
from guyline.core.power.cure_changes import apply_cure
from guyline.core.power.cures import ranks_by_price
from guyline.core.power.prices import Price
from guyline.services.documents import figures
from guyline.services.wording.numbers import percent

MOST_CURES = 2  # our choice: one that needs nothing bought, and one that does


def cure_words(cure: Cure) -> str:
    """A change that would end the shortfall, with what it weighs, costs and how sure it makes."""
    mass = f", {cure.mass_kg:.1f} kg" if cure.mass_kg else ""
    price = "" if cure.price is None else f", about {price_words(cure.price)}"
    chance = cure.survival_probability
    sure = "" if chance is None else f": then {percent(chance)} sure"
    return f"{_change(cure)}{mass}{price}{sure}"


def price_words(price: Price) -> str:
    return f"{price.amount:,.0f} {price.currency}"


def ranking_words(cures: Sequence[Cure]) -> str:
    """By what the cures are ranked, and where their prices are from; "" for one or none."""
    if len(cures) < 2:
        return ""
    if ranks_by_price(cures):
        prices = [cure.price for cure in cures if cure.price is not None]
        sources = ", ".join(dict.fromkeys(price.source for price in prices))
        return f"What needs nothing bought first, then the cheapest ({sources})."
    return "What needs nothing bought first, then the lightest: not every price is known."


def cure_action(site: Site, cure: Cure) -> str:
    """What a button says that does it in the plan; "" where people must do it outside."""
    if apply_cure(site, cure) is None:
        return ""
    if cure.kind == "tilt":
        return f"Tilt the panel to {cure.value:.0f}°{_facing(cure)}"
    if cure.kind == "swap":
        return f"Promise a visit every {_days(cure.value)}"
    if cure.kind == "duty":
        return f"Send at most {cure.value:g} packets an hour"
    if cure.kind == "fuel":
        return f"Bring fuel up to {cure.value:g} L"
    return f"Use a {_change(cure)}"


def _change(cure: Cure) -> str:
    if cure.kind == "tilt":
        return f"panel tilted to {cure.value:.0f}°{_facing(cure)}"
    if cure.kind == "move":
        return f"panel out of the shadow, where it brings {cure.value:.1f} {cure.unit}"
    if cure.kind == "shelter":
        return f"battery kept at {cure.value:.0f} °C or more (box, burial or indoors)"
    if cure.kind == "load":
        return f"load of at most {cure.value:.1f} {cure.unit}"
    if cure.kind == "duty":
        return f"at most {cure.value:g} packets an hour"
    if cure.kind == "charger":
        return f"mains charger of {cure.value:g} {cure.unit}"
    if cure.kind == "swap":
        return f"a visit every {_days(cure.value)}, with conditions"
    if cure.kind == "fuel":
        return f"fuel up to {cure.value:g} {cure.unit} at the site"
    if cure.battery_wh is not None:
        return f"panel of {cure.value:g} {cure.unit} and battery of {cure.battery_wh:g} Wh"
    return f"{cure.kind} of {cure.value:g} {cure.unit}"


def _facing(cure: Cure) -> str:
    azimuth = cure.azimuth_deg
    return "" if azimuth is None else f", facing {figures.compass_point(azimuth)}"


def _days(days: float) -> str:
    return "day" if days == 1.0 else f"{days:g} days"
