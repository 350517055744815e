"""What panels and batteries cost, as far as anybody entered it."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Chemistry


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """An amount of money with where it is from; `currency` is a code of ISO 4217."""

    amount: float
    currency: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedPanel:
    """A panel that can be bought; `is_own` where the user's own catalogue has it."""

    stc_w: float
    price: Price
    is_own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedBattery:
    """A battery that can be bought; `is_own` where the user's own catalogue has it."""

    chemistry: Chemistry
    capacity_wh: float
    price: Price
    is_own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """All prices that are known."""

    panels: tuple[PricedPanel, ...] = ()
    batteries: tuple[PricedBattery, ...] = ()

    def panel(self, stc_w: float) -> Price | None:
        """Price of the cheapest panel of that power or more, the user's own first; None: none."""
        return _cheapest([p for p in self.panels if p.stc_w >= stc_w * _SAME])

    def battery(self, chemistry: Chemistry, capacity_wh: float) -> Price | None:
        """Price of the cheapest battery of that size or more, the user's own first; None: none."""
        return _cheapest(
            [
                b
                for b in self.batteries
                if b.chemistry is chemistry and b.capacity_wh >= capacity_wh * _SAME
            ]
        )


_SAME = 0.97  # 12.8 V 50 Ah is sold as 640 and as 625 Wh: the same by rounding, our choice


def _cheapest(offers: list[PricedPanel] | list[PricedBattery]) -> Price | None:
    own = [offer.price for offer in offers if offer.is_own]
    prices = own or [offer.price for offer in offers]
    return min(prices, key=lambda price: price.amount, default=None)


def together(*prices: Price | None) -> Price | None:
    """Sum of some prices; None where one is unknown or the currencies differ."""
    known = [price for price in prices if price is not None]
    if not known or len(known) < len(prices) or len({p.currency for p in known}) > 1:
        return None
    sources = tuple(dict.fromkeys(price.source for price in known))
    return Price(
        amount=sum(price.amount for price in known),
        currency=known[0].currency,
        source="; ".join(sources),
    )
